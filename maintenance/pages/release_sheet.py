"""A release on paper: the verdict, the limits, what was let be, in whose names, with which papers."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.defects.models import DefectStep
from maintenance.defects.rules import OPENED
from maintenance.pages import may_go, release_words, wording
from maintenance.pages.release_names import names_of, read_by
from maintenance.release.actions import by_one_person
from maintenance.release.facts import judge
from maintenance.release.models import Release
from maintenance.release.settled import went_out_before, why_names


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
        "read_by": read_by(row, desk),
        "wanted": _wanted(row, desk),
        "alone": by_one_person(row),
        "one": release_words.ONE,
        "opened": _opened(row, desk),
        "may_open": ", ".join(OPENED),
        "said_at": wording.moment(row.recorded_at, desk.base.timezone),
        "printed": wording.moment(desk.now, desk.base.timezone),
        "disclaims": release_words.DISCLAIMS,
    }
    return render(request, "maintenance/release_sheet.html", context)


def _stands(row: Release, desk: Desk) -> dict[str, Any]:
    """Whether it holds still, what the skipper is told of what was deferred, and what to know besides."""
    own = [row.limits] if row.limits else []
    if hasattr(row, "replaced_by"):
        return {"gone": "It was taken back.", "limits": own}
    if row.charter.ends_on <= desk.today or row.charter.boat_id != row.boat_id:
        gone = "" if row.charter.boat_id == row.boat_id else "The charter has another boat now."
        return {"gone": gone, "limits": own}
    judged = judge(row.boat, row.charter, base=desk.base, on=desk.today, now=desk.now)
    if judged.release is not None and judged.release.pk != row.pk:
        return {"gone": "A later one stands in its place.", "limits": own}
    fell = judged.standing.fell
    gone = "It fell: something has held her since. She is to be released again." if fell else ""
    limits = [*judged.limits, *(own if fell else [])]
    return {"gone": gone, "limits": limits, "warnings": judged.warnings}


def _wanted(row: Release, desk: Desk) -> list[dict[str, Any]]:
    """Each rule that wanted more names than one, with the defects it was about."""
    if row.names_needed < 2:
        return []
    found = why_names(row, desk.base)
    return [{"words": wording.sentence(rule.words), "about": words} for rule, words in found]


def _opened(row: Release, desk: Desk) -> list[dict[str, Any]]:
    """What was opened on her between the charter before and the release, each with its papers; older
    ones too whose paper is not here."""
    since = went_out_before(row, desk.base)
    steps = DefectStep.objects.standing().filter(defect__boat=row.boat_id, recorded_at__lte=row.recorded_at)
    rows = steps.exclude(opened="").select_related("defect").prefetch_related("papers__paper").order_by("pk")
    told = [_told(step) for step in rows]
    return [one for one in told if one["at"] >= since or not one["papers"]]


def _told(step: DefectStep) -> dict[str, Any]:
    return {
        "at": step.recorded_at,
        "what": wording.sentence(step.opened),
        "words": " ".join(step.defect.words.split())[:90],
        "papers": [paper.paper.sha256 for paper in step.papers.all()],
    }
