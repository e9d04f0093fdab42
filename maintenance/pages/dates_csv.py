"""The audit of printed dates for a spreadsheet."""

from collections.abc import Iterator
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse

from fleet.pages.desk import Desk
from maintenance.pages import date_wording
from maintenance.pages.csv_out import as_table
from maintenance.safety.audit import Audit, Line

COLUMNS = [
    "boat",
    "thing",
    "position",
    "serial",
    "date",
    "state",
    "good_through",
    "as_written",
    "why",
    "judged_on",
    "judged_through",
    "charter",
    "recorded_at",
    "recorded_by",
    "paper",
]


def as_csv(audit: Audit, desk: Desk) -> HttpResponse:
    """The same lines for a spreadsheet."""
    rows = (_cells(line, audit.on, desk) for line in audit.lines)
    return as_table(f"dates-{desk.base.code}-{audit.on}", COLUMNS, rows)


def _cells(line: Line, on: date, desk: Desk) -> Iterator[Any]:
    of, printed, booking = line.thing, line.printed, line.through.booking
    yield from (of.boat_name, of.kind_name, of.position, line.serial, line.expected.what, line.state)
    yield from (line.good_through, printed.as_written if printed else "")
    yield date_wording.why(line, desk.today, desk.base.day_of)
    yield from (on, line.through.day, booking.code if booking else "")
    zone = ZoneInfo(desk.base.timezone)
    yield f"{printed.recorded_at.astimezone(zone):%Y-%m-%d %H:%M}" if printed else ""
    yield from (printed.recorded_by, printed.paper) if printed else ("", "")
