"""The whole history of a report: each step with its name and moment, what was undone too, photos dated."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from fleet.pages.desk import Desk
from maintenance.defects.facts import waits_of
from maintenance.defects.models import Defect, DefectPaper, DefectStep, Deferral, StepPaper
from maintenance.pages import wording
from maintenance.pages.defect_words import until
from maintenance.pages.reported import where

Told = dict[str, Any]
BESIDE = ("boat", "place__parent", "component__kind", "recorded_by", "same_as")


def story_of(rows: Sequence[Defect], desk: Desk) -> list[Told]:
    """Everything that happened to a report, in order; it is given as `rows_of` has it."""
    row = rows[-1]
    steps = _steps({each.case for each in rows}, desk)
    told = [*_report(rows), *steps, *_deferrals(row, desk), *_doubles(row, desk)]
    told.sort(key=lambda each: each["at"])
    return [each | {"when": wording.moment(each["at"], desk.base.timezone)} for each in told]


def photos_of(cases: Collection[int], desk: Desk) -> list[Told]:
    """The photos of reports, each dated: when it was taken, else when it came in."""
    rows = DefectPaper.objects.filter(defect__in=cases).select_related("paper", "defect").order_by("pk")
    return [dated_photo(row.paper, row.defect.recorded_at, desk) for row in rows]


def photos_by_case(cases: Collection[int], desk: Desk) -> dict[int, list[Told]]:
    """The photos of reports, by the report; one query."""
    found: dict[int, list[Told]] = defaultdict(list)
    rows = DefectPaper.objects.filter(defect__in=cases).select_related("paper", "defect").order_by("pk")
    for row in rows:
        found[row.defect_id].append(dated_photo(row.paper, row.defect.recorded_at, desk))
    return found


def dated_photo(paper: Any, came: datetime, desk: Desk) -> Told:
    moment = paper.taken_at or came
    word = "taken" if paper.taken_at else "handed in"
    return {
        "sha256": paper.sha256,
        "shown": paper.mime.startswith("image/"),
        "dated": f"{word} {wording.day(desk.base.day_of(moment), desk.today)}",
    }


def _told(at: datetime, what: str, who: str = "", why: str = "", **more: Any) -> Told:
    return {"at": at, "what": what, "who": who, "why": why} | more


def rows_of(row: Defect) -> list[Defect]:
    """A report as it first came in, then each correction of it, also of one moved from another boat."""
    found: list[Defect] = []
    number: int | None = row.pk
    while number is not None:
        found.append(Defect.objects.select_related(*BESIDE).get(pk=number))
        number = found[-1].replaces_id
    return found[::-1]


def _report(rows: Iterable[Defect]) -> Iterator[Told]:
    """As it first came in, then where it was said to be instead, what it was joined to, where it went."""
    before: Defect | None = None
    for each in rows:
        who = each.recorded_by.name if each.recorded_by else ""
        if before is None:
            alarm = f"raised the alarm by “{each.alarm}”" if each.alarm else ""
            yield _told(each.found_at, "reported", each.reporter or who, alarm)
        elif each.boat_id != before.boat_id:
            yield _told(each.recorded_at, f"moved here from {before.boat.name}", who, where(before))
        elif each.same_as_id != before.same_as_id:
            what = "joined to another report" if each.same_as_id else "parted from the other report"
            yield _told(each.recorded_at, what, who, each.same_as.words if each.same_as else "")
        else:
            yield _told(each.recorded_at, "where it is at said anew", who, where(each) or "not known")
        before = each


def _steps(cases: Collection[int], desk: Desk) -> Iterator[Told]:
    papers: dict[int, list[Told]] = defaultdict(list)
    for link in (
        StepPaper.objects.filter(step__defect__in=cases).select_related("paper", "step").order_by("pk")
    ):
        papers[link.step_id].append(dated_photo(link.paper, link.step.recorded_at, desk))
    rows = DefectStep.objects.filter(defect__in=cases).select_related("replaced_by", "recorded_by")
    for step in rows.filter(replaces__isnull=True).order_by("pk"):
        yield _told(
            step.recorded_at, _what(step), step.by, step.why, photos=papers[step.pk], **_undone(step, desk)
        )


def _what(step: DefectStep) -> str:
    if step.grade:
        return f"graded {step.grade}" + (f", touches {step.function}" if step.function else "")
    return step.step + (f"; opened: {step.opened}" if step.opened else "")


def _undone(row: Any, desk: Desk) -> Told:
    later = getattr(row, "replaced_by", None)
    if later is None or not later.void:
        return {}
    who = f" by {later.recorded_by.name}" if later.recorded_by else ""
    return {"undone": f"undone {wording.moment(later.recorded_at, desk.base.timezone)}{who}"}


def _deferrals(row: Defect, desk: Desk) -> Iterator[Told]:
    rows = Deferral.objects.filter(defect=row.case, void=False).select_related("replaced_by__recorded_by")
    for each in rows.filter(replaces__isnull=True).order_by("pk"):
        said = until(waits_of(each, ()), desk.today)
        what = said.replace("deferred", "extended, deferred", 1) if each.extends_id else said
        parts = [each.why, f"Limit: {each.limit_text}" if each.limit_text else ""]
        parts.append(f"Made inoperative: {each.made_inoperative}" if each.made_inoperative else "")
        why = "; ".join(part for part in parts if part)
        yield _told(each.recorded_at, what, each.by, why, **_undone(each, desk))


def _doubles(row: Defect, desk: Desk) -> Iterator[Told]:
    """Reports joined to this one: in their own words, with their photos."""
    for each in Defect.objects.standing().filter(same_as=row.case).order_by("pk"):
        photos = photos_of([each.case], desk)
        yield _told(each.found_at, "reported again", each.reporter, each.words, photos=photos, double=each)
