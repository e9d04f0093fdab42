"""A move of stock in words: what was done, from where to where, for what, by whom."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.urls import reverse

from fleet.boats.models import Place
from fleet.pages.desk import Desk
from maintenance.jobs.models import JobMove
from maintenance.ordering.models import OrderMove
from maintenance.pages import wording
from maintenance.pages.stores import Stores
from maintenance.spares.history import firsts_of
from maintenance.spares.models import Spare, StockMove
from maintenance.turnaround.models import LinkDefectMove, ReturnMove

ELSEWHERE = "another base"


@dataclass(frozen=True, slots=True)
class For:
    """What a move was made with: a job, a return, a report, an order; where to read of it."""

    says: str
    address: str = ""


def with_what(moves: Collection[StockMove], desk: Desk) -> dict[int, For]:
    """What each move was made with, by its key: four queries, and those of `firsts_of`."""
    firsts = firsts_of(moves)
    known = _jobs(firsts.values(), desk) | _returns(firsts.values(), desk)
    known |= _reports(firsts.values(), desk) | _orders(firsts.values(), desk)
    return {key: known[first] for key, first in firsts.items() if first in known}


def _jobs(keys: Iterable[int], desk: Desk) -> dict[int, For]:
    rows = JobMove.objects.filter(move__in=keys).select_related("job__boat")
    return {r.move_id: For(f"work on {r.job.boat.name}", _at("job", desk, r.job_id)) for r in rows}


def _returns(keys: Iterable[int], desk: Desk) -> dict[int, For]:
    rows = ReturnMove.objects.filter(move__in=keys).select_related("filed__boat")
    return {
        r.move_id: For(f"the return of {r.filed.boat.name}", _at("filed", desk, r.filed_id)) for r in rows
    }


def _reports(keys: Iterable[int], desk: Desk) -> dict[int, For]:
    rows = LinkDefectMove.objects.filter(move__in=keys).select_related("defect__defect__boat")
    return {
        r.move_id: For(f"a report from {r.defect.defect.boat.name}", _at("defect", desk, r.defect.defect_id))
        for r in rows
    }


def _orders(keys: Iterable[int], desk: Desk) -> dict[int, For]:
    rows = OrderMove.objects.filter(move__in=keys).select_related("line__order")
    return {r.move_id: For(f"the order of {r.line.order}", _at("order", desk, r.line.order_id)) for r in rows}


def _at(page: str, desk: Desk, key: int) -> str:
    return reverse(page, args=[desk.base.code, key])


def amount(quantity: Decimal, spare: Spare) -> str:
    """4.5 litre, or 2 where it is counted by the piece."""
    unit = f" {spare.unit}" if spare.unit not in ("", "each") else ""
    return f"{wording.quantity(quantity)}{unit}"


def done(move: StockMove, stores: Stores) -> str:
    """Used from Store, A1; moved from Store, A1 to Limpet’s kit; counted, 2 fewer."""
    went, came = _place(move.from_place, stores), _place(move.to_place, stores)
    if move.why == StockMove.Why.COUNTED:
        more = "fewer" if move.from_place_id else "more"
        return f"counted at {went or came}: {amount(move.quantity, move.spare)} {more} than the book had"
    if _astray(move.to_place):
        return f"not at {went}, where it should be: looked for"
    if _astray(move.from_place):
        return f"found again, at {came}" if came else "given up, no longer looked for"
    text = move.why + (f" from {went}" if went else "")
    if came:
        text += f" to {came}" if went else f" at {came}"
    return text


def _astray(place: Place | None) -> bool:
    return place is not None and place.sort == Place.Sort.ASTRAY


def _place(place: Place | None, stores: Stores) -> str:
    if place is None:
        return ""
    return stores.path(place) if place.pk in stores.places else ELSEWHERE


def signed(move: StockMove, stores: Stores) -> str:
    """By how much the base has more or less of it; as it is where it only changed its place."""
    quantity = wording.quantity(move.quantity)
    went, came = move.from_place_id in stores.places, move.to_place_id in stores.places
    if went == came:
        return quantity
    return f"+{quantity}" if came else f"−{quantity}"
