"""The floor under `reforecast`: one hand-written query for each thing read, and numpy for the due days.

It knows only what the big fleet has: parts that never moved, meters never changed, intervals that
count from when they were done. Days are numbers since 1970, hours whole tenths, so that nothing is
rounded; a row of a boat or meter is looked up by one number, its key times SPREAD plus the day.
"""

import sqlite3
from dataclasses import dataclass

import numpy as np

from tests.bench.big_base import TODAY
from tests.bench.big_parts import SEASON

Days = np.ndarray
SPREAD = 1_000_000  # more than any day since 1970 or any dial in tenths, each for itself
NEVER = np.datetime64("9999-12-31").astype(int)
WEIGHT, LOOKS_BACK = 14, 365

DAY = "CAST(julianday({0}) - 2440587.5 AS INTEGER)"
LINES = f"""
    WITH counted(interval, by_interval) AS (
        SELECT id, id FROM maintenance_serviceinterval
        UNION ALL
        SELECT to_serviceinterval_id, from_serviceinterval_id FROM maintenance_serviceinterval_settles
    ), done(component, interval, day) AS (
        SELECT s.component_id, c.interval, max(s.done_on)
        FROM maintenance_service s JOIN counted c ON c.by_interval = s.interval_id
        WHERE s.done_on <= :today AND NOT s.void
        GROUP BY s.component_id, c.interval
    )
    SELECT f.component_id, i.id, f.boat_id, coalesce(f.meter_id, 0),
        {DAY.format("coalesce(d.day, f.fitted_on)")},
        coalesce(10 * i.every_hours, 0), coalesce(i.every_months, 0), coalesce(i.every_charters, 0),
        i.season_opens <> '', CASE WHEN i.on_expiry THEN {DAY.format("p.good_through")} ELSE {NEVER} END
    FROM fleet_fitting f
    JOIN fleet_component c ON c.id = f.component_id
    JOIN maintenance_serviceinterval i ON i.kind_id = c.kind_id
    LEFT JOIN done d ON d.component = f.component_id AND d.interval = i.id
    LEFT JOIN fleet_printeddate p ON p.component_id = f.component_id
    ORDER BY f.component_id, i.id
"""
READINGS = f"""
    SELECT meter_id, {DAY.format("day")}, CAST(round(10 * dial) AS INTEGER)
    FROM fleet_reading WHERE day <= :today AND standing = 'used' AND NOT void ORDER BY meter_id, day, dial
"""
CHARTERS = f"""
    SELECT boat_id, {DAY.format("starts_on")}, {DAY.format("ends_on")}
    FROM fleet_charter WHERE cancelled_at IS NULL ORDER BY boat_id, starts_on
"""
METERS = """
    SELECT m.id, m.boat_id, t.base_id FROM fleet_meter m JOIN fleet_boatterms t ON t.boat_id = m.boat_id
    ORDER BY m.id
"""


def _columns(connection: sqlite3.Connection, sql: str) -> list[np.ndarray]:
    rows = connection.execute(sql, {"today": TODAY.isoformat()}).fetchall()
    return list(np.array(rows, dtype=np.int64).T)


@dataclass(frozen=True)
class Charters:
    """Every boat's charters in one row of numbers, and the charter days before each."""

    boat: np.ndarray
    starts: Days
    ends: Days

    @property
    def at(self) -> np.ndarray:
        return self.boat * SPREAD + self.starts

    @property
    def until(self) -> np.ndarray:
        """Charter days of all boats up to the end of each charter."""
        return np.cumsum(self.ends - self.starts)

    def days_before(self, boat: np.ndarray, day: Days) -> np.ndarray:
        """Charter days of all boats up to a day of one: of use as a difference or a target only."""
        n = np.searchsorted(self.at, boat * SPREAD + day, side="right") - 1
        length = (self.ends - self.starts)[n]
        return self.until[n] - length + np.clip(boat * SPREAD + day - self.at[n], 0, length)

    def day_run(self, boat: np.ndarray, start: Days, days: np.ndarray) -> Days:
        """The `days`-th charter day from a day on."""
        target = self.days_before(boat, start) + days
        n = np.minimum(np.searchsorted(self.until, target), len(self.boat) - 1)
        there = (self.boat[n] == boat) & (self.until[n] >= target)
        return np.where(there, self.ends[n] - (self.until[n] - target) - 1, NEVER)

    def goes_out(self, boat: np.ndarray, since: Days, after: np.ndarray) -> Days:
        """The start of the charter that has so many others before it since a day."""
        n = np.searchsorted(self.at, boat * SPREAD + since) + after
        there = (n < len(self.boat)) & (self.boat[np.minimum(n, len(self.boat) - 1)] == boat)
        return np.where(there, self.starts[np.minimum(n, len(self.boat) - 1)], NEVER)


