"""Which boats go by which list of gear, and what each is short of: one table of a base."""

from collections.abc import Sequence
from typing import Any

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.planning.gear import asked_of
from maintenance.release.facts import next_charters
from maintenance.safety.short import Asked

NO_LIST = "goes by no list"


def boats_by_list(desk: Desk, lists: Sequence[str]) -> list[dict[str, Any]]:
    """A row a boat, a cell a list, through each boat's next charter; the number of queries does not
    hang on how many there are. Boats that go by no list first: nothing of them is held."""
    boats = {boat.pk: boat for boat in Boat.objects.of_base(desk.base.pk, desk.today).order_by("name")}
    trips = next_charters(boats, desk.today)
    asked = asked_of(desk.base, boats, trips, on=desk.today, now=desk.now)
    rows = [_row(boat, asked.get(pk, []), lists) for pk, boat in boats.items()]
    return sorted(rows, key=lambda row: not row["none"]) if asked else []


def _row(boat: Boat, asked: Sequence[Asked], lists: Sequence[str]) -> dict[str, Any]:
    cells = [_cell([a for a in asked if a.list == name]) | {"list": name} for name in lists]
    return {"boat": boat, "cells": cells, "none": not any(cell["adopted"] for cell in cells)}


def _cell(asked: Sequence[Asked]) -> dict[str, Any]:
    adopted = any(a.adopted for a in asked)
    short = [f"{a.thing}: {a.in_date} of {a.required} in date" for a in asked if a.short]
    goes = "goes by it" if adopted else "does not go by it"
    said = wording.many(len(short), "thing") + " short" if short else "nothing short"
    if not asked:
        said = "asks for nothing yet"
    return {"adopted": adopted, "short": short, "says": wording.sentence(f"{goes}, {said}")}
