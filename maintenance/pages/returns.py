"""Taking a boat back: which boats are awaited, and the return of one."""

import uuid
from datetime import date, timedelta

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.charters.models import Charter, CharterBoat
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.dials import answered, asking, dials
from maintenance.pages.fields import sent_id
from maintenance.pages.return_form import ReturnForm
from maintenance.turnaround.actions import ReturnRefused, file_return
from maintenance.turnaround.facts import returned_charters
from maintenance.turnaround.models import Return

LATELY = 14  # days after which a charter without a return is no longer asked for


@at_base("see")
def returns(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Boats that are out or came back without a return, and what was filed lately."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    filed = Return.objects.standing().filter(boat__in=boats).select_related("boat", "charter")
    context = {
        "desk": desk,
        "here": "returns",
        "waiting": _awaited(boats, desk.today),
        "told": returned_charters(boats, by=Return.FiledBy.SKIPPER),
        "filed": filed.order_by("-day", "-pk")[:30],
        "may_file": desk.may("record a return"),
    }
    return render(request, "maintenance/returns.html", context)


def _awaited(boats: QuerySet, on: date) -> list[Charter]:
    """Each boat's last charter that went out before a day, until the base has checked her out; the
    skipper's own report adds to that and does not stand for it."""
    out = Charter.objects.booked().filter(boat__in=boats, starts_on__lt=on)
    last: dict[int, Charter] = {}
    for charter in out.filter(ends_on__gte=on - timedelta(days=LATELY)).select_related("boat"):
        last[charter.boat_id] = charter
    seen = returned_charters(boats, by=Return.FiledBy.BASE)
    waiting = [charter for charter in last.values() if charter.pk not in seen]
    return sorted(waiting, key=lambda c: (c.ends_on, c.boat.name))


@at_base("record a return")
def take_back_boat(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """The return's form for one boat; dials that cannot be right are asked about before saving."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    charter = _charter(ship, desk, request.GET.get("charter"))
    sent = answered(request.POST) if request.method == "POST" else None
    back_on = min(charter.ends_on, desk.today) if charter else desk.today
    initial = {"filed_by": "base", "day": back_on, "reporter": ""}
    form = ReturnForm(ship, list(ship.meters.all()), desk, initial, sent)
    asks = None
    if sent is not None and form.is_valid():
        day, given = form.cleaned_data["day"], dials(form, form.meters)
        asks = asking(sent).doubts(ship, day, given, form.is_new(), noted=False)
        if not asks and (filed := _file(form, ship, charter, desk, sent_id(sent))):
            _say_if_kept_before(request, filed, desk)
            return redirect("filed", base=desk.base.code, filed=filed.pk)
    context = {
        "desk": desk,
        "here": "returns",
        "boat": ship,
        "charter": charter,
        "before": _filed_before(charter),
        "form": form,
        "asks": asks,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/return.html", context, status=422 if sent is not None else 200)


def _filed_before(charter: Charter | None) -> list[Return]:
    """Returns of a charter that stand already: another adds to them."""
    return list(Return.objects.standing().filter(charter=charter)) if charter else []


def _say_if_kept_before(request: HttpRequest, filed: Return, desk: Desk) -> None:
    """Sent twice it is kept once: what was changed in between is not in it, and that is said."""
    if filed.recorded_at != desk.now:
        kept = wording.moment(filed.recorded_at, desk.base.timezone)
        text = f"This return was kept already, {kept}. What you changed since is not in it: file another."
        messages.warning(request, text)


def _charter(boat: Boat, desk: Desk, code: str | None) -> Charter | None:
    """The charter named, or else the last that went out before today, or today."""
    had = CharterBoat.objects.standing().filter(boat=boat, from_on__lte=desk.today).values("charter")
    hers = Charter.objects.booked().filter(Q(boat=boat) | Q(pk__in=had))
    booked = hers.filter(starts_on__lte=desk.today).order_by("-starts_on")
    if code:
        return get_object_or_404(booked, code=code)
    return booked.filter(starts_on__lt=desk.today).first() or booked.first()


def _reporter(form: ReturnForm, charter: Charter | None, desk: Desk) -> str:
    """The name given, or else the charter's skipper or the person at the desk."""
    by_skipper = form.cleaned_data["filed_by"] == Return.FiledBy.SKIPPER
    usual = charter.skipper if by_skipper and charter else desk.person.name
    return form.cleaned_data["reporter"] or usual


def _file(
    form: ReturnForm, boat: Boat, charter: Charter | None, desk: Desk, client_id: str | None
) -> Return | None:
    inspected_by = desk.person if form.cleaned_data["filed_by"] == "base" else None
    try:
        return file_return(
            boat,
            charter,
            form.report(_reporter(form, charter, desk)),
            at=desk.now,
            by=desk.person,
            client_id=client_id,
            inspected_by=inspected_by,
        )
    except ReturnRefused as refused:
        known = form.fields.get(refused.field)
        said = f"{known.label}: {refused.wanted}" if known else wording.sentence(str(refused))
        form.add_error(refused.field if known else None, said)
        return None
