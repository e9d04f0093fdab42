"""One place of a base counted on a phone: what the book has there, what lies there, why it differs."""

import uuid
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Place
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import move_words, wording
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.shelf_form import CountForm, Key, posted, rows_of
from maintenance.pages.spare_find import found_by
from maintenance.pages.stores import Stores, stores_of
from maintenance.spares.counting import BookMoved, Differs, Line, count_place
from maintenance.spares.facts import lots_at
from maintenance.spares.history import moves_of
from maintenance.spares.models import Spare

OFFERED = 12  # parts offered that have the words asked for


@at_base("see", post="count stock")
def shelf(request: HttpRequest, desk: Desk, place: int) -> HttpResponse:
    """Everything that lies or should lie there; what is counted is what lies there."""
    stores = stores_of(desk)
    here = stores.places.get(place) or get_object_or_404(Place.objects.none())
    if here.sort == Place.Sort.ASTRAY:
        return redirect("astray", base=desk.base.code)
    sent = request.method == "POST"
    seen = posted(request.POST) if sent else {}
    also = _added(request, stores) if sent else []
    form = CountForm(rows_of(here, on=desk.today, also=[*seen, *also]), seen, request.POST if sent else None)
    looking = sent and bool(also or _looks(request))
    if sent and not looking and form.is_valid() and (told := _count(request, form, here, desk)) is not None:
        for says in told:
            messages.success(request, says)
        return redirect("shelf", base=desk.base.code, place=here.pk)
    context = {
        "desk": desk,
        "here": "spares",
        "place": here,
        "path": stores.path(here),
        "parent": stores.places.get(here.parent_id or 0),
        "inside": [(one, stores.path(one)) for one in stores.inside(here)],
        "form": form,
        "may_count": desk.may("count stock"),
        "client_id": sent_id(request.POST) or uuid.uuid4().hex,
        **_offered(request, looking),
    }
    return render(request, "maintenance/shelf.html", context, status=422 if sent and not looking else 200)


def _looks(request: HttpRequest) -> bool:
    """Whether a part is to be found first: its button, or Enter with words typed for it."""
    what = request.POST.get("what")
    return what == "find" or (what == "enter" and bool(request.POST.get("find", "").strip()))


def _added(request: HttpRequest, stores: Stores) -> list[Key]:
    """Lines of a part found there: without a mark, and of each lot of it that the base has anywhere."""
    key = row_number(request.POST.get("add", ""))
    if key is None or not Spare.objects.filter(pk=key).exists():
        return []
    lots = {lot for of in lots_at(stores.places, spare=key).values() for lot in of}
    return [(key, 0), *((key, lot) for lot in lots)]


def _offered(request: HttpRequest, looking: bool) -> dict[str, Any]:
    """The parts that have the words asked for."""
    words = request.POST.get("find", "")[:80]
    if not (looking and words.strip() and not request.POST.get("add")):
        return {"find": "" if request.POST.get("add") else words}
    found = found_by(words.split())
    return {"find": words, "offered": found[:OFFERED], "more": len(found) > OFFERED, "none": not found}


def _count(request: HttpRequest, form: CountForm, here: Place, desk: Desk) -> list[str] | None:
    """Keeps what was counted and says each difference; None where something is asked again."""
    lines = form.lines()
    if not form.is_valid() or not lines:
        return None
    said: dict[str, Any] = {"day": desk.today, "at": desk.now, "by": desk.person}
    try:
        wrong = count_place(here, lines, client_id=sent_id(request.POST), **said)
        return _said(lines, wrong)
    except BookMoved as moved:
        form.moved(moved.now, {key: _by_whom(key, here, desk) for key in moved.now})
    except (Refused, ValidationError) as refused:
        say(form, refused)
    return None


def _by_whom(key: Key, here: Place, desk: Desk) -> str:
    """Who moved it last, when."""
    spare = Spare.objects.get(pk=key[0])
    last = next(iter(moves_of(spare, [here.pk], limit=1)), None)
    if last is None:
        return ""
    who = f" by {last.recorded_by.name}" if last.recorded_by is not None else ""
    return f": {last.why}{who} {wording.moment(last.recorded_at, desk.base.timezone)}"


def _said(lines: list[Line], wrong: list[Differs]) -> list[str]:
    told = [_difference(one) for one in wrong]
    right = len(lines) - len(wrong)
    if right:
        agree = "agrees" if right == 1 else "agree"
        told.append(wording.sentence(f"{wording.many(right, 'line')} {agree} with the book."))
    differing = {one.line.key for one in wrong}
    if any(line.words for line in lines if line.key not in differing):
        told.append("Words beside a number that agrees with the book are not kept.")
    return told


def _difference(one: Differs) -> str:
    """Engine oil: the book had 22, 20 counted: 2 fewer."""
    line, by = one.line, abs(one.by)
    called = line.spare.name + (f", {line.lot}" if line.lot else "")
    had, amount = line.counted - one.by, move_words.amount(by, line.spare)
    if line.looked_for:
        verb = "is" if by == Decimal(1) else "are"
        return (
            f"{called}: the book had {wording.quantity(had)}, {wording.quantity(line.counted)} lie there: "
            f"{amount} {verb} looked for from now on."
        )
    more = "more" if one.by > 0 else "fewer"
    return (
        f"{called}: the book had {wording.quantity(had)}, {wording.quantity(line.counted)} counted: "
        f"{amount} {more}{_of_those_looked_for(one)}."
    )


def _of_those_looked_for(one: Differs) -> str:
    if not one.found:
        return ""
    found = wording.quantity(one.found)
    return f", {found} of what was looked for" if one.found != one.by else ", as was looked for"
