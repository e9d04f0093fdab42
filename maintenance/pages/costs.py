"""What parts cost: a season boat by boat, each sum openable to its parts, and a service by its list."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.ordering.costs import Part, TaskCost, cost_of_parts, cost_of_services, parts_used
from maintenance.pages import wording
from maintenance.pages.csv_out import as_table
from maintenance.pages.money import typed
from maintenance.pages.span import span_form

PARTS = (
    *("day", "boat", "code", "part", "part_number", "quantity", "unit", "one_costs", "currency", "cost"),
    "job",
)
TASKS = ("task", "of", "code", "part", "part_number", "quantity", "unit", "one_costs", "currency", "cost")
NOBODY = "No boat said"


@at_base("see prices")
def costs(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What was used from a day to another, both counted, at the prices of the day it was used."""
    form = span_form(request, desk.today)
    since, until = form.span
    boats = _boats(desk, since, until)
    parts = parts_used(desk.base, boats, since=since, until=until)
    tasks = cost_of_services(boats, base=desk.base, on=desk.today)
    if request.GET.get("format") == "csv" and form.is_valid():
        return _table(request.GET.get("of", ""), parts, tasks, desk, (since, until))
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "since": wording.day(since),
        "until": wording.day(until),
        "whole": str(cost_of_parts(parts)),
        "unknown": _unknown(parts),
        "boats": _by_boat(parts, desk.today),
        "tasks": [_task(task) for task in tasks],
        "asked": urlencode({"since": since.isoformat(), "until": until.isoformat(), "format": "csv"}),
    }
    return render(request, "maintenance/costs.html", context, status=200 if form.is_valid() else 422)


def _boats(desk: Desk, since: date, until: date) -> list[int]:
    """Those the base looked after on the first day or on the last."""
    days = (Boat.objects.of_base(desk.base.pk, day) for day in (since, until))
    return sorted({key for boats in days for key in boats.values_list("pk", flat=True)})


def _names(parts: Iterable[Part]) -> dict[int | None, str]:
    keys = {part.boat for part in parts if part.boat is not None}
    names: dict[int | None, str] = {key: boat.name for key, boat in Boat.objects.in_bulk(keys).items()}
    return names | {None: NOBODY}


def _by_boat(parts: Sequence[Part], today: date) -> list[dict[str, Any]]:
    names = _names(parts)
    found: dict[int | None, list[Part]] = defaultdict(list)
    for part in parts:
        found[part.boat].append(part)
    order = sorted(found, key=lambda boat: (boat is None, names[boat]))
    return [
        {
            "boat": boat,
            "name": names[boat],
            "cost": str(cost_of_parts(found[boat])),
            "parts": [part_told(part, today) for part in found[boat]],
        }
        for boat in order
    ]


def part_told(part: Part, today: date | None = None) -> dict[str, Any]:
    """One part that was used: the day, how much of what, and what it cost."""
    move = part.move
    unit = f" {move.spare.unit}" if move.spare.unit not in ("", "each") else ""
    return {
        "day": wording.day(move.day, today),
        "how_many": f"{wording.quantity(move.quantity)}{unit}",
        "spare": move.spare,
        "each": typed(part.each) if part.each else "",
        "cost": str(part.cost) if part.cost else "no price known",
        "job": part.job.pk if part.job else None,
    }


def _unknown(parts: Iterable[Part]) -> list[str]:
    """The parts nobody knows a price of, by name, each once."""
    found = {part.move.spare_id: part.move.spare for part in parts if part.each is None}
    return sorted(f"{spare.name} {spare.part_number}".rstrip() for spare in found.values())


def _task(task: TaskCost) -> dict[str, Any]:
    return {
        "task": task.task,
        "of": task.of,
        "cost": str(task.cost),
        "parts": [
            {
                "how_many": wording.quantity(line.quantity),
                "spare": line.spare,
                "each": f"{typed(line.each)} each" if line.each else "no price known",
            }
            for line in task.lines
        ],
    }


def _table(
    of: str, parts: Sequence[Part], tasks: Sequence[TaskCost], desk: Desk, span: tuple[date, date]
) -> HttpResponse:
    if of == "tasks":
        return as_table(f"services-{desk.base.code}-{desk.today}", TASKS, _task_cells(tasks))
    names = _names(parts)
    boats = {key: name if key else "" for key, name in names.items()}
    rows = ([part.move.day, boats[part.boat], *cells(part), _job(part)] for part in parts)
    return as_table(f"parts-{desk.base.code}-{span[0]}-{span[1]}", PARTS, rows)


def _job(part: Part) -> Any:
    return part.job.pk if part.job else ""


def cells(part: Part) -> list[Any]:
    """A part's own cells, from its code to what it cost; blank where no price is known."""
    spare, each, cost = part.move.spare, part.each, part.cost
    price = [each.amount, each.currency, cost.amount] if each and cost else ["", "", ""]
    return [spare.code, spare.name, spare.part_number, part.move.quantity, spare.unit, *price]


def _task_cells(tasks: Sequence[TaskCost]) -> Iterator[list[Any]]:
    for task in tasks:
        for line in task.lines:
            spare, each = line.spare, line.each
            price = [each.amount, each.currency, each.amount * line.quantity] if each else ["", "", ""]
            own = [spare.code, spare.name, spare.part_number, line.quantity, spare.unit]
            yield [task.task, task.of, *own, *price]
