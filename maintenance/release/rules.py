"""What holds a boat, and whether she may sail. Pure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.boats.dates import spoken
from maintenance.defects.rules import FUNCTIONS, LIMITS_USE, UNSAFE, Waits, settled, wants_ashore
from maintenance.release.known import FITTING_OUT, LAY_UP, OpenDefect, Ship, Touched, Trip
from maintenance.release.rule_list import (
    ALARM,
    BY_CODE,
    CODES,
    DEFERRAL,
    GEAR,
    NAMED,
    PAPER,
    READY,
    SERVICE,
    TOUCH,
    TWO,
    Rule,
)
from maintenance.safety.short import Lacking

BY_NO_LIST = "Goes by no list of gear: what is short of one holds nothing"
MOST_SHORT = 99  # a list may ask for any number; the key of what is short stays short


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason why she may not go; `key` is the same as long as it is the same reason, and what
    stands in it after the last colon shrinks as part of it is settled.

    `way_out` is what somebody alone on site can do about it; `row` is the defect's row, where it is one.
    """

    code: str
    key: str
    words: str
    way_out: str
    row: int = 0
    can_be_let_be: bool = True
    said: bool = False  # a release that says held: she is released again, and nothing is let be

    def as_json(self) -> dict[str, str]:
        return {"key": self.key, "words": self.words}


def may_sail(ship: Ship, trip: Trip | None, rules: Mapping[str, Rule] = BY_CODE) -> tuple[Reason, ...]:
    """Every reason why a boat may not go out for a charter (or at all, where none is given); none
    means that nothing recorded holds her, not that she is safe. Rules switched off hold nothing,
    but for the alarm: somebody told of danger, and nobody looked."""
    found = (reason for part in _PARTS for reason in part(ship, trip))
    return tuple(r for r in found if r.code == ALARM or rules[r.code].on)


def warnings(ship: Ship, trip: Trip | None) -> tuple[str, ...]:
    """What holds nothing and should be known before she is released."""
    said = [f"Not graded yet: {_short(d.words)}" for d in not_graded(ship)]
    said += [f"Neither deferred nor put right: {_short(d.words)}" for d in ship.defects if _is_left(d)]
    said += [f"Never recorded: {c.task}, {c.thing}" for c in ship.critical if not c.recorded]
    said += [BY_NO_LIST] if ship.by_no_list else []
    said += [f"{_lacks(s)} ({s.list}, a list she does not go by)" for s in ship.short if not s.adopted]
    return tuple(said)


def not_graded(ship: Ship) -> list[OpenDefect]:
    """What is open and nobody has graded, what does not work first."""
    return sorted((d for d in ship.defects if not d.grade), key=lambda d: d.works != "no")


def _is_left(d: OpenDefect) -> bool:
    return d.grade == LIMITS_USE and d.waits is None


def limits_of(ship: Ship) -> tuple[str, ...]:
    """What the next skipper is told of what was deferred, in the words it was decided in."""
    waiting = [d for d in ship.defects if d.waits is not None]
    return tuple(_limit(d) for d in waiting if d.limit or d.inoperative)


def names_needed(ship: Ship, let_be: Collection[str], rules: Mapping[str, Rule] = BY_CODE) -> int:
    """How many names a release wants: the most that any rule wants of what was settled since she last
    went out, or is let be now."""
    codes = ship.settled | set(let_be)
    return max([1, *(rules[code].names for code in codes if code in rules and rules[code].on)])


