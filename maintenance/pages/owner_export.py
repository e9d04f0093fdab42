"""What an owner is told of a boat: the work done and the parts used, and no internal word or name."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.ordering.costs import Part, WorkDone, cost_of_parts, parts_used, work_of
from maintenance.pages import wording
from maintenance.pages.costs import cells, part_told
from maintenance.pages.csv_out import as_table
from maintenance.pages.span import span_form

COLUMNS = (
    *("what", "day", "task_or_part", "thing", "part_number", "quantity", "unit"),
    *("one_costs", "currency", "cost"),
)
PRINTS = ((30, "large"), (60, "small"), (10**6, "tiny"))  # lines that fit on one page in each print


@at_base("export for an owner")
def owner_export(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """One boat from a day to another, both counted: on a sheet, or as a table."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    form = span_form(request, desk.today)
    since, until = form.span
    work = work_of(ship, since=since, until=until)
    used = parts_used(desk.base, [ship.pk], since=since, until=until)
    parts = [part for part in used if part.boat == ship.pk]
    if request.GET.get("format") == "csv" and form.is_valid():
        return as_table(f"{ship.code}-{since}-{until}", COLUMNS, _cells(work, parts))
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "form": form,
        "since": wording.day(since),
        "until": wording.day(until),
        "work": (rows := _together(work)),
        "parts": [part_told(part) for part in parts],
        "whole": str(cost_of_parts(parts)),
        "size": next(size for most, size in PRINTS if len(rows) + len(parts) <= most),
        "printed": wording.day(desk.today),
        "asked": urlencode({"since": since.isoformat(), "until": until.isoformat(), "format": "csv"}),
    }
    return render(request, "maintenance/owner_export.html", context, status=200 if form.is_valid() else 422)


def _together(work: Sequence[WorkDone]) -> list[dict[str, Any]]:
    """Each task on each thing once, with the days it was done: a year of it stands on one sheet."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    years = len({one.day.year for one in work}) > 1
    for one in work:
        day = f"{one.day.day} {one.day:%b}" + (f" {one.day.year}" if years else "")
        found[one.task, _thing(one)].append(day)
    return [{"task": task, "thing": thing, "days": days} for (task, thing), days in found.items()]


def _thing(one: WorkDone) -> str:
    return f"{one.kind}, {one.position}" if one.position else one.kind


def _cells(work: Sequence[WorkDone], parts: Sequence[Part]) -> Iterator[list[Any]]:
    for one in work:
        yield ["work", one.day, one.task, _thing(one), *[""] * 6]
    for part in parts:
        _, name, number, *more = cells(part)
        yield ["part", part.move.day, name, "", number, *more]
