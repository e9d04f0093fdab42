"""Components of a made-up fleet: where they were fitted and moved to, and the services done on them."""

from calendar import monthrange
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from .random_dials import DAY, Dial, written
from .random_intervals import METERED, UNMETERED


@dataclass
class Stay:
    """One place a component was; `noted` is what was written down of the dial when it came."""

    boat: str
    meter: str
    fitted_on: date
    noted: int | None = None
    removed_on: date | None = None
    removed_noted: int | None = None


@dataclass
class Part:
    code: str
    kind: str
    expires_on: str
    stays: list[Stay] = field(default_factory=list)

    def stay_on(self, day: date) -> Stay | None:
        for stay in self.stays:
            if stay.fitted_on <= day and (stay.removed_on is None or day < stay.removed_on):
                return stay
        return None


def make_parts(rnd: Random, meters: dict[str, list[str]], dials: dict, days: dict) -> list[Part]:
    """Parts for every boat; `meters` by boat, `days` has start, on, end and the notable ones."""
    parts = []
    for boat in meters:
        for kind in rnd.choices(METERED, k=rnd.randint(3, 6)) + rnd.sample(UNMETERED, 2):
            part = Part(f"{len(parts):03d}-{kind}", kind, _expiry(rnd, days))
            meter = _meter_for(rnd, kind, meters[boat])
            first = Stay(boat, meter, _fitted_on(rnd, dials.get((boat, meter)), days))
            _stay_about(rnd, part, first, meters, dials, days)
            parts.append(part)
    return parts


def _meter_for(rnd: Random, kind: str, meters: list[str]) -> str:
    chance = 0.95 if kind in METERED else 0.1
    return rnd.choice(meters) if meters and rnd.random() < chance else ""


def _fitted_on(rnd: Random, dial: Dial | None, days: dict) -> date:
    if dial and dial.busy and rnd.random() < 0.3:
        return rnd.choice(dial.busy)
    if rnd.random() < 0.15:
        return min(rnd.choice(days["notable"]), days["end"])
    if rnd.random() < 0.2:
        return _same_day_of_earlier_month(days["on"], rnd.choice([1, 3, 6, 12]))
    late = days["on"] if rnd.random() < 0.9 else days["end"]
    return days["start"] + DAY * rnd.randint(-200, (late - days["start"]).days)


def _same_day_of_earlier_month(on: date, months: int) -> date:
    year, month = divmod(on.year * 12 + on.month - 1 - months, 12)
    return date(year, month + 1, min(on.day, monthrange(year, month + 1)[1]))


def _expiry(rnd: Random, days: dict) -> str:
    day = rnd.choice(days["notable"] + [days["on"] + DAY * rnd.randint(-300, 400)])
    return rnd.choice(["", day.isoformat(), day.isoformat(), day.isoformat()[:7]])


def _stay_about(rnd, part: Part, stay: Stay, meters: dict, dials: dict, days: dict) -> None:
    """Let the part stay at its first place and be moved up to three times."""
    moves = rnd.choice([0, 0, 0, 1, 1, 2, 3])
    while True:
        _note_fitting(rnd, stay, dials, part)
        part.stays.append(stay)
        taken_off = moves or rnd.random() < 0.08
        removed_on = _removed_on(rnd, stay, dials.get((stay.boat, stay.meter)))
        if not taken_off or removed_on > days["end"]:
            return
        stay.removed_on = removed_on
        _note_removal(rnd, stay, dials)
        comes_back = removed_on + DAY * rnd.choice([0, 0, 1, rnd.randint(1, 60)])
        if not moves or comes_back > days["end"]:
            return
        boat = rnd.choice(list(meters))
        stay = Stay(boat, _meter_for(rnd, part.kind, meters[boat]), comes_back)
        moves -= 1


def _removed_on(rnd: Random, stay: Stay, dial: Dial | None) -> date:
    busy = [day for day in dial.busy if day > stay.fitted_on] if dial else []
    if busy and rnd.random() < 0.4:
        return rnd.choice(busy)
    return stay.fitted_on + DAY * rnd.choice([1, 7, rnd.randint(1, 400)])


def _note_fitting(rnd: Random, stay: Stay, dials: dict, part: Part) -> None:
    dial: Dial | None = dials.get((stay.boat, stay.meter))
    if dial and dial.may_note(rnd, stay.fitted_on):
        stay.noted = dial.pick(rnd, stay.fitted_on, _left_there_today(part, stay))


def _left_there_today(part: Part, stay: Stay) -> int:
    """Put back on the meter it left that very day, it starts no lower than it stopped."""
    last = part.stays[-1] if part.stays else None
    same = last and (last.boat, last.meter, last.removed_on) == (stay.boat, stay.meter, stay.fitted_on)
    return (same and last.removed_noted) or 0


def _note_removal(rnd: Random, stay: Stay, dials: dict) -> None:
    dial: Dial | None = dials.get((stay.boat, stay.meter))
    if dial and dial.may_note(rnd, stay.removed_on):
        stay.removed_noted = dial.pick(rnd, stay.removed_on)


def make_services(rnd: Random, parts: list, intervals: list, dials: dict, days: dict) -> list[dict]:
    """Services of every interval on every part it fits, many on days that several share."""
    rows = []
    for part in parts:
        chance = rnd.choice([0, 0.2, 0.5])
        shared = _service_days(rnd, part, dials, days, rnd.randint(1, 6))
        for interval in intervals:
            if part.kind == interval["kind"] or part.code == interval["component"]:
                own = _service_days(rnd, part, dials, days, rnd.choice([0, 0, 0, 1, 3]))
                done = {day for day in shared if rnd.random() < chance} | set(own)
                rows += [_service(rnd, part, interval, day, dials) for day in sorted(done)]
    return rows


def _service_days(rnd: Random, part: Part, dials: dict, days: dict, number: int) -> list[date]:
    first, last = part.stays[0].fitted_on, part.stays[-1].removed_on
    last = last - DAY if last else days["end"]
    moved = [day for stay in part.stays for day in (stay.fitted_on, stay.removed_on) if day]
    anywhere = [first + timedelta(days=rnd.randint(0, (last - first).days)) for _ in range(12)]
    busy = [day for s in part.stays if (s.boat, s.meter) in dials for day in dials[s.boat, s.meter].busy]
    picked = rnd.sample(anywhere + moved + busy + days["notable"], number)
    return [day for day in picked if first <= day <= last]


def _service(rnd: Random, part: Part, interval: dict, day: date, dials: dict) -> dict:
    stay = part.stay_on(day)
    dial = dials.get((stay.boat, stay.meter)) if stay else None
    hours = ""
    if dial and dial.may_note(rnd, day):
        hours = written(dial.pick(rnd, day, (stay.fitted_on == day and stay.noted) or 0))
    return {
        "component": part.code,
        "interval": interval["interval"],
        "done_on": day.isoformat(),
        "hours": hours,
    }
