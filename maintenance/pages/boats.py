"""The boats of a base, each with the word that says how she stands."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.pages.desk import Desk, at_base
from maintenance.pages import may_go
from maintenance.pages.dates_apart import short_dates
from maintenance.pages.week import visit
from maintenance.planning.facts import visits_of
from maintenance.release.facts import judged_of
from maintenance.turnaround.facts import returned_by


@at_base("see")
def boats(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The boats of a base, and how each stands this week."""
    visits = visits_of(desk.base, desk.today)
    returned = returned_by([v.boat.pk for v in visits])
    short = short_dates(desk)
    stands = may_go.briefs(judged_of(desk.base, on=desk.today, now=desk.now))
    rows: list[dict[str, Any]] = [visit(v, desk.today, returned, short, stands) for v in visits]
    return render(request, "maintenance/boats.html", {"desk": desk, "here": "boats", "rows": rows})
