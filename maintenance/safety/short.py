"""A clause of a list of gear that is short aboard. Pure."""

from dataclasses import dataclass


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
