"""What is due, worked out the slow way, a day and a grid point at a time, to test the quick way."""

from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

from .naive_hours import DAY, Hours, out_on, place_on
from .naive_points import good_to, hours_later, is_the_day, months_later, replay
from .naive_rows import Folder, Place, Service, number, read_folder

TIE_ORDER = ["expiry", "season", "calendar", "charters", "hours"]


def naive_due(folder: Path, on: date) -> list[dict]:
    """What `due --on ON --all --format json` must answer for the folder."""
    known = read_folder(Path(folder), on)
    hours = Hours(known)
    lines = []
    for component in known.components:
        place = place_on(known.places.get(component["component"], []), on)
        for interval in known.intervals if place else []:
            if _belongs(interval, component):
                lines.append(_Line(known, hours, component, interval, place).answer())
    return sorted(lines, key=_order)


def _belongs(interval: dict, component: dict) -> bool:
    if interval["component"]:
        return interval["component"] == component["component"]
    return interval["kind"] == component["kind"]


def _order(line: dict):
    return (line["due_on"] or "9999-99-99", line["boat"], line["component"], line["interval"])


class _Line:
    """One interval of one component at the place where it is."""

    def __init__(self, known: Folder, hours: Hours, component: dict, interval: dict, place: Place):
        self.known, self.hours, self.on = known, hours, known.on
        self.component, self.interval, self.place = component, interval, place
        self.code = component["component"]
        self.fitted_on = min(p.fitted_on for p in known.places[self.code])
        self.services = self._services_by_day()
        self.base_day = max(self.services, default=self.fitted_on)
        self.since = max(self.base_day, place.fitted_on)
        self.charters = sorted((c for c in known.charters if c.boat == place.boat), key=lambda c: c.starts_on)

    def _services_by_day(self) -> dict[date, list[Service]]:
        wanted = self.interval["interval"]
        settling = {i["interval"] for i in self.known.intervals if wanted in i["settles"].split()}
        counting = [
            s for s in self.known.services if s.component == self.code and s.interval in settling | {wanted}
        ]
        return {
            day: [s for s in counting if s.done_on == day] for day in sorted({s.done_on for s in counting})
        }

    def answer(self) -> dict:
        self.days, self.limits, self.missing, self.past_limit = {}, {}, set(), False
        self.basis = {}
        dials = self._hours_limb()
        self._calendar_limb()
        self._season_limb()
        self._charters_limb()
        self._expiry_limb()
        return self._printed(dials)

    def _printed(self, dials: dict) -> dict:
        due_on = min(self.days.values(), default=None)
        governs = next((limb for limb in TIE_ORDER if due_on and self.days.get(limb) == due_on), None)
        limit_on = min(self.limits.values(), default=None)
        return {
            "boat": self.place.boat,
            "component": self.code,
            "kind": self.component["kind"],
            "interval": self.interval["interval"],
            "task": self.interval["task"],
            "due_on": due_on and due_on.isoformat(),
            "governs": governs,
            "basis": governs and self.basis.get(governs, "dated"),
            "limit_on": limit_on and limit_on.isoformat(),
            **dials,
            "overdue": self.past_limit or (limit_on is not None and limit_on < self.on),
            "before_handover": self._before_handover(limit_on),
            "recorded": bool(self.services),
            "missing": sorted(self.missing),
        }

    def _before_handover(self, limit_on: date | None) -> bool:
        coming = [c for c in self.charters if c.starts_on >= self.on]
        return bool(coming) and limit_on is not None and limit_on < coming[0].ends_on

    # Months

    def _calendar_limb(self) -> None:
        first, every = number(self.interval["first_months"]), number(self.interval["every_months"])
        if first is None and every is None:
            return
        early = timedelta(days=int(self.interval["early_days"] or 0))
        dones = list(self.services)
        due = replay(self.fitted_on, first, every, early, self._from_due(), dones, months_later)
        if due is not None:
            self.days["calendar"] = due
            self.limits["calendar"] = due + timedelta(days=int(self.interval["late_days"] or 0))

    def _from_due(self) -> bool:
        return self.interval["counts_from"] == "due"

    # Season

    def _season_limb(self) -> None:
        if self.interval["season_opens"]:
            day = self.base_day + DAY
            while not is_the_day(day, self.interval["season_opens"]):
                day += DAY
            while not is_the_day(day, self.interval["season_closes"]):
                day += DAY
            self.days["season"] = self.limits["season"] = day

    # Charters

    def _charters_limb(self) -> None:
        if not self.interval["every_charters"]:
            return
        gone = 0
        for charter in self.charters:
            if charter.starts_on >= self.since:
                gone += 1
            if gone == int(self.interval["every_charters"]) + 1:
                self.days["charters"] = self.limits["charters"] = charter.starts_on
                return
        self.missing.add("charter")

    # Expiry

    def _expiry_limb(self) -> None:
        if self.interval["on_expiry"] != "yes":
            return
        printed = self.component["expires_on"]
        if not printed:
            self.missing.add("expiry")
            return
        self.days["expiry"] = self.limits["expiry"] = good_to(printed)

    # Hours

    def _hours_limb(self) -> dict:
        blank = {"due_hours": None, "hours_now": None, "hours_left": None}
        point = self._hours_point()
        if point is None:
            return blank
        log = self.hours.log_at(self.place)
        if log is None:
            self.missing.add("reading")
            return blank
        self._set_hours_days(point, point + (number(self.interval["late_hours"]) or 0))
        now = log.total(self.on)
        left = point - self.hours.of(self.code, self.on)
        return {"due_hours": _tenths(now + left), "hours_now": _tenths(now), "hours_left": _tenths(left)}

    def _hours_point(self) -> Fraction | None:
        first, every = number(self.interval["first_hours"]), number(self.interval["every_hours"])
        if first is None and every is None:
            return None
        early = number(self.interval["early_hours"]) or Fraction(0)
        dones = [self.hours.served(self.code, day, done) for day, done in self.services.items()]
        return replay(Fraction(0), first, every, early, self._from_due(), dones, hours_later)

    def _set_hours_days(self, point: Fraction, limit: Fraction) -> None:
        day, basis = self._day_of(point)
        if day is None:
            self.missing.add(basis)
        else:
            self.days["hours"], self.basis["hours"] = day, basis
        limit_day, _ = self._day_of(limit)
        if limit_day is not None:
            self.limits["hours"] = limit_day
        self.past_limit = self.hours.of(self.code, self.on) > limit

    def _day_of(self, point: Fraction) -> tuple[date | None, str]:
        """The day the part reaches the point and its basis; or None and what is missing."""
        day = self.since
        while day <= self.on:
            if self.hours.of(self.code, day) >= point:
                return day, "reached"
            day += DAY
        return self._expected_day(point)

    def _expected_day(self, point: Fraction) -> tuple[date | None, str]:
        rate = self.hours.rate(self.place)
        if rate is None:
            return None, "reading"
        total = self.hours.of(self.code, self.on)
        day = max(self.since, self.hours.log_at(self.place).readings[-1][0])
        for _ in range((self._last_booked() - day).days):
            total += rate if out_on(self.known, self.place.boat, day) else 0
            if total >= point:
                return day, "expected"
            day += DAY
        return None, "charter"

    def _last_booked(self) -> date:
        return max((charter.ends_on for charter in self.charters), default=date.min)


def _tenths(hours: Fraction) -> float:
    return float(round(hours, 1))
