"""A release on paper: the verdict, the limits, what was let be, in whose names, with which papers."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.defects.models import StepPaper
from maintenance.pages import may_go, release_words, wording
from maintenance.pages.release_names import names_of
from maintenance.release.actions import by_one_person
from maintenance.release.facts import judge
from maintenance.release.models import Release


@at_base("see")
def release_sheet(request: HttpRequest, desk: Desk, release: int) -> HttpResponse:
    """One release, to be printed; one that fell or was taken back says so before anything else."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Release.objects.select_related("boat", "charter", "replaced_by").filter(void=False)
    row = get_object_or_404(rows, pk=release, boat__in=boats)
    context = _stands(row, desk) | {
        "desk": desk,
        "here": "boats",
        "release": row,
        "boat": row.boat,
        "verdict": wording.sentence(row.verdict),
        "shape": may_go.SHAPES[row.verdict],
        "going": may_go.going(row.charter, desk),
        "let_be": [reason["words"] for reason in row.reasons],
        "names": names_of(row, desk),
        "alone": by_one_person(row),
        "one": release_words.ONE,
        "papers": _papers(row),
        "said_at": wording.moment(row.recorded_at, desk.base.timezone),
        "printed": wording.moment(desk.now, desk.base.timezone),
        "disclaims": release_words.DISCLAIMS,
    }
    return render(request, "maintenance/release_sheet.html", context)


def _stands(row: Release, desk: Desk) -> dict[str, Any]:
    """Whether it holds still, and what the skipper is told of what was deferred."""
    if hasattr(row, "replaced_by"):
        return {"gone": "It was taken back.", "limits": [row.limits] if row.limits else []}
    if row.charter.ends_on <= desk.today or row.charter.boat_id != row.boat_id:
        gone = "" if row.charter.boat_id == row.boat_id else "The charter has another boat now."
        return {"gone": gone, "limits": [row.limits] if row.limits else []}
    judged = judge(row.boat, row.charter, base=desk.base, on=desk.today, now=desk.now)
    later = judged.release is not None and judged.release.pk != row.pk
    gone = "A later one stands in its place." if later else ""
    if judged.standing.fell and not later:
        gone = "It fell: something has held her since. She is to be released again."
    own = [row.limits] if row.limits and (later or judged.standing.fell) else []
    return {"gone": gone, "limits": [*judged.limits, *own] if not later else own}


def _papers(row: Release) -> list[tuple[str, str]]:
    """The papers of what was taken apart on her and put back up to the release: what of, and the paper."""
    rows = StepPaper.objects.filter(
        step__defect__boat=row.boat_id, step__void=False, step__recorded_at__lte=row.recorded_at
    ).exclude(step__opened="")
    rows = rows.filter(step__replaced_by__isnull=True).select_related("step", "paper").order_by("-pk")
    return [(paper.step.opened, paper.paper.sha256) for paper in rows[:6]]
