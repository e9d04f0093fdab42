"""Grades, the clocks of deferral, what comes up again, which look settles a touch. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

UNSAFE, LIMITS_USE, COSMETIC, WATCH = "unsafe", "limits use", "cosmetic", "watch"
GRADES = (UNSAFE, LIMITS_USE, COSMETIC, WATCH)
# Where two open defects together hold a boat (a chain of failures, read in published inquiries).
FUNCTIONS = ("charging", "bilge", "radio", "raft", "steering")
# What was taken apart, after which a licensed or approved person's paper is wanted.
GAS, STRUCTURE, RAFT = "fixed gas", "structure", "the raft itself"
OPENED = (GAS, STRUCTURE, RAFT)
HULL_PLACES = (
    *("bow", "port bow", "starboard bow", "port side", "starboard side"),
    *("port quarter", "starboard quarter", "stern", "deck", "mast and rig"),
    *("keel", "rudder", "propeller", "shaft or saildrive", "bottom"),
)
UNDER_WATER = frozenset({"keel", "rudder", "propeller", "shaft or saildrive", "bottom"})
NOT_KNOWN = "not known"
TOUCHED = (NOT_KNOWN, "keel", "rudder", "propeller", "hull", "dinghy or fender")
BOTTOMS = (NOT_KNOWN, "mud", "sand", "stones", "rock", "another boat", "quay", "floating thing")
FORCES = (NOT_KNOWN, "soft", "stuck", "hard")
HARD = frozenset({"stuck", "hard"})
ASHORE, DIVER, CAMERA, FROM_ABOARD = "ashore", "diver", "camera", "from aboard"
METHODS = (ASHORE, DIVER, CAMERA, FROM_ABOARD)
AGAIN_DAYS, AGAIN_CHARTERS = 30, 3


def last_day(found_on: date, days: int) -> date:
    """The last day of a deferral of so many calendar days: the day of discovery is left out, the
    first counted day begins at its midnight (as minimum equipment lists in aviation count)."""
    return found_on + timedelta(days=days)


@dataclass(frozen=True, slots=True)
class Waits:
    """A deferral in force, as far as its end goes; `out_since` counts the charters that have gone
    out since it was decided."""

    until_on: date | None = None
    max_charters: int | None = None
    at_layup: bool = False
    out_since: int = 0
    key: int = 0
    laid_up: bool = False  # a lay-up has begun since it was decided

    @property
    def charters_left(self) -> int | None:
        """How many more charters she may go out for with it; None where charters do not end it."""
        return None if self.max_charters is None else max(0, self.max_charters - self.out_since)

    def over(self, on: date, *, laid_up: bool = False) -> bool:
        """Whether it has ended on a day she is in: so many charters went out, or the day is past."""
        past = self.until_on is not None and self.until_on < on
        return past or (self.at_layup and (laid_up or self.laid_up))

    def carries(self, starts_on: date, ends_on: date, layup_on: date | None = None) -> bool:
        """Whether it lasts through a charter that goes out next, to the day she is back: it never
        falls due at sea."""
        if self.until_on is not None and self.until_on < ends_on:
            return False
        if self.charters_left == 0 or (self.at_layup and self.laid_up):
            return False
        return not (self.at_layup and layup_on is not None and layup_on < ends_on)


@dataclass(frozen=True, slots=True)
class Came:
    """One report as far as coming up again goes: what or where it is at, when, in which charter
    (its place in the row of the boat's charters, None outside one)."""

    key: int
    at: str
    day: date
    charter: int | None = None


def again(of: Came, others: Iterable[Came]) -> list[Came]:
    """Earlier reports at the same thing or place within 30 days or three charters before one."""
    if not of.at:
        return []
    found = [c for c in others if c.key != of.key and c.at == of.at and (c.day, c.key) < (of.day, of.key)]
    return [c for c in found if (of.day - c.day).days <= AGAIN_DAYS or _within_charters(of, c)]


def _within_charters(of: Came, earlier: Came) -> bool:
    if of.charter is None or earlier.charter is None:
        return False
    return of.charter - earlier.charter < AGAIN_CHARTERS


@dataclass(frozen=True, slots=True)
class Look:
    """A look at a hull: when, how, whether she is sound, what it shows to have taken the touch, and what
    was seen in words."""

    day: date
    method: str
    sound: bool
    touched: str = NOT_KNOWN
    seen: str = ""


def wants_ashore(touched: str, force: str, looks: Sequence[Look] = ()) -> bool:
    """Whether only a look out of the water settles a touch: the keel took it, as it was told or as a
    look since shows, or it was hard. A felt touch proves nothing of the keel's structure, and what
    holds the keel is not seen afloat (MAIB reports 8/2015 and 13/2019)."""
    return force in HARD or "keel" in {touched, *(look.touched for look in looks)}


def settled(day: date, touched: str, force: str, looks: Sequence[Look]) -> bool:
    """Whether a touch of a day has been looked at so that she may go: by the last look since."""
    since = [look for look in looks if look.day >= day]
    if wants_ashore(touched, force, since):
        since = [look for look in since if look.method == ASHORE]
    return bool(since) and since[-1].sound
