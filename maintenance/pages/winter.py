"""The winter: which boats are laid up, what waits for it, and the way from lay-up to the first charter."""

import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused, TooLate
from maintenance.pages import may_go, winter_words, wording
from maintenance.pages.winter_forms import FORMS, form_of, keep
from maintenance.pages.winter_rows import groups_of
from maintenance.planning.winter import FITTING_OUT, IN_USE, LAY_UP, Winter, winter_of
from maintenance.release.facts import judge
from maintenance.release.laying_up import call_off_lay_up, step_to_take_back, take_back_step
from maintenance.release.ready import last_signed, ready_of
from maintenance.release.rule_list import READY
from maintenance.release.rules import worst_first


@at_base("see")
def winter(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every boat of the base: her state, her first charter, what is open on her list, what is signed."""
    found = winter_of(desk.base, on=desk.today, now=desk.now)
    boats = [w.boat.pk for w in found]
    signed, ready = last_signed(boats), ready_of(boats, desk.today)
    rows = [
        {
            "boat": w.boat,
            "state": wording.sentence(winter_words.state(w)),
            "wintering": w.stands.state != IN_USE,
            "first": winter_words.first(w),
            "open": w.open,
            "signed": signed.get(w.boat.pk),
            "unsigned": w.stands.state != IN_USE or not ready[w.boat.pk],
        }
        for w in sorted(found, key=lambda w: w.stands.state == IN_USE)
    ]
    context = {"desk": desk, "here": "boats", "rows": rows, "lede": _lede(found)}
    return render(request, "maintenance/winter.html", context)


def _lede(found: Sequence[Winter]) -> str:
    laid = sum(w.stands.state == LAY_UP for w in found)
    fitting = sum(w.stands.state == FITTING_OUT for w in found)
    said = f"{wording.many(laid, 'boat')} laid up, {wording.many(fitting, 'boat')} fitting out."
    return wording.sentence(said)


@at_base("see", post="lay up and fit out")
def winter_boat(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """One boat's winter: what waits for it, and the next step; a step of today can be taken back."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    what = request.POST.get("what", "")
    shown = {name: form_of(name, desk, request.POST if name == what else None) for name in FORMS}
    if what in ("back", "call off"):
        return _undone(request, ship, what, desk)
    if what in shown and shown[what].is_valid() and _kept(what, shown[what], ship, desk, request):
        return redirect("winter-boat", base=desk.base.code, boat=ship.pk)
    return render(
        request, "maintenance/winter_boat.html", _said(ship, shown, desk), status=422 if what else 200
    )


def _kept(what: str, form: forms.Form, ship: Boat, desk: Desk, request: HttpRequest) -> bool:
    try:
        keep(what, form, ship, desk, request)
    except Refused as refused:
        say(form, refused)
        return False
    on = form.cleaned_data.get("on", desk.today)
    messages.success(request, winter_words.done(what, ship.name, on, desk.today))
    return True


def _undone(request: HttpRequest, ship: Boat, what: str, desk: Desk) -> HttpResponse:
    try:
        if what == "back":
            state = take_back_step(ship, at=desk.now, by=desk.person)
            said = {LAY_UP: "laid up", FITTING_OUT: "fitting out", IN_USE: "in use"}[state]
            messages.success(request, f"Taken back: {ship.name} is {said} again.")
        else:
            call_off_lay_up(ship, at=desk.now, by=desk.person)
            messages.success(request, f"{ship.name}: the lay-up to come is called off.")
    except (Refused, TooLate) as late:
        messages.error(request, wording.sentence(f"{late.wanted}."))
    return redirect("winter-boat", base=desk.base.code, boat=ship.pk)


def _said(ship: Boat, shown: dict[str, forms.Form], desk: Desk) -> dict[str, Any]:
    (w,) = winter_of(desk.base, on=desk.today, now=desk.now, boat=ship.pk)
    ready = ready_of([ship.pk], desk.today)[ship.pk]
    may = desk.may("lay up and fit out")
    step = step_to_take_back(ship, desk.now) if may else None
    return {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "lede": winter_words.lede(w, ready),
        "groups": groups_of(w),
        "open": w.open,
        "booked_in_it": winter_words.before_lay_up(w),
        "holding": _holding(ship, desk) if may else [],
        "cautions": winter_words.CAUTIONS,
        "sheets": [(name, _TITLES[name], shown[name]) for name in _steps(w, ready)] if may else [],
        "undo": _UNDO.get(step.says, "the last step") if step else "",
        "booked": may and w.stands.layup_on is not None,
        "signed": last_signed([ship.pk]).get(ship.pk),
        "client_id": uuid.uuid4().hex,
        "may_work": desk.may("record work"),
        "may_read": desk.may("read a printed date"),
        "printed": wording.moment(desk.now, desk.base.timezone),
    }


def _holding(ship: Boat, desk: Desk) -> list[dict[str, Any]]:
    """What holds her besides the winter itself, unsafe defects by name, for whoever signs."""
    judged = judge(ship, None, base=desk.base, on=desk.today, now=desk.now)
    reasons = [r for r in worst_first(judged.standing.reasons) if r.code != READY]
    return [may_go.reason(r, judged, desk) for r in reasons]


_TITLES = {
    "lay-up": ("Lay her up", "Lay up"),
    "begin": ("Begin fitting-out", "Begin fitting-out"),
    "sign": ("Sign fitting-out", "Sign fitting-out"),
}
_UNDO = {LAY_UP: "the lay-up", FITTING_OUT: "that fitting-out began", IN_USE: "the signature"}


def _steps(w: Winter, ready: bool) -> tuple[str, ...]:
    """What can be done next, the likeliest first."""
    if w.stands.state == LAY_UP:
        return ("begin", "sign")
    if w.stands.state == FITTING_OUT:
        return ("sign",)
    return ("lay-up",) if ready else ("sign", "lay-up")
