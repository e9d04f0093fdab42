"""The same thing reported twice: two reports side by side, joined by one tap, parted by another."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.defects.actions import another_than, say_two_things, see_report
from maintenance.defects.alarm import sort_of
from maintenance.defects.correcting import join_defect, part_defect
from maintenance.defects.doubles import Report, likely, which_stays
from maintenance.defects.facts import at_of, open_now, unlooked
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages import wording
from maintenance.pages.defect_rows import act_page, end_of, row_of
from maintenance.pages.defect_story import photos_of
from maintenance.pages.fields import row_number
from maintenance.pages.reported import stands, where

CAUTION = "Both reports are kept, each in its own words. From then on one is graded, deferred and put right."


@at_base("grade and defer")
def join(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Other open reports of the boat, the likely doubles first."""
    row = row_of(defect, desk)
    if request.method == "POST":
        return _sent(request, row, desk)
    if row.same_as_id is not None or end_of(row) is not None:
        return redirect("defect", base=desk.base.code, defect=row.pk)
    rows = {other.pk: other for other in open_now(desk.base, [row.boat_id], desk.today)}
    others = _shown(rows, row, desk)
    more = {"others": others, "cautions": [CAUTION], "photos": photos_of([row.case], desk)}
    heading = f"The same thing? {row.boat.name}"
    return act_page(request, row, desk, None, heading=heading, template="maintenance/join.html", **more)


def _shown(rows: dict[int, Any], row: Any, desk: Desk) -> list[dict[str, Any]]:
    """The other reports, the likely ones with the reason first, then the rest by their day."""
    reports = reports_of(rows.values())
    why = dict(likely(reports[row.pk], reports.values())) if row.pk in reports else {}
    order = [*why, *(pk for pk in rows if pk not in why and pk != row.pk)]
    return [
        {
            "row": rows[pk],
            "why": why.get(pk, ""),
            "stands": stands(rows[pk], desk.today),
            "where": where(rows[pk], rows[pk].position or ""),
            "when": wording.moment(rows[pk].found_at, desk.base.timezone),
            "photos": photos_of([rows[pk].case], desk),
        }
        for pk in order
    ]


def reports_of(rows: Iterable[Any]) -> dict[int, Report]:
    """Rows as far as being a double goes, by their key; two queries."""
    found = list(rows)
    joined = set(
        Defect.objects.standing()
        .filter(same_as__in=[row.case for row in found])
        .values_list("same_as", flat=True)
    )
    apart = _kept_apart(found)
    return {row.pk: _report(row, joined=row.case in joined, apart=apart[row.pk]) for row in found}


def _kept_apart(rows: list[Any]) -> dict[int, frozenset[int]]:
    """By each row's key those somebody said are of another thing, out of what was there when it was said."""
    said = defaultdict(list)
    steps = DefectStep.objects.standing().filter(defect__in=[row.case for row in rows])
    for step in steps.filter(step=DefectStep.Step.SEEN).exclude(why=""):
        said[step.defect_id].append(step)
    return {
        row.pk: frozenset(
            other.pk
            for step in said[row.case]
            for other in rows
            if step.why == another_than(other) and other.found_at <= step.recorded_at
        )
        for row in rows
    }


def _report(row: Any, *, joined: bool, apart: frozenset[int]) -> Report:
    return Report(
        key=row.pk,
        words=row.words,
        day=row.found_on,
        at=at_of(row),
        alarmed=unlooked(row),
        grade=row.grade,
        deferred=row.deferral is not None,
        joined=joined,
        sort=sort_of(row.alarm),
        kept_apart=apart,
    )


def _sent(request: HttpRequest, row: Any, desk: Desk) -> HttpResponse:
    """One tap: the same thing, or not the same after all."""
    stays = row.pk
    other = other_of(request, row, desk)
    if other is None:
        messages.error(request, f"Not kept: wanted another report of {row.boat.name}.")
        return redirect("defect", base=desk.base.code, defect=stays)
    try:
        if request.POST.get("what") == "part":
            stays = _apart(other, row, desk)
            messages.success(request, "They are two things again, each open by itself.")
        else:
            stays = join_two(row, other, desk)[0]
            messages.success(request, "Joined: both are kept, and go as one from now on.")
    except Refused as refused:
        messages.error(request, f"Not kept: {refused.wanted}.")
    return redirect("defect", base=desk.base.code, defect=stays)


@transaction.atomic
def _apart(double: Any, main: Any, desk: Desk) -> int:
    """Parts two reports for good: the pair is not offered again. JoinRefused."""
    parted: Defect = part_defect(double, at=desk.now, by=desk.person)
    say_two_things(parted, main, who=desk.person.name, at=desk.now, by=desk.person)
    return parted.pk


def other_of(request: HttpRequest, row: Any, desk: Desk) -> Any:
    """The other report, of the same boat; None where none such was named."""
    number = row_number(request.POST.get("other", ""))
    there = (
        Defect.objects.filter(pk=number, boat=row.boat_id) if number is not None else Defect.objects.none()
    )
    return row_of(there[0].pk, desk) if there else None


@transaction.atomic
def join_two(row: Any, other: Any, desk: Desk) -> tuple[int, int]:
    """Joins two reports the right way round, which tells the sender of each that it was seen: the key of
    the one that stays, and of the one joined to it as it stands now. JoinRefused."""
    by_key = {each.pk: each for each in (row, other)}
    reports = reports_of(by_key.values())
    main, double = which_stays(reports[row.pk], reports[other.pk])
    joined = join_defect(by_key[double.key], by_key[main.key], at=desk.now, by=desk.person)
    for each in (row, other):
        see_report(each, who=desk.person.name, at=desk.now, by=desk.person)
    return main.key, joined.pk
