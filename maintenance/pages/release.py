"""Saying that a boat may go out for a charter, or may not: reasons, limits, names."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from maintenance.pages import may_go, release_words, wording
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.release_form import HeldForm, OtherName, ReleaseForm
from maintenance.pages.release_names import names_of, read_by
from maintenance.pages.said_before import gone, said_before
from maintenance.release.actions import Name, ReleaseRefused, release_boat, say_held
from maintenance.release.facts import Judged, judge
from maintenance.release.models import Release
from maintenance.release.settled import settled_words

FIELDS = {"names": "who"}


@at_base("see", post="release a boat")
def release(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """How she stands for a charter, and the forms that say whether she goes."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    judged = judge(ship, _asked(request, ship, desk), base=desk.base, on=desk.today, now=desk.now)
    if request.method != "POST":
        return _page(request, desk, judged, _form(judged, desk), _held(desk))
    if judged.charter is None:
        messages.error(request, f"{ship.name}: no charter is booked, so there is none to release her for.")
        return redirect("release", base=desk.base.code, boat=ship.pk)
    if (there := gone(judged, desk)) is not None:
        messages.error(request, f"{ship.name}: nothing was kept. {there.words}")
        return _open(judged, desk)
    if request.POST.get("what") == "held":
        return _say_held(request, desk, judged)
    return _release(request, desk, judged)


def _asked(request: HttpRequest, ship: Boat, desk: Desk) -> Charter | None:
    """The charter named in the address; None for her next one, 404 for one she is not booked for."""
    given = request.GET.get("charter", "")
    if not given:
        return None
    rows = Charter.objects.booked().filter(boat=ship, ends_on__gt=desk.today)
    if (pk := row_number(given)) is None or (charter := rows.filter(pk=pk).first()) is None:
        raise Http404
    return charter


def _release(request: HttpRequest, desk: Desk, judged: Judged) -> HttpResponse:
    form = _form(judged, desk, request.POST)
    if form.is_valid() and _said(request, form, desk, judged):
        return _back(request, desk, judged, "released")
    return _page(request, desk, judged, form, _held(desk))


def _said(request: HttpRequest, form: ReleaseForm, desk: Desk, judged: Judged) -> bool:
    """Whether it was kept; where it was refused the form says why."""
    said = form.cleaned_data
    client_id = sent_id(request.POST)
    known = Release.objects.filter(client_id=client_id or "", boat=judged.boat).first

    def keep() -> Release:
        return release_boat(
            judged.boat,
            _charter(judged),
            form.names(),
            limits=said["limits"],
            let_be=said["let_be"],
            why=said["why"],
            at=desk.now,
            by=desk.person,
            client_id=client_id,
        )

    return _kept(form, lambda: once(known, keep))


def _kept(form: forms.Form, act: Any) -> bool:
    try:
        act()
    except ReleaseRefused as refused:
        field = FIELDS.get(refused.field, refused.field)
        label = "What holds her" if field == "let_be" else getattr(form.fields.get(field), "label", "")
        wanted = refused.wanted
        form.add_error(field if field in form.fields else None, f"{label}: {wanted}" if label else wanted)
        return False
    return True


def _charter(judged: Judged) -> Charter:
    assert judged.charter is not None
    return judged.charter


def _say_held(request: HttpRequest, desk: Desk, judged: Judged) -> HttpResponse:
    form = HeldForm(request.POST)
    if not form.is_valid():
        return _page(request, desk, judged, _form(judged, desk), form)
    client_id = sent_id(request.POST)
    known = Release.objects.filter(client_id=client_id or "", boat=judged.boat).first
    name, why = Name(form.cleaned_data["held_who"], at=desk.now), form.cleaned_data["held_why"]
    at, by, boat, charter = desk.now, desk.person, judged.boat, _charter(judged)
    once(known, lambda: say_held(boat, charter, name, why=why, at=at, by=by, client_id=client_id))
    return _back(request, desk, judged, "held")


def _back(request: HttpRequest, desk: Desk, judged: Judged, word: str) -> HttpResponse:
    charter = _charter(judged)
    messages.success(request, f"{judged.boat.name} is {word} for charter {charter.code}.")
    return _open(judged, desk)


def _open(judged: Judged, desk: Desk) -> HttpResponse:
    where = reverse("release", args=[desk.base.code, judged.boat.pk])
    return redirect(f"{where}?charter={_charter(judged).pk}")


def _form(judged: Judged, desk: Desk, data: Any = None) -> ReleaseForm:
    reasons = [r for r in (*judged.standing.reasons, *judged.standing.let_be) if r.can_be_let_be]
    initial = {"who": desk.person.name, "read_out": _read_out(judged, desk)}
    return ReleaseForm(data, keys=[r.key for r in reasons if not r.said], desk=desk, initial=initial)


def _read_out(judged: Judged, desk: Desk) -> str:
    reasons = (*judged.standing.reasons, *judged.standing.let_be)
    return release_words.read_out(
        judged.boat.name,
        may_go.going(judged.charter, desk),
        let_be=[r.words for r in reasons if not r.said],
        settled=settled_words(judged, desk.base, desk.today),
        limits=judged.limits,
    )[:1000]


def _held(desk: Desk) -> HeldForm:
    return HeldForm(initial={"held_who": desk.person.name})


def _page(
    request: HttpRequest, desk: Desk, judged: Judged, form: ReleaseForm, held: HeldForm
) -> HttpResponse:
    row = judged.release
    codes = {r.code for r in (*judged.standing.reasons, *judged.standing.let_be) if not r.said}
    context = {
        "desk": desk,
        "here": "boats",
        "boat": judged.boat,
        "stands": _open_reasons(may_go.told(judged, desk)),
        "form": form,
        "held": held,
        "chosen": set(request.POST.getlist("let_be")),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "names_said": release_words.names_said(judged.names_needed),
        "wants": release_words.wants(codes, judged.ship.settled, judged.rules),
        "several": judged.names_needed > 1,
        "charters": _charters(judged, desk),
        "names": names_of(row, desk) if row is not None else [],
        "read_by": read_by(row, desk) if row is not None else [],
        "gone": gone(judged, desk),
        "before": said_before(judged.boat, desk, but=row),
        "said_at": wording.moment(row.recorded_at, desk.base.timezone) if row else "",
        "undo": row is not None and desk.is_today(row.recorded_at),
        "other": OtherName(desk=desk, initial={"read_out": _read_out(judged, desk)}, prefix="later"),
        "may_release": desk.may("release a boat"),
        "disclaims": release_words.DISCLAIMS,
    }
    wrong = form.is_bound or held.is_bound
    return render(request, "maintenance/release.html", context, status=422 if wrong else 200)


def _open_reasons(stands: dict[str, Any]) -> dict[str, Any]:
    """What is to be let be anew where she is released again: what an earlier release let be, too."""
    every = [*stands["reasons"], *stands["let_be"]]
    shut = any(not r["can"] and not r["said"] for r in every)
    return stands | {"every": [r for r in every if not r["said"]], "shut": shut}


def _charters(judged: Judged, desk: Desk) -> list[Charter]:
    """The charters of hers she may be released for, where there is more than one."""
    found = list(Charter.objects.next_from(desk.today).filter(boat=judged.boat)[:4])
    return found if len(found) > 1 else []
