"""What was probably meant by a dial that cannot be right. Pure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

from fleet.meters.rules import Dial, can_be_right

TENTH = Decimal("0.1")
MOST_ANSWERS = 3
M = TypeVar("M")


@dataclass(frozen=True, slots=True)
class Meant:
    """A dial that would fit, and the slip that would have made the one given out of it."""

    hours: Decimal
    slip: str


def _with_a_digit(hours: Decimal) -> Iterator[Decimal]:
    """Every number with one digit more, the tenths kept."""
    whole, _, tenths = f"{hours:f}".partition(".")
    for at in range(len(whole) + 1):
        for digit in "0123456789":
            yield Decimal(f"{whole[:at]}{digit}{whole[at:]}.{tenths or 0}")


def _digits_swapped(hours: Decimal) -> Iterator[Decimal]:
    text = f"{hours:f}"
    for at in range(len(text) - 1):
        if "." not in text[at : at + 2]:
            yield Decimal(text[:at] + text[at + 1] + text[at] + text[at + 2 :])


def _slips(hours: Decimal) -> Iterator[Meant]:
    if hours < 0:
        yield Meant(-hours, "a minus too many")
        return
    yield Meant(round(hours * TENTH, 2), "tenths read as units")
    yield from (Meant(other, "a digit missing") for other in _with_a_digit(hours))
    yield from (Meant(other, "two digits swapped") for other in _digits_swapped(hours))


def probably_meant(given: Dial, dials: Sequence[Dial], expected: Decimal) -> list[Meant]:
    """The slips that would make a dial fit its neighbours, the nearest to the expected one first.

    `expected` is the dial the meter should show by its usual rate, in hours.
    """
    answers: dict[Decimal, Meant] = {}
    for meant in _slips(given.hours):
        fits = can_be_right(replace(given, hours=meant.hours), dials)
        if fits and meant.hours != given.hours:
            answers.setdefault(meant.hours, meant)
    nearest = sorted(answers.values(), key=lambda meant: abs(meant.hours - expected))
    return nearest[:MOST_ANSWERS]


def swapped(given: Mapping[M, Dial], known: Mapping[M, Iterable[Dial]]) -> tuple[M, M] | None:
    """The two meters of one boat whose dials were written against each other's names: both fit
    once exchanged, and at least one does not as given."""
    meters = list(given)
    for n, one in enumerate(meters):
        for other in meters[n + 1 :]:
            if _fits_exchanged(given[one], given[other], list(known[one]), list(known[other])):
                return one, other
    return None


def _fits_exchanged(one: Dial, other: Dial, of_one: list[Dial], of_other: list[Dial]) -> bool:
    if can_be_right(one, of_one) and can_be_right(other, of_other):
        return False
    exchanged_one, exchanged_other = replace(one, hours=other.hours), replace(other, hours=one.hours)
    return can_be_right(exchanged_one, of_one) and can_be_right(exchanged_other, of_other)
