"""What each meter and each component had run by the end of every single day, and what a charter day runs."""

from datetime import date, timedelta
from fractions import Fraction

from .naive_rows import Folder, Place, Service

DAY = timedelta(days=1)
YEAR = timedelta(days=365)
PRIOR_DAYS = 14


class MeterLog:
    """One meter: its readings in the order they count, and its total day by day."""

    def __init__(self, known: Folder, boat: str, meter: str):
        self.boat = boat
        self.on = known.on
        self.readings: list[tuple[date, Fraction]] = []
        self._total: dict[date, Fraction] = {}
        self._ahead: dict[date, Fraction] = {}  # how far the total is ahead of the dial
        rows = [r for r in known.readings if (r.boat, r.meter) == (boat, meter)]
        notes = [n for n in _notes(known) if (n[0], n[1]) == (boat, meter)]
        days = [r.taken_on for r in rows] + [n[2] for n in notes]
        if days:
            self._walk(min(days), rows, notes)

    def _walk(self, day: date, rows: list, notes: list) -> None:
        ahead = Fraction(0)
        while day <= self.on:
            for dial, is_new in _dials_of(day, rows, notes):
                if is_new and self.readings:
                    ahead = self.readings[-1][1] - dial
                self.readings.append((day, dial + ahead))
            self._total[day] = self.readings[-1][1]
            self._ahead[day] = ahead
            day += DAY

    def total(self, day: date) -> Fraction:
        """The total by the end of the day; before the first reading, the first."""
        return self._total.get(day, self.readings[0][1])

    def total_of(self, dial: Fraction, day: date) -> Fraction:
        """The total when the dial noted that day showed so much."""
        return dial + self._ahead[day]


def _dials_of(day: date, rows: list, notes: list) -> list[tuple[Fraction, bool]]:
    plain = sorted(r.hours for r in rows if r.taken_on == day and not r.new_meter)
    marked = [r.hours for r in rows if r.taken_on == day and r.new_meter]
    noted = sorted(n[3] for n in notes if n[2] == day)
    if not marked:
        return [(dial, False) for dial in sorted(plain + noted)]
    return [(d, False) for d in plain] + [(d, True) for d in marked] + [(d, False) for d in noted]


def _notes(known: Folder) -> list[tuple[str, str, date, Fraction]]:
    """What fittings and services wrote down: boat, meter, day, dial."""
    found = []
    for place in [place for places in known.places.values() for place in places]:
        if place.fitted_hours is not None:
            found.append((place.boat, place.meter, place.fitted_on, place.fitted_hours))
        if place.removed_hours is not None:
            found.append((place.boat, place.meter, place.removed_on, place.removed_hours))
    for service in known.services:
        place = place_on(known.places.get(service.component, []), service.done_on)
        if service.hours is not None and place is not None:
            found.append((place.boat, place.meter, service.done_on, service.hours))
    return found


def place_on(places: list[Place], day: date) -> Place | None:
    """Where it is that day; on the day of a move, the new place."""
    for place in places:
        if place.fitted_on <= day and (place.removed_on is None or day < place.removed_on):
            return place
    return None


class Hours:
    """The hours of every meter and component of the folder."""

    def __init__(self, known: Folder):
        self.known = known
        logs = {key: MeterLog(known, *key) for key in known.meters}
        self.logs = {key: log for key, log in logs.items() if log.readings}

    def log_at(self, place: Place) -> MeterLog | None:
        return self.logs.get((place.boat, place.meter))

    def start(self, place: Place) -> Fraction:
        """The meter's total at which the part started there."""
        log = self.log_at(place)
        if place.fitted_hours is not None:
            return log.total_of(place.fitted_hours, place.fitted_on)
        return log.total(place.fitted_on)

    def at_place(self, place: Place, day: date) -> Fraction:
        """What the part ran at one place by the end of the day."""
        log = self.log_at(place)
        if log is None or place.fitted_on > day:
            return Fraction(0)
        if place.removed_on is None or place.removed_on > day:
            return log.total(day) - self.start(place)
        if place.removed_hours is not None:
            return log.total_of(place.removed_hours, place.removed_on) - self.start(place)
        return log.total(place.removed_on) - self.start(place)

    def of(self, component: str, day: date) -> Fraction:
        """What the part had run by the end of the day, wherever it was."""
        return sum((self.at_place(p, day) for p in self.known.places[component]), Fraction(0))

    def before(self, component: str, place: Place) -> Fraction:
        """What it had run when it came to that place."""
        earlier = [p for p in self.known.places[component] if p.fitted_on < place.fitted_on]
        return sum((self.at_place(p, self.known.on) for p in earlier), Fraction(0))

    def served(self, component: str, day: date, services: list[Service]) -> Fraction:
        """The hours at which a day's services count: the largest noted, else the day's."""
        noted = [s.hours for s in services if s.hours is not None]
        place = place_on(self.known.places[component], day)
        if not noted or place is None or self.log_at(place) is None:
            return self.of(component, day)
        total = self.log_at(place).total_of(max(noted), day)
        return self.before(component, place) + total - self.start(place)

    def rate(self, place: Place) -> Fraction | None:
        """Hours expected of a charter day at that place; None where nobody has a rate."""
        common = self._common_rate(self.known.base_of[place.boat])
        ran, days = self._ran_in_charters(self.log_at(place))
        if common is None or days == 0:
            return common
        return (ran + PRIOR_DAYS * common) / (days + PRIOR_DAYS)

    def _common_rate(self, base: str) -> Fraction | None:
        own = [log for log in self.logs.values() if self.known.base_of[log.boat] == base]
        for logs in (own, list(self.logs.values())):
            pairs = [self._ran_in_charters(log) for log in logs]
            pairs = [(ran, days) for ran, days in pairs if days > 0]
            if pairs:
                return sum(ran for ran, _ in pairs) / Fraction(sum(days for _, days in pairs))
        return None

    def _ran_in_charters(self, log: MeterLog) -> tuple[Fraction, int]:
        last_day, last = log.readings[-1]
        first_day, first = next(r for r in log.readings if r[0] >= last_day - YEAR)
        days, day = 0, first_day
        while day < last_day:
            days += out_on(self.known, log.boat, day)
            day += DAY
        return last - first, days


def out_on(known: Folder, boat: str, day: date) -> bool:
    """Whether a charter covers the day: from its start, up to and not with its end."""
    return any(c.boat == boat and c.starts_on <= day < c.ends_on for c in known.charters)
