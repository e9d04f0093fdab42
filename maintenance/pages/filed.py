"""What followed from a return, and the ways back from it."""

from typing import Any
from urllib.parse import quote

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.ledger import latest
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.pages import wording
from maintenance.pages.answers import moved_group, stock_groups, wrong_day
from maintenance.pages.fields import row_number
from maintenance.pages.opened import return_opened
from maintenance.spares.models import StockMove
from maintenance.turnaround.actions import ReturnRefused, take_back_part, take_back_return
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import BY_CODE

PARTS = {"reading": Reading, "defect": Defect, "move": StockMove}


@at_base("see", post="record a return")
def filed(request: HttpRequest, desk: Desk, filed: int) -> HttpResponse:
    """What followed from a return; each thing has its way back, today."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(
        Return.objects.select_related("boat", "charter", "recorded_by"), pk=filed, boat__in=boats
    )
    if request.method == "POST":
        try:
            _take_back(row, request.POST.get("what", ""), desk)
        except TooLateToTakeBack as late:
            return wrong_day(request, desk, str(late))
        except ReturnRefused as not_of_it:
            raise Http404 from not_of_it
        return redirect("filed", base=desk.base.code, filed=row.pk)
    return render(request, "maintenance/answer.html", _answer(row, desk))


def _take_back(row: Return, what: str, desk: Desk) -> None:
    if what == "all":
        take_back_return(row, at=desk.now, by=desk.person)
        return
    sort, _, number = what.partition(":")
    if sort not in PARTS:
        raise Http404
    part = get_object_or_404(PARTS[sort], pk=row_number(number))
    take_back_part(row, part, at=desk.now, by=desk.person)


def _answer(row: Return, desk: Desk) -> dict[str, Any]:
    address = reverse("filed", args=[desk.base.code, row.pk])
    undone = latest(row).void
    may_undo = not undone and desk.may("record a return") and desk.is_today(row.recorded_at)
    groups = _kept(row, address if may_undo else None, desk)
    if desk.may("record a return") and desk.is_today(row.recorded_at):
        groups.append(_another(row, desk))
    if not undone:
        groups += moved_group(row.followed, desk.today) + stock_groups(row.followed, desk) + _unanswered(row)
    yes = [BY_CODE[code] for code, said in row.answers.items() if said and code in BY_CODE]
    return {
        "desk": desk,
        "here": "returns",
        "heading": f"Return of {row.boat.name} undone" if undone else f"{row.boat.name} is back",
        "lede": ("Nothing of this counts any more. " if undone else "") + _by_whom(row, desk),
        "cautions": [] if undone else [f"{q.asks} Yes. {q.caution}" for q in yes],
        "groups": groups,
        "undo": address if may_undo else None,
        "undo_text": "Undo the whole return",
    } | return_opened(row, desk)


def _another(row: Return, desk: Desk) -> dict[str, Any]:
    """The way to add what was forgotten, or to say again what was undone."""
    where = reverse("return", args=[desk.base.code, row.boat_id])
    charter = f"?charter={quote(row.charter.code)}" if row.charter else ""
    item = {"text": "Another return adds to this one.", "link": where + charter, "link_text": "File it"}
    return {"title": "Something missing, or undone to be said again", "items": [item]}


def _by_whom(row: Return, desk: Desk) -> str:
    text = f"Filed by {row.get_filed_by_display()}" + (f", {row.reporter}" if row.reporter else "")
    text += f"; recorded {wording.moment(row.recorded_at, desk.base.timezone)}"
    return text + (f" by {row.recorded_by.name}." if row.recorded_by else ".")


def _unanswered(row: Return) -> list[dict[str, Any]]:
    items = [{"text": BY_CODE[c].asks} for c, said in row.answers.items() if said is None and c in BY_CODE]
    return [{"title": "Not answered", "items": items}] if items else []


def _kept(row: Return, address: str | None, desk: Desk) -> list[dict[str, Any]]:
    """The readings, defects and spares of a return as they stand now."""
    readings = [
        _reading(link.reading, address, desk)
        for link in row.readings.select_related("reading__meter", "reading__replaced_by__replaced_by")
    ]
    defects = [
        _part(link.defect, "defect", _told(link.defect), address)
        for link in row.defects.select_related("defect__replaced_by__replaced_by")
    ]
    moves = [
        _part(
            link.move,
            "move",
            f"{wording.quantity(link.move.quantity)} {link.move.spare}, {link.move.from_place}",
            address,
        )
        for link in row.moves.select_related(
            "move__spare", "move__from_place__parent", "move__replaced_by__replaced_by"
        )
    ]
    titled = (("Readings", readings), ("Defects opened", defects), ("Spares used", moves))
    return [{"title": title, "items": items} for title, items in titled if items]


def _told(defect: Defect) -> str:
    lost = defect.asked == Defect.Asked.LOST
    return f"Lost or broken: {defect.words}" if lost else defect.words


def _reading(reading: Reading, address: str | None, desk: Desk) -> dict[str, Any]:
    last = latest(reading)
    item = _part(reading, "reading", f"{reading.meter.name}: {wording.hours(last.dial)} h", address)
    if last.standing == Reading.Standing.DOUBTFUL and not last.void:
        week = reverse("week", args=[desk.base.code])
        item |= {
            "why": "in doubt: moves no due day until settled",
            "link": f"{week}#reading-{last.pk}",
            "link_text": "Settle it",
        }
    elif last.standing == Reading.Standing.SET_ASIDE:
        item["why"] = "set aside"
    elif last.dial != reading.dial:
        item["why"] = f"first read as {wording.hours(reading.dial)} h, settled since"
    return item


def _part(row: Any, sort: str, text: str, address: str | None) -> dict[str, Any]:
    if latest(row).void:
        return {"text": text, "why": "undone"}
    return {"text": text} if address is None else {"text": text, "back": address, "what": f"{sort}:{row.pk}"}
