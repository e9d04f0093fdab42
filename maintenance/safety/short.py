"""What a clause of a list of gear asks of a boat, and what is there of it. Pure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Asked:
    """One clause for one boat: so many required, so many carried, so many of these in date.

    `required` is None where it is so many a person and nobody wrote down how many she carries.
    """

    requirement: int
    list: str
    clause: str
    thing: str
    properties: str
    number: int
    per_person: bool
    required: int | None
    carried: int
    in_date: int
    adopted: bool
    source: str = ""

    @property
    def short(self) -> int:
        """How many are lacking; none where it is not known how many are required."""
        return max(0, (self.required or 0) - self.in_date)


@dataclass(frozen=True, slots=True)
class Lacking:
    """So many wanted of a thing, so many in date aboard; it holds her where she goes by the list."""

    requirement: int
    list: str
    thing: str
    wanted: int
    there: int
    adopted: bool
    source: str = ""
