"""The due list written out: a table to read, JSON or CSV for other programs."""

import csv
import io
import json
from collections.abc import Callable, Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from maintenance.servicing.listing import Line

COLUMNS = (
    "boat",
    "component",
    "kind",
    "interval",
    "task",
    "due_on",
    "governs",
    "basis",
    "limit_on",
    "due_hours",
    "hours_now",
    "hours_left",
    "overdue",
    "before_handover",
    "recorded",
    "missing",
)
TENTH = Decimal("0.1")


def to_tenths(hours: Decimal | None) -> float | None:
    """Hours to 0.1, for other programs."""
    return None if hours is None else float(hours.quantize(TENTH, ROUND_HALF_UP))


def as_record(line: Line) -> dict[str, Any]:
    record = {column: getattr(line, column) for column in COLUMNS}
    for column in ("due_on", "limit_on"):
        record[column] = record[column] and record[column].isoformat()
    for column in ("due_hours", "hours_now", "hours_left"):
        record[column] = to_tenths(record[column])
    return record | {"missing": list(line.missing)}


def as_json(lines: Sequence[Line], on: date) -> str:
    return json.dumps([as_record(line) for line in lines], indent=1, ensure_ascii=False) + "\n"


def as_csv(lines: Sequence[Line], on: date) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for line in lines:
        record = as_record(line) | {"missing": " ".join(line.missing)}
        writer.writerow({c: _cell(value) for c, value in record.items()})
    return out.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else ""
    # A spreadsheet would run a text that begins like a formula.
    return f"'{value}" if isinstance(value, str) and value[:1] in "=+-@\t\r" and value else value


def as_table(lines: Sequence[Line], on: date) -> str:
    head = ("Due", "Boat", "Component", "Task", "Governs", "Hours left", "")
    rows = [_table_row(line) for line in lines]
    widths = [max(len(row[n]) for row in [head, *rows]) for n in range(len(head))]
    text = [f"On {on:%A} {on.day} {on:%B %Y}: {len(rows)} line{'' if len(rows) == 1 else 's'}"]
    text += [
        "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip()
        for row in [head, *rows]
    ]
    return "\n".join(text) + "\n"


def _table_row(line: Line) -> tuple[str, ...]:
    left = "" if line.hours_left is None else f"{to_tenths(line.hours_left):g}"
    governs = f"{line.governs}, {line.basis}" if line.governs == "hours" else line.governs or ""
    due = line.due_on.isoformat() if line.due_on else "no day"
    return due, line.boat, line.component, line.task, governs, left, _standing(line)


def _standing(line: Line) -> str:
    words = ["overdue"] if line.overdue else ["before handover"] if line.before_handover else []
    words += [] if line.recorded else ["never recorded"]
    words += [f"lacks {' and '.join(line.missing)}"] if line.missing else []
    return ", ".join(words)


FORMATS: dict[str, Callable[[Sequence[Line], date], str]] = {
    "table": as_table,
    "json": as_json,
    "csv": as_csv,
}
