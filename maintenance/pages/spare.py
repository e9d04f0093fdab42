"""One part: its numbers, where it lies and lay, what comes, how many to hold, and every move of it."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Place
from fleet.pages.desk import Desk, at_base
from fleet.refused import TooLate
from maintenance.ordering.facts import shelf_of
from maintenance.ordering.shelf import Shelf
from maintenance.pages import move_words, wording
from maintenance.pages.fields import day_field, row_number
from maintenance.pages.spare_lies import Line, lying
from maintenance.pages.stores import Stores, stores_of
from maintenance.spares.astray import looked_for
from maintenance.spares.history import moves_of
from maintenance.spares.models import Spare, SpareFit, StockMove
from maintenance.spares.moving import ENDS, CountedSince, void_move
from maintenance.spares.stand_ins import stand_ins

WHYS = [(why, wording.sentence(why)) for why in ENDS]
MOVES = 25  # on a page of the ledger
NONE = Decimal(0)


class DayForm(forms.Form):
    """The day whose evening is asked about."""

    on = day_field("On hand on", required=False)

    def __init__(self, desk: Desk, data: Any) -> None:
        super().__init__(data)
        self._today = desk.today

    def clean_on(self) -> date | None:
        on: date | None = self.cleaned_data["on"]
        if on is not None and on > self._today:
            raise forms.ValidationError(f"On hand on: wanted a day up to today, {wording.day(self._today)}")
        return on


@at_base("see", post="count stock")
def spare(request: HttpRequest, desk: Desk, spare: int) -> HttpResponse:
    """What is known of a part at this base; a move of today is taken back here."""
    part = get_object_or_404(Spare.objects.select_related("kind", "superseded_by"), pk=spare)
    stores = stores_of(desk)
    if request.method == "POST":
        return _take_back(request, part, stores, desk)
    form = DayForm(desk, request.GET)
    on = (form.cleaned_data["on"] if form.is_valid() else None) or desk.today
    before = row_number(request.GET.get("before", ""))
    moves = moves_of(part, stores.places, limit=MOVES + 1, before=before)
    lines = lying(part, stores, on=on)
    shelf = _shelf(part, desk)
    context = {
        "desk": desk,
        "here": "spares",
        "spare": part,
        "stand_ins": stand_ins([part.pk]).get(part.pk, ()),
        "fits": SpareFit.objects.filter(spare=part).select_related("kind").order_by("pk"),
        "form": form,
        "on": on,
        "then": on != desk.today,
        "lines": lines,
        "head": _head(part, lines),
        "run_out": sum((line.run_out for line in lines if line.place.base_id), NONE),
        "shelf": shelf,
        "price": shelf.price if shelf is not None and desk.may("see prices") else None,
        "hold": _hold(shelf) if shelf is not None else "",
        "why": shelf.hold.said(prices=desk.may("see prices")) if shelf is not None else "",
        "lost": [one for one in looked_for(desk.base) if one.said.spare_id == part.pk],
        "moves": _told(moves[:MOVES], stores, desk),
        "before": moves[MOVES - 1].pk if len(moves) > MOVES else None,
        "later": before is not None,
        "whys": WHYS,
        "may_count": desk.may("count stock"),
        "may_change": desk.may("change intervals"),
    }
    return render(request, "maintenance/spare.html", context, status=200 if form.is_valid() else 422)


def _shelf(part: Spare, desk: Desk) -> Shelf | None:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values_list("pk", flat=True)
    return shelf_of(part, desk.base, list(boats), on=desk.today)


def _hold(shelf: Shelf) -> str:
    """Hold 3 ashore; 2 lie there, 1 more ran out."""
    good = shelf.ashore - shelf.run_out
    lies = "none" if not good else wording.quantity(good)
    verb = "lies" if good in (NONE, 1) else "lie"
    over = f", {wording.quantity(shelf.run_out)} more ran out" if shelf.run_out else ""
    return f"Hold {wording.quantity(shelf.hold.quantity)} ashore; {lies} {verb} there{over}."


def _head(part: Spare, lines: list[Line]) -> str:
    """22 litre ashore, 12 aboard; or that none is on the book."""
    ashore = sum((one.quantity for one in lines if one.place.base_id and not one.astray), NONE)
    aboard = sum((one.quantity for one in lines if one.place.boat_id), NONE)
    if not any(one.quantity for one in lines):
        return "None on the book."
    unit = part.unit if part.unit not in ("", "each") else ""
    return f"{wording.quantity(ashore)} {unit}".rstrip() + f" ashore, {wording.quantity(aboard)} aboard."


def _told(moves: list[StockMove], stores: Stores, desk: Desk) -> list[dict[str, Any]]:
    """Each in words; `undo`: one of today that stands by itself can be taken back here."""
    with_what = move_words.with_what(moves, desk)
    return [
        {
            "move": move,
            "says": move_words.done(move, stores),
            "signed": move_words.signed(move, stores),
            "with": with_what.get(move.pk),
            "kept": wording.moment(move.recorded_at, desk.base.timezone),
            "other_day": desk.base.day_of(move.recorded_at) != move.day,
            "undo": move.pk not in with_what and desk.is_today(move.recorded_at) and _ours(move, stores),
        }
        for move in moves
    ]


def _ours(move: StockMove, stores: Stores) -> bool:
    ends = [end for end in (move.from_place_id, move.to_place_id) if end is not None]
    return all(end in stores.places for end in ends)


def _take_back(request: HttpRequest, part: Spare, stores: Stores, desk: Desk) -> HttpResponse:
    rows = StockMove.objects.filter(spare=part).select_related("from_place", "to_place", "spare", "lot")
    move = get_object_or_404(rows, pk=row_number(request.POST.get("move", "")))
    if not _ours(move, stores):
        return redirect("spare", base=desk.base.code, spare=part.pk)
    try:
        messages.success(request, _undone(move, desk))
    except CountedSince:
        messages.error(request, _counted_since(move, stores))
    except TooLate as late:
        messages.error(request, f"Not taken back: {late}.")
    return redirect("spare", base=desk.base.code, spare=part.pk)


def _undone(move: StockMove, desk: Desk) -> str:
    said = f"{move_words.amount(move.quantity, move.spare)}, {move.why}"
    if move.void or hasattr(move, "replaced_by"):
        return f"That move was put right or taken back already: {said}."
    if not desk.is_today(move.recorded_at):
        raise TooLate("it is of another day, write down a move the other way instead")
    if move.pk in (found := move_words.with_what([move], desk)):
        raise TooLate(f"it was kept with {found[move.pk].says}, put it right there")
    void_move(move, at=desk.now, by=desk.person)
    return f"Taken back: {said}."


def _counted_since(move: StockMove, stores: Stores) -> str:
    places = [place for place in (move.from_place, move.to_place) if isinstance(place, Place)]
    where = " or ".join(stores.path(place) for place in places)
    return (
        f"Not taken back: {move.spare} was counted at {where} after it, and the count knew of it. Count it "
        "again there instead."
    )
