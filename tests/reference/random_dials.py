"""What each hour meter of a made-up fleet truly shows, so that nothing noted can contradict it."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

DAY = timedelta(days=1)


@dataclass(frozen=True)
class DialDay:
    """The dial through one day in tenths of an hour; `old` is the meter taken out that day."""

    low: int
    high: int
    old: tuple[int, int] | None = None


@dataclass
class Dial:
    """One meter: its true days, how it is read, and how often fittings and services note it."""

    boat: str
    meter: str
    days: dict[date, DialDay]
    style: str  # usual, late, early, single, ahead (only after the day asked about), none
    note_chance: float
    grain: int
    busy: list[date] = field(default_factory=list)

    def pick(self, rnd: Random, day: date, at_least: int = 0) -> int:
        """Something the present meter showed that day, no less than `at_least`."""
        seen = self.days[day]
        low = max(seen.low, at_least)
        steps = (seen.high - low) // self.grain
        return rnd.choice([low, seen.high, low + self.grain * rnd.randint(0, max(steps, 0))])

    def may_note(self, rnd: Random, day: date) -> bool:
        return day in self.days and rnd.random() < self.note_chance


def make_dial(rnd: Random, boat: str, meter: str, span: tuple[date, date], out: set[date]) -> Dial:
    """A meter that runs on the days in `out`, seldom on others, and stands still for a while."""
    style = rnd.choices(["usual", "late", "early", "single", "ahead", "none"], [16, 3, 3, 1, 1, 1])[0]
    chance = rnd.choice([0, 0.5, 0.9]) if style in ("usual", "late", "early") else 0
    grain = rnd.choice([1, 5, 10, 10])
    fixed = _changes(rnd, span) if style in ("usual", "early", "late") else set()
    days = _true_days(rnd, span, out, grain, fixed)
    return Dial(boat, meter, days, style, chance, grain)


def _changes(rnd: Random, span: tuple[date, date]) -> set[date]:
    length = (span[1] - span[0]).days
    return {span[0] + DAY * rnd.randint(0, length) for _ in range(rnd.choice([0, 0, 1, 2, 4]))}


def _true_days(rnd, span, out, grain, changes) -> dict[date, DialDay]:
    hardest = rnd.choice([0, 2, 4, 8, 8, 12, 18])
    still = _still_days(rnd, span)
    days, day, dial = {}, span[0], grain * rnd.choice([0, 3, 400, 1500])
    while day <= span[1]:
        chance = 0.9 if day in out else 0.05
        runs = day not in still and rnd.random() < chance
        ran = grain * (rnd.randint(0, hardest * 10) // grain) if runs else 0
        days[day] = _dial_day(rnd, dial, ran, grain, day in changes)
        dial = days[day].high
        day += DAY
    return days


def _dial_day(rnd: Random, dial: int, ran: int, grain: int, changed: bool) -> DialDay:
    if not changed:
        return DialDay(dial, dial + ran)
    before = grain * (rnd.randint(0, ran) // grain)
    fresh = grain * rnd.choice([0, 0, 1, 50, 900])
    return DialDay(fresh, fresh + ran - before, (dial, dial + before))


def _still_days(rnd: Random, span: tuple[date, date]) -> set[date]:
    length = (span[1] - span[0]).days
    first = span[0] + DAY * rnd.randint(0, length)
    return {first + DAY * n for n in range(rnd.choice([0, 40, 150]))}


def readings_of(rnd: Random, dial: Dial, on: date, ends: list[date]) -> list[dict]:
    """The rows of readings.csv for one meter; every new meter is among them."""
    if dial.style == "none":
        return []
    wanted = _reading_days(rnd, dial, on, ends)
    rows = []
    for day, seen in dial.days.items():
        if seen.old:
            rows += _change_rows(rnd, dial, day, seen)
        elif day in wanted:
            rows += [_row(dial, day, hours) for hours in _once_or_twice(rnd, dial, day)]
    return rows


def busy_days(rnd: Random, rows: list[dict]) -> list[date]:
    """Days on which the dial is read twice or changed, and a few on which it is read once."""
    taken = [row["taken_on"] for row in rows]
    twice = sorted({day for day in taken if taken.count(day) > 1})
    return [date.fromisoformat(day) for day in twice + rnd.sample(taken, min(len(taken), 3))]


def _reading_days(rnd: Random, dial: Dial, on: date, ends: list[date]) -> set[date]:
    known = sorted(dial.days)
    anywhere = rnd.sample(known, rnd.randint(1, 25)) + [day for day in (on, on - DAY) if rnd.random() < 0.2]
    days = [d for d in anywhere + [e for e in ends if rnd.random() < 0.7] if d in dial.days]
    if dial.style == "single":
        return {rnd.choice([d for d in known if d <= on])}
    if dial.style == "ahead":
        return {d for d in days if d > on}
    middle = known[0] + (on - known[0]) * rnd.uniform(0.3, 0.95)
    kept = {"usual": days, "late": [d for d in days if d > middle], "early": [d for d in days if d < middle]}
    return set(kept[dial.style])


def _once_or_twice(rnd: Random, dial: Dial, day: date) -> set[int]:
    return {dial.pick(rnd, day) for _ in range(rnd.choice([1, 1, 1, 2]))}


def _change_rows(rnd: Random, dial: Dial, day: date, seen: DialDay) -> list[dict]:
    old = {rnd.choice(seen.old) for _ in range(rnd.choice([0, 1, 1, 2]))}
    return [_row(dial, day, hours) for hours in old] + [_row(dial, day, seen.low, "yes")]


def _row(dial: Dial, day: date, hours: int, new_meter: str = "") -> dict:
    return {
        "boat": dial.boat,
        "meter": dial.meter,
        "taken_on": day.isoformat(),
        "hours": written(hours),
        "new_meter": new_meter,
    }


def written(tenths: int) -> str:
    """Tenths of an hour as people write them: `12.5`, and `12` or `12.0` for a round one."""
    if tenths % 10 == 0 and tenths % 20 == 0:
        return str(tenths // 10)
    return f"{tenths // 10}.{tenths % 10}"
