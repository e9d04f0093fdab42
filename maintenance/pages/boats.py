"""The boats of a base, each with the word that says how she stands; on paper, who may leave this weekend."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.charters.rules import LEAVES
from fleet.pages.desk import Desk, at_base
from maintenance.pages import may_go, wording
from maintenance.pages.dates_apart import short_dates
from maintenance.pages.week import visit
from maintenance.planning.facts import visits_of
from maintenance.release.facts import Judged, judged_of
from maintenance.release.rules import worst_first
from maintenance.turnaround.facts import returned_by

SUNDAY = 6


@at_base("see")
def boats(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The boats of a base, and how each stands this week."""
    visits = visits_of(desk.base, desk.today)
    returned = returned_by([v.boat.pk for v in visits])
    short = short_dates(desk)
    judged = judged_of(desk.base, on=desk.today, now=desk.now)
    stands = may_go.briefs(judged)
    rows: list[dict[str, Any]] = [visit(v, desk.today, returned, short, stands) for v in visits]
    last = desk.today + timedelta(days=SUNDAY - desk.today.weekday())
    context = {
        "desk": desk,
        "here": "boats",
        "rows": rows,
        "leaving": _leaving(judged, last, desk),
        "last": last,
        "printed": wording.moment(desk.now, desk.base.timezone),
    }
    return render(request, "maintenance/boats.html", context)


def _leaving(judged: Mapping[int, Judged], last: date, desk: Desk) -> list[dict[str, Any]]:
    """Who leaves up to a day, in the order of leaving: hour, verdict, every reason, by whom."""
    out = [(j.charter.starts_on, j.charter.leaves_at or LEAVES, j) for j in judged.values() if j.charter]
    soon = sorted((o for o in out if o[0] <= last), key=lambda o: (o[0], o[1], o[2].boat.name))
    return [_told(j, f"{wording.day(day, desk.today)} {wording.clock(hour)}") for day, hour, j in soon]


def _told(judged: Judged, leaves: str) -> dict[str, Any]:
    stands = judged.standing
    names = may_go.names_under(judged)
    return {
        "boat": judged.boat,
        "charter": judged.charter,
        "leaves": leaves,
        "word": wording.sentence(may_go.word_of(judged)),
        "fell": stands.fell,
        "reasons": [reason.words for reason in worst_first(stands.reasons)],
        "let_be": [reason.words for reason in worst_first(stands.let_be)],
        "limits": list(judged.limits),
        "beside": may_go.beside(may_go.word_of(judged), judged.ship),
        "names": ", ".join(names),
        "alone": bool(names) and len({n.casefold() for n in names}) < judged.release.names_needed
        if judged.release
        else False,
    }
