"""What is odd about how a report came, in plain words, and what to do about it."""

from collections.abc import Collection
from dataclasses import dataclass

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.pages import wording
from maintenance.turnaround.by_phone import Odd

MINUTE, DAY = 60, 24 * 60 * 60


@dataclass(frozen=True, slots=True)
class Oddity:
    """One thing that is odd, what to do about it, and whether another boat may be meant."""

    what: str
    do: str
    of_boat: bool = False


def odd_words(
    odd: Collection[str], *, boat: Boat, charter: Charter, clock_off: int | None
) -> tuple[Oddity, ...]:
    """The oddities that are noted with a report of a boat that came by a charter's link; `clock_off` in
    seconds. One that is not known here is said as it was kept."""
    said = _of_boat(boat, charter) | _of_time(boat, charter, clock_off) | _OF_WORDS
    return tuple(said.get(each, Oddity(f"{each}.", "")) for each in odd)


def _of_boat(boat: Boat, charter: Charter) -> dict[str, Oddity]:
    return {
        Odd.WRONG_BOAT: Oddity(
            f"The phone named a boat that charter {charter.code} never had, so it stands on {boat.name}.",
            f"If it is not about {boat.name}, put it on the right boat.",
            of_boat=True,
        ),
        Odd.CHANGED: Oddity(
            f"Charter {charter.code} has {charter.boat.name} now; this is about {boat.name}, which it "
            "had before.",
            "Ask which of the two is meant.",
            of_boat=True,
        ),
    }


def _of_time(boat: Boat, charter: Charter, clock_off: int | None) -> dict[str, Oddity]:
    return {
        Odd.AFTER_HANDOVER: Oddity(
            f"It came after {boat.name} was handed to the next crew.",
            "They were not told of it: ring them where it matters aboard.",
        ),
        Odd.CALLED_OFF: Oddity(f"Charter {charter.code} was called off.", "Ask who was aboard, and when."),
        Odd.ENDED: Oddity("Its link had ended when it came.", "Look whether it was seen to since."),
        Odd.EARLY: Oddity(f"Charter {charter.code} had not begun when it came.", "Ask who is aboard."),
        Odd.CLOCK: Oddity(
            f"The phone’s clock was {clock_words(clock_off)}.",
            "When it was written is reckoned by ours; the dates of its photos may be wrong.",
        ),
    }


_OF_WORDS: dict[str, Oddity] = {
    Odd.NOT_ABOARD: Oddity(
        "Something chosen on the phone is not aboard any more; it stands below the words.",
        "Say where it is at.",
    ),
    Odd.NO_NUMBER: Oddity("A number could not be read; it stands in words as it was typed.", "Ask, or look."),
}


def clock_words(off: int | None) -> str:
    """How far a phone's clock was off, in seconds ahead of ours: 1 day 2 h slow."""
    if not off or abs(off) < MINUTE:
        return "wrong"
    days, rest = divmod(abs(off), DAY)
    parts = [wording.many(days, "day")] if days else []
    if minutes := round(rest / MINUTE):
        parts.append(wording.minutes(minutes))
    return f"{' '.join(parts)} {'fast' if off > 0 else 'slow'}"
