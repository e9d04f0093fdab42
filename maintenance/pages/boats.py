"""One boat: every line of hers, due or not."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat, Fitting
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.models import Job
from maintenance.pages import wording
from maintenance.pages.dates_apart import short_dates
from maintenance.pages.week import visit
from maintenance.planning.facts import boat_of, visits_of
from maintenance.turnaround.facts import returned_by

LATEST = 12  # readings shown on a boat's page


@at_base("see")
def boats(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The boats of a base, and how each stands this week."""
    visits = visits_of(desk.base, desk.today)
    returned = returned_by([v.boat.pk for v in visits])
    short = short_dates(desk)
    rows = [visit(v, desk.today, returned, short) for v in visits]
    return render(request, "maintenance/boats.html", {"desk": desk, "here": "boats", "rows": rows})


@at_base("see")
def boat(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """All tasks of one boat in the order they fall due, and what was recorded lately."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    shown = visit(
        boat_of(desk.base, ship, desk.today), desk.today, returned_by([ship.pk]), short_dates(desk, ship.pk)
    )
    jobs = Job.objects.filter(boat=ship).prefetch_related("services__service__interval")
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "visit": _whole(shown),
        "jobs": jobs[:10],
        "fitted": _fitted(ship),
        "readings": _readings(ship),
        "may_read": desk.may("record a reading"),
        "may_work": desk.may("record work"),
    }
    return render(request, "maintenance/boat.html", context)


def _whole(shown: dict[str, Any]) -> dict[str, Any]:
    """A boat's card with every line of hers: what fits before she leaves is the week's matter."""
    number = wording.many(len(shown["jobs"]), "task")
    return shown | {"says": wording.sentence(f"{number}."), "fits": True}


def _readings(boat: Boat) -> QuerySet[Reading]:
    """What her hour meters showed lately, the latest first."""
    rows = Reading.objects.standing().filter(meter__boat=boat).exclude(standing=Reading.Standing.SET_ASIDE)
    return rows.select_related("meter").order_by("-day", "-pk")[:LATEST]


def _fitted(boat: Boat) -> QuerySet[Fitting]:
    """What is fitted to a boat now, by system."""
    rows = Fitting.objects.standing().filter(boat=boat, removed_on__isnull=True)
    return rows.select_related("component__kind").order_by(
        "component__kind__system", "component__kind__name", "component__code"
    )
