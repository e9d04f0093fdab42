"""Which boats are gone out to: those under way, the clock that runs out first on top."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.pages.desk import Desk, at_base
from maintenance.defects.facts import unlooked
from maintenance.defects.models import Defect
from maintenance.jobs.under_way import UnderWay, closed_call_outs, ended_of, open_call_outs
from maintenance.pages.clock_words import clock_says, kept_says, stands, time_of

LATEST = 20  # closed ones shown


@at_base("see")
def call_outs(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Call-outs of a base, open ones first."""
    context = {
        "desk": desk,
        "here": "week",
        "open": calls_told(desk),
        "closed": [told(u, desk) for u in closed_call_outs(desk.base, desk.today, LATEST)],
        "may_set": desk.may("change the base's rules"),
    }
    return render(request, "maintenance/call_outs.html", context)


def calls_told(desk: Desk) -> list[dict[str, Any]]:
    """What is under way, as the week says it."""
    return [told(u, desk) for u in open_call_outs(desk.base, desk.today)]


def happening_now(defect: Any) -> bool:
    """Whether a judged report is said to be danger or happening now, and nobody has looked since."""
    return bool(defect.risk_now or defect.happening_step) and unlooked(defect)


def hot_of(u: UnderWay) -> list[Defect]:
    """What of an open call-out is happening now and has not ended; a query only where something is."""
    hot = [] if u.closed else [defect for defect in u.defects if happening_now(defect)]
    gone = ended_of(hot) if hot else set()
    return [defect for defect in hot if defect.case not in gone]


def told(u: UnderWay, desk: Desk) -> dict[str, Any]:
    """A call-out in words: where, for what, how it stands, what the contract's clock says."""
    zone, call = desk.base.timezone, u.call_out
    last = u.last
    at = last.recorded_at if last else call.told_at
    says, over = clock_says(u.runs_out_at, desk.now, zone)
    if u.closed:
        says, over = kept_says(u.runs_out_at, at), False
    who, step = (last.who, last.step) if last else ("", "")
    return {
        "pk": call.pk,
        "boat": call.boat,
        "charter": call.charter,
        "where": call.where,
        "phone": call.phone,
        "dial": "".join(c for c in call.phone if c.isdigit() or c == "+"),
        "told": time_of(call.told_at, desk.now, zone),
        "clock": says,
        "over": over,
        "stands": stands(step, who, at, last.promised_at if last else None, desk.now, zone),
        "takes": u.takes,
        "now": "happening now" if hot_of(u) else "",
        "closed": u.closed,
        "defects": u.defects,
    }