def _months_later(day: Days, months: np.ndarray) -> Days:
    """The same day of the month, or the month's last."""
    dates = day.astype("datetime64[D]")
    month = dates.astype("datetime64[M]")
    later = month + months
    last = (later + 1).astype("datetime64[D]") - np.timedelta64(1, "D")
    return np.minimum(later.astype("datetime64[D]") + (dates - month), last).astype(np.int64)


def _season_end(day: Days) -> Days:
    """The close, in the year after, of the first season that opens after a day."""
    year = day.astype("datetime64[D]").astype("datetime64[Y]")
    opens, closes = (_day_in_year(SEASON[end]) for end in ("season_opens", "season_closes"))
    opened = year.astype("datetime64[M]") + opens[0]
    passed = (opened.astype("datetime64[D]") + opens[1]).astype(np.int64) <= day
    following = (year + passed + 1).astype("datetime64[M]") + closes[0]
    return (following.astype("datetime64[D]") + closes[1]).astype(np.int64)


def _day_in_year(month_day: str) -> tuple[int, int]:
    month, day = month_day.split("-")
    return int(month) - 1, int(day) - 1


def _hours_day(boat, meter, since, every, readings, meters, charters: Charters) -> Days:
    """The day the meter reached the total of the base day plus a step, or is expected to."""
    of, day, dial = readings
    ids, boats, bases = meters
    first, last = np.searchsorted(of, ids), np.searchsorted(of, ids, side="right") - 1
    opens = np.searchsorted(of * SPREAD + day, ids * SPREAD + day[last] - LOOKS_BACK)
    out = charters.days_before(boats, day[last]) - charters.days_before(boats, day[opens])
    run = np.where(out > 0, dial[last] - dial[opens], 0)
    base_run, base_out = (np.bincount(bases, weights=w).astype(np.int64)[bases] for w in (run, out))
    n = np.searchsorted(ids, meter)
    total = dial[np.searchsorted(of * SPREAD + day, meter * SPREAD + since, side="right") - 1] + every
    reached = np.searchsorted(of * SPREAD + dial, meter * SPREAD + total)
    shown = reached <= last[n]
    # Hours left by hours a charter day: (S + 14 m) / (D + 14) with m = run / out of the base.
    rate_over = (run * base_out + WEIGHT * base_run)[n]
    left = np.maximum(total - dial[last[n]], 0) * ((out + WEIGHT) * base_out)[n]
    days = -(-left // rate_over)
    expected = charters.day_run(boat, np.maximum(day[last[n]], since), days)
    assert np.all(first <= last)
    return np.where(shown, day[np.minimum(reached, len(day) - 1)], expected)


def due_by_hand(connection: sqlite3.Connection) -> dict[tuple[int, int], str]:
    """The due day of every line, by component and interval."""
    component, interval, boat, meter, since, hours, months, every, season, printed = _columns(
        connection, LINES
    )
    readings, meters = _columns(connection, READINGS), _columns(connection, METERS)
    charters = Charters(*_columns(connection, CHARTERS))
    due = printed.copy()
    due = np.where(months > 0, np.minimum(due, _months_later(since, months)), due)
    due = np.where(season > 0, np.minimum(due, _season_end(since)), due)
    due = np.where(every > 0, np.minimum(due, charters.goes_out(boat, since, every)), due)
    on = hours > 0
    by_hours = _hours_day(boat[on], meter[on], since[on], hours[on], readings, meters, charters)
    due[on] = np.minimum(due[on], by_hours)
    days = due.astype("datetime64[D]").astype(str)
    return dict(zip(zip(component.tolist(), interval.tolist(), strict=True), days.tolist(), strict=True))


def stored(connection: sqlite3.Connection) -> dict[tuple[int, int], str]:
    """The due day of every line as the book has it."""
    rows = connection.execute("SELECT component_id, interval_id, sort_on FROM maintenance_due")
    return {(component, interval): day for component, interval, day in rows}


def rewrite(connection: sqlite3.Connection, where: str = "true") -> None:
    """Takes due rows out and puts the same ones back; one transaction is the caller's."""
    rows = connection.execute(f"SELECT * FROM maintenance_due WHERE {where}").fetchall()
    connection.execute(f"DELETE FROM maintenance_due WHERE {where}")
    if rows:
        marks = ", ".join("?" * len(rows[0]))
        connection.executemany(f"INSERT INTO maintenance_due VALUES ({marks})", rows)
