"""The audit of printed dates for a spreadsheet."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse

from fleet.pages.desk import Desk
from maintenance.pages import date_wording
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
    """The same lines for a spreadsheet; the mark at its head tells it that this is UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([_cell(value) for value in _cells(line, audit.on, desk)] for line in audit.lines)
    name = f"dates-{desk.base.code}-{audit.on}.csv"
    return HttpResponse(
        out.getvalue().encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _cells(line: Line, on: date, desk: Desk) -> Iterator[Any]:
    of, printed, booking = line.thing, line.printed, line.through.booking
    yield from (of.boat_name, of.kind_name, of.position, line.serial, line.expected.what, line.state)
    yield from (line.good_through, printed.as_written if printed else "")
    yield date_wording.why(line, desk.today, desk.base.day_of)
    yield from (on, line.through.day, booking.code if booking else "")
    zone = ZoneInfo(desk.base.timezone)
    yield f"{printed.recorded_at.astimezone(zone):%Y-%m-%d %H:%M}" if printed else ""
    yield from (printed.recorded_by, printed.paper) if printed else ("", "")


def _cell(value: Any) -> str:
    """A cell that no spreadsheet takes for a formula."""
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r", "\n")) else text
