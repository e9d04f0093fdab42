"""One boat, from the top down: may she go, what is open, what is next, where every thing is."""

from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fleet.boats.models import Boat, Fitting, Place
from fleet.charters.models import Charter
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.defects.hull import HullLook, Touch
from maintenance.jobs.models import Job
from maintenance.pages import may_go, wording
from maintenance.pages.dates_apart import short_dates
from maintenance.pages.strip import NARROW, WIDE, Season, draw_season
from maintenance.pages.week import visit
from maintenance.planning.facts import Visit, boat_of
from maintenance.release.facts import judge
from maintenance.release.models import Release
from maintenance.servicing.models import Due
from maintenance.spares.facts import hands
from maintenance.spares.models import Spare
from maintenance.turnaround.facts import returned_by
from maintenance.turnaround.models import Handover, Round

LATEST = 12  # readings shown on a boat's page
SOON = timedelta(days=30)  # own choice: what falls due by then, or before she is back, stands first
SEASON = timedelta(days=300)  # charters back and ahead that make a season


@at_base("see")
def boat(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """All that is known of one boat, in the order it is asked for on the pontoon."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    found = boat_of(desk.base, ship, desk.today)
    shown = visit(found, desk.today, returned_by([ship.pk]), short_dates(desk, ship.pk), {})
    judged = judge(ship, None, base=desk.base, on=desk.today, now=desk.now)
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "stands": may_go.told(judged, desk),
        **_whole(shown, found, desk.today),
        "seasons": _seasons(ship, desk, found.charter),
        "jobs": Job.objects.filter(boat=ship).prefetch_related("services__service__interval")[:10],
        "fitted": _fitted(ship),
        "kit": _kit(ship),
        "readings": _readings(ship),
        "ways": _ways(ship, desk, judged.charter),
        "hull": reverse("hull", args=[desk.base.code, ship.pk]),
        **_lately(ship),
        "may_read": desk.may("record a reading"),
        "may_work": desk.may("record work"),
        "may_release": desk.may("release a boat"),
    }
    return render(request, "maintenance/boat.html", context)


def _whole(shown: dict[str, Any], found: Visit, on: date) -> dict[str, Any]:
    """Every line of hers, what falls due soon before the others; what fits before she leaves is the
    week's matter."""
    soon = on + SOON if found.charter is None else max(on + SOON, found.charter.ends_on)
    near = [job.due.due_on is not None and job.due.due_on <= soon for job in found.jobs]
    rows = list(zip(shown["jobs"], near, strict=True))
    first, later = [row for row, is_near in rows if is_near], [row for row, is_near in rows if not is_near]
    number = wording.many(len(first), "task")
    says = wording.sentence(f"{number} until {wording.day(soon, on)}.")
    rest = {"boat": shown["boat"], "jobs": later}
    return {"visit": shown | {"says": says, "fits": True, "jobs": first}, "later": rest}


def _seasons(boat: Boat, desk: Desk, following: Charter | None) -> list[tuple[str, Season]]:
    """The season as one strip, drawn wide and for a phone."""
    on = desk.today
    rows = Charter.objects.booked().filter(boat=boat, ends_on__gte=on - SEASON, starts_on__lte=on + SEASON)
    spans = list(rows.order_by("starts_on").values_list("starts_on", "ends_on"))
    ends = following.ends_on if following else on + timedelta(days=7)
    rows_due = Due.objects.filter(boat=boat).values_list("due_on", "limit_on")
    due = [(day, limit is not None and limit < ends) for day, limit in rows_due if day is not None]
    sizes = (("eight", WIDE), ("four", NARROW))
    return [(size, draw_season(boat.name, on, spans, due, width)) for size, width in sizes]


def _readings(boat: Boat) -> QuerySet[Reading]:
    """What her hour meters showed lately, the latest first."""
    rows = Reading.objects.standing().filter(meter__boat=boat).exclude(standing=Reading.Standing.SET_ASIDE)
    return rows.select_related("meter").order_by("-day", "-pk")[:LATEST]


def _fitted(boat: Boat) -> QuerySet[Fitting]:
    """What is fitted to a boat now, by system."""
    rows = Fitting.objects.standing().filter(boat=boat, removed_on__isnull=True)
    return rows.select_related("component__kind", "place").order_by(
        "component__kind__system", "component__kind__name", "component__code"
    )


def _kit(boat: Boat) -> list[dict[str, Any]]:
    """The spares aboard by place, as the book has them."""
    places = {place.pk: place for place in Place.objects.filter(boat=boat).select_related("parent")}
    held = {where: number for where, number in hands(places.keys()).items() if number > 0}
    spares = Spare.objects.in_bulk({spare for spare, _ in held})
    found = []
    for pk, place in sorted(places.items(), key=lambda item: item[1].name):
        here = sorted(
            (
                (spares[spare].name, number, spares[spare].unit)
                for (spare, at), number in held.items()
                if at == pk
            )
        )
        if here:
            found.append({"place": place, "spares": here})
    return found


def _lately(boat: Boat) -> dict[str, Any]:
    """Her hull's register in numbers, her last round and her last handover."""
    touches = Touch.objects.standing().filter(boat=boat)
    rounds = Round.objects.standing().filter(boat=boat).exclude(signed_by="")
    return {
        "touches": touches.count(),
        "last_touch": touches.order_by("-day", "-pk").first(),
        "last_look": HullLook.objects.standing().filter(boat=boat).order_by("-day", "-pk").first(),
        "last_said": Release.objects.standing().filter(boat=boat).select_related("charter").last(),
        "last_round": rounds.order_by("-day", "-pk").first(),
        "last_handover": Handover.objects.standing().filter(boat=boat).select_related("charter").last(),
    }


def _ways(boat: Boat, desk: Desk, following: Charter | None) -> list[tuple[str, str]]:
    """What else is done about a boat, each on a page of its own."""
    base, of_boat = desk.base.code, [desk.base.code, boat.pk]
    named = [
        ("report-defect", of_boat, "report a defect", "Report a defect"),
        ("round", of_boat, "walk the round", "Walk the round"),
        ("take-along", of_boat, "see", "What to take"),
        ("kit", of_boat, "see", "Her kit"),
        ("new-call-out", of_boat, "go out to a boat", "Go out to her"),
        ("winter-boat", of_boat, "lay up and fit out", "Lay-up and fitting-out"),
        ("owner-export", of_boat, "export for an owner", "For her owner"),
    ]
    if following is not None:
        named.insert(2, ("handover", [base, following.pk], "hand over", "Hand her over"))
    return [(reverse(name, args=args), words) for name, args, may, words in named if desk.may(may)]
