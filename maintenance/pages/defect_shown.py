"""What the page of one defect shows: how it stands, its photos, its answers, its whole history."""

from collections.abc import Sequence
from typing import Any

from fleet.pages.desk import Desk
from maintenance.defects.facts import unlooked
from maintenance.defects.models import Defect, DefectStep, StepPaper
from maintenance.pages import wording
from maintenance.pages.defect_rows import short, where_of
from maintenance.pages.defect_story import photos_of, rows_of, story_of
from maintenance.pages.defect_words import MEANS, comes_again
from maintenance.pages.new_doubles import double_of
from maintenance.pages.opened import opened
from maintenance.pages.reported import stands, state_now


def context_of(row: Any, desk: Desk, ended: DefectStep | None) -> dict[str, Any]:
    """Everything the page says of a report, its forms apart."""
    by = f" by {row.reporter}" if row.reporter else ""
    when = wording.moment(row.found_at, desk.base.timezone)
    charter = f", charter {row.charter.code}" if row.charter else ""
    rows = rows_of(row)
    open_here = ended is None and row.same_as_id is None and desk.may("grade and defer")
    return (
        {
            "desk": desk,
            "here": "defects",
            "defect": row,
            "heading": f"{row.boat.name}: {short(row.words)}",
            "lede": f"Reported {when}{by}{charter}.",
            "now": ", ".join(state_now(row)),
            "where": where_of(row),
            "photos": photos_of([row.case], desk),
            "answers": _answers(rows, desk),
            "ended": ended,
            "wants_paper": _wants_paper(ended),
            "story": story_of(rows, desk),
            "may_judge": open_here,
            "may_look": ended is None
            and row.same_as_id is None
            and unlooked(row)
            and desk.may("look at an alarm"),
            "main": _main(row),
            "may_part": desk.may("grade and defer"),
        }
        | _standing(row, desk, ended, open_here)
        | opened(rows, desk)
        | {"double": double_of(row, desk) if open_here else None}
    )


def _standing(row: Any, desk: Desk, ended: DefectStep | None, open_here: bool) -> dict[str, Any]:
    """How it stands in words, and what of that can be undone or lengthened."""
    says = _ended_says(ended, desk) if ended else stands(row, desk.today)
    deferral = row.deferral
    graded = DefectStep.objects.standing().filter(pk=row.graded_step).first() if row.graded_step else None
    return {
        "stands": says,
        "means": MEANS.get(row.grade, "") if not ended else "",
        "unsafe": ended is None and row.grade == "unsafe",
        "again": wording.sentence(comes_again(row.again, row.found_on)),
        "deferral": deferral if not ended else None,
        "may_defer": open_here and row.grade not in ("", "unsafe") and not deferral,
        "may_extend": open_here and bool(deferral) and deferral.extends_id is None,
        "undo_grade": graded if open_here and graded and desk.is_today(graded.recorded_at) else None,
        "undo_deferral": deferral if open_here and deferral and desk.is_today(deferral.recorded_at) else None,
    }


def _ended_says(ended: DefectStep, desk: Desk) -> str:
    moment = wording.moment(ended.recorded_at, desk.base.timezone)
    return wording.sentence(f"{ended.step}, {moment}, {ended.by}")


def _wants_paper(ended: DefectStep | None) -> bool:
    return bool(ended and ended.opened and not StepPaper.objects.filter(step=ended).exists())


def _main(row: Defect) -> Defect | None:
    """The report one is joined to."""
    if row.same_as is None:
        return None
    rows = Defect.objects.standing().filter(pk=row.same_as_id) | Defect.objects.standing().filter(
        first=row.same_as_id
    )
    main: Defect | None = rows.first()
    return main


def _answers(rows: Sequence[Defect], desk: Desk) -> list[dict[str, str]]:
    cases = {each.case for each in rows}
    steps = DefectStep.objects.standing().filter(defect__in=cases, step=DefectStep.Step.ANSWERED)
    zone = desk.base.timezone
    return [
        {"words": s.why, "who": s.by, "when": wording.moment(s.recorded_at, zone)}
        for s in steps.order_by("pk")
    ]