def _alarms(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for d in ship.defects:
        if d.unlooked:
            yield Reason(
                ALARM,
                f"{ALARM}:{d.case}:{d.raised}",
                f"An alarm nobody has looked at: {_short(d.words)}",
                "Go and look, and say what was seen: one tap",
                d.row,
                can_be_let_be=False,
            )


def _unsafe(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for d in ship.defects:
        if d.grade == UNSAFE:
            yield Reason(
                UNSAFE,
                f"{UNSAFE}:{d.case}:{d.step}",
                f"Unsafe: {_short(d.words)}",
                "Put it right, take the part from a sister ship, or let her go to a limit by name",
                d.row,
            )


def _named(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for k in ship.kept:
        yield Reason(NAMED, f"{NAMED}:{k.key}", f"Held by {k.by}: {k.why}", "Lift it, and say why")


def _touches(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for t in ship.touches:
        if not settled(t.day, t.touched, t.force, t.looks):
            how = "ashore" if wants_ashore(t.touched, t.force, t.looks) else "by a diver, a camera or ashore"
            yield Reason(
                TOUCH,
                f"{TOUCH}:{t.key}",
                _touched(t),
                f"Record a look at the hull {how}, by name; or let her go to a limit by name",
            )


def _touched(t: Touched) -> str:
    """What the last look came to; that nobody looked, where nobody did."""
    last = t.looks[-1] if t.looks else None
    if last is None:
        if t.found:
            return _not_sound(t.day, t.seen)
        return "She touched the bottom or hit something, and nobody has looked at her hull since"
    if not last.sound:
        return _not_sound(last.day, last.seen)
    return f"She touched the bottom or hit something; the look of {spoken(last.day)} is not enough for it"


def _not_sound(day: date, seen: str) -> str:
    said = f"Looked at on {spoken(day)}, not sound"
    return f"{said}: {_short(seen)}" if seen.strip() else said


def _two(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    vital = [d for d in ship.defects if d.grade in (UNSAFE, LIMITS_USE) and d.function in FUNCTIONS]
    if len(vital) >= 2:
        cases = "+".join(str(step) for step in sorted(d.step for d in vital))
        names = ", ".join(sorted({d.function for d in vital}))
        said = f"Two or more open together: {names}"
        yield Reason(TWO, f"{TWO}:{cases}", said, "Put one of them right, or let her go to a limit by name")


def _deferrals(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for d in ship.defects:
        if d.waits is not None and not lasts(d.waits, ship, trip):
            yield Reason(
                DEFERRAL,
                f"{DEFERRAL}:{d.case}:{d.waits.key}",
                f"Its deferral ends before she is back: {_short(d.words)}",
                "Put it right now, or extend it once with a reason",
                d.row,
            )


def lasts(waits: Waits, ship: Ship, trip: Trip | None) -> bool:
    if trip is None:
        return not waits.over(ship.on, laid_up=ship.state == LAY_UP)
    return waits.carries(trip.starts_on, trip.ends_on, ship.layup_on)


def _services(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for c in ship.critical:
        ends = trip is not None and c.limit_on is not None and c.limit_on < trip.ends_on
        if c.recorded and (c.overdue or ends):
            said = f"Past its limit before she is back: {c.task}, {c.thing}"
            key = f"{SERVICE}:{c.component}:{c.interval}:{c.limit_on}"
            yield Reason(SERVICE, key, said, "Do it and record it, or let her go to a limit by name")


def _gear(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for s in ship.short:
        if s.adopted:
            last = min(s.wanted, s.there + MOST_SHORT)
            short = "+".join(str(n) for n in range(s.there + 1, last + 1))
            key = f"{GEAR}:{s.requirement}:{short}"
            way_out = "Bring it aboard and record its date, or let her go to a limit by name"
            yield Reason(GEAR, key, f"{_lacks(s)} ({s.list})", way_out)


def _ready(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    if ship.state == LAY_UP:
        yield Reason(READY, f"{READY}:{LAY_UP}", "She is laid up", "Begin fitting-out, and sign it when done")
    elif not ship.ready or ship.state == FITTING_OUT:
        yield Reason(READY, f"{READY}:signed", "Fitting-out is not signed", "Sign it when it is done")


def _papers(ship: Ship, trip: Trip | None) -> Iterator[Reason]:
    for o in ship.opened:
        said = f"Opened, and no paper here ({o.what}): {_short(o.words)}"
        way_out = "Photograph the paper and add it to the defect, or let her go to a limit by name"
        yield Reason(PAPER, f"{PAPER}:{o.step}", said, way_out, o.row)


_PARTS = (_alarms, _unsafe, _named, _touches, _two, _deferrals, _services, _gear, _ready, _papers)


def _lacks(s: Lacking) -> str:
    return f"{s.thing}: {s.wanted} wanted, {s.there} in date aboard"


def _limit(d: OpenDefect) -> str:
    if not d.inoperative:
        return d.limit
    off = f"Made inoperative: {d.inoperative.rstrip('. ')}."
    return f"{d.limit.rstrip('. ')}. {off}" if d.limit else off


def _short(words: str, most: int = 90) -> str:
    line = " ".join(words.split("\n\n")[0].split())
    return line if len(line) <= most else line[:most].rstrip() + " …"


def worst_first(reasons: Sequence[Reason]) -> list[Reason]:
    return sorted(reasons, key=lambda r: CODES.index(r.code))
