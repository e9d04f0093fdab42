"""Tables for a spreadsheet."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.http import HttpResponse

# One that looks as if it had the mark already gets another: taking a table in takes one off.
FORMULA = re.compile(r"'*[=+\-@\t\r\n]")


def as_table(name: str, columns: Sequence[str], rows: Iterable[Iterable[Any]]) -> HttpResponse:
    """A file of rows under these columns; the mark at its head tells a spreadsheet that this is UTF-8."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return HttpResponse(
        out.getvalue().encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )


def _cell(value: Any) -> str:
    """A cell that no spreadsheet takes for a formula; a number is none."""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    text = "" if value is None else str(value)
    return f"'{text}" if FORMULA.match(text) else text
