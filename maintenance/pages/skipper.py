"""The skipper's pages: no account and no script, opened by the link of one charter."""

import uuid
from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from fleet.boats.models import Boat
from fleet.charters.links import Verdict
from fleet.pages.papers import serve
from fleet.papers.models import Paper
from fleet.refused import Refused
from maintenance.defects.models import Defect, DefectPaper
from maintenance.pages.asked import questions
from maintenance.pages.dials import answered, asking
from maintenance.pages.fields import sent_id
from maintenance.pages.phone import local
from maintenance.pages.phone.coming import first_of_all, with_who_comes
from maintenance.pages.phone.refusals import refusal
from maintenance.pages.skipper_form import AboutForm, ReportForm, SkipperReturnForm
from maintenance.pages.skipper_happening import cases_of
from maintenance.pages.skipper_sent import (
    filed_before,
    own_reports,
    own_returns,
)
from maintenance.pages.skipper_told import told_photos
from maintenance.pages.way_in import WayIn, closed, telephone, through_link
from maintenance.turnaround.by_link import report_by_link, return_by_link
from maintenance.turnaround.let_in import MOST_AN_HOUR, LinkClosed, TooManyForNow
from maintenance.turnaround.models import LinkReturnPhoto, Return

RING = gettext_lazy(
    "You said that somebody or the boat is in danger. Nobody may be reading this right now: do what stands "
    "here, then ring the base."
)
GAS = gettext_lazy(
    "Gas or fumes: shut off at the bottle, everyone out, touch no switch, do not ring from inside the boat. "
    "Tell the base in person."
)
WHICH = gettext_lazy(
    "Which boat: your charter changed boats while this form was open; wanted the one it is about"
)


@require_http_methods(["GET", "HEAD", "POST"])
@through_link
def report(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Danger first, then what is wrong on the boat."""
    boat, sure = _boat(request, way)
    posted = request.method == "POST"
    given = (request.POST, request.FILES) if posted else ()
    form = ReportForm(boat, way.boats, way.today, *given)
    status = 422 if posted else 200
    if posted and _is_complete(form, sure):
        try:
            kept = report_by_link(way.link, boat, form.told(), at=way.now, client_id=sent_id(request.POST))
            return _kept(request, way, kept)
        except LinkClosed as shut:
            return closed(request, Verdict(shut.state, way.link), way.now)
        except TooManyForNow:
            form.add_error(None, _sent_often())
            status = 429
        except Refused as refused:
            form.add_error(None, refusal(refused))
    context = _context(request, way, boat, sure, form) | {"reports": len(own_reports(way))}
    return render(request, "maintenance/skipper_report.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@through_link
def give_back(request: HttpRequest, way: WayIn) -> HttpResponse:
    """The return's few questions; a dial that cannot be right is asked about once, never refused."""
    sent = answered(request.POST) if request.method == "POST" else None
    boat, sure = _boat(request, way)
    form = SkipperReturnForm(boat, way.boats, way.today, *([sent] if sent is not None else []))
    asks, status = None, 200 if sent is None else 422
    day = max(min(way.charter.ends_on, way.today), way.charter.starts_on)
    if sent is not None and _is_complete(form, sure):
        asks = asking(sent).doubts(boat, day, form.dials(), {}, noted=False)
        if not asks:
            try:
                told = form.report(day, way.charter.skipper)
                kept = return_by_link(way.link, boat, told, at=way.now, client_id=sent_id(sent))
                return _kept(request, way, kept)
            except LinkClosed as shut:
                return closed(request, Verdict(shut.state, way.link), way.now)
            except TooManyForNow:
                form.add_error(None, _sent_often())
                status = 429
            except Refused as refused:
                form.add_error(None, refusal(refused))
    context = _context(request, way, boat, sure, form) | {
        "asks": asks,
        "before": filed_before(way),
        "too_early": way.today < way.charter.starts_on,
    }
    return render(request, "maintenance/skipper_return.html", context, status=status)


@require_http_methods(["GET", "HEAD"])
@through_link
def sent(request: HttpRequest, way: WayIn) -> HttpResponse:
    """What came by the charter's links, and what the base answered."""
    entries = sorted([*own_reports(way), *own_returns(way)], key=lambda one: one["at"], reverse=True)
    with_who_comes(entries, way)
    context = _about(way) | {
        "entries": entries,
        "now": first_of_all(entries),
        "questions": questions(cases_of(way), way.base.timezone),
        "alarm": any(one["danger"] for one in entries),
    }
    return render(request, "maintenance/skipper_sent.html", context)


@require_http_methods(["GET", "HEAD"])
@through_link
def photo(request: HttpRequest, way: WayIn, sha256: str) -> HttpResponse:
    """A photo that came by one of the charter's own links, or was shown at its handover."""
    own = DefectPaper.objects.filter(defect__came_by__link__charter=way.charter)
    back = LinkReturnPhoto.objects.filter(came__link__charter=way.charter, paper__isnull=False)
    shown = Q(pk__in=own.values("paper")) | Q(pk__in=back.values("paper")) | Q(sha256__in=told_photos(way))
    paper = get_object_or_404(Paper.objects.filter(shown), sha256=sha256)
    return serve(paper, request)


def _boat(request: HttpRequest, way: WayIn) -> tuple[Boat, bool]:
    """The boat a page is about; opened by hand it is the present one, or one that is named."""
    if request.method == "POST":
        return way.asked(request.POST)
    named, _ = way.asked({"about": request.GET.get("about", "")})
    return named, True


def _sent_often() -> str:
    said = ngettext(
        "This link takes %(most)d report an hour, and that many came. What you typed stands below: send it "
        "again in an hour. A report of danger still goes; if it cannot wait, ring the base.",
        "This link takes %(most)d reports an hour, and that many came. What you typed stands below: send it "
        "again in an hour. A report of danger still goes; if it cannot wait, ring the base.",
        MOST_AN_HOUR,
    )
    return said % {"most": MOST_AN_HOUR}


def _is_complete(form: AboutForm, sure: bool) -> bool:
    """Whether a form can be sent; which boat it is about is asked where the charter changed boats."""
    valid = form.is_valid()
    if not sure:
        form.add_error("about", WHICH)
    return valid and sure


def _kept(request: HttpRequest, way: WayIn, kept: Defect | Return) -> HttpResponse:
    """On to what was sent. Sent twice it is kept once, and that is said."""
    when = local.moment(kept.recorded_at, way.base.timezone)
    if kept.recorded_at != way.now:
        said = gettext(
            "This was sent already, %(moment)s, and is kept once. What you changed since is not in it."
        )
        messages.warning(request, said % {"moment": when})
    else:
        said = gettext("Sent to %(base)s, %(moment)s. Thank you.")
        messages.success(request, said % {"base": way.base.name, "moment": when})
    if alarm := _alarm(kept):
        messages.error(request, alarm)
    return redirect("skipper-sent", secret=way.secret)


def _alarm(kept: Defect | Return) -> str:
    """What cannot wait until somebody reads it."""
    if isinstance(kept, Defect):
        return str(RING) if kept.risk_now else ""
    return str(GAS) if kept.answers.get("gas_or_fumes_smelled") else ""


def _about(way: WayIn) -> dict[str, Any]:
    return {"way": way, "base": way.base, "telephone": telephone(way.base), "changed": way.before}


def _context(request: HttpRequest, way: WayIn, boat: Boat, sure: bool, form: AboutForm) -> dict[str, Any]:
    return _about(way) | {
        "boat": boat,
        "asks_which": not sure or "about" in form.errors,
        "about": boat if boat != way.boat else None,
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
