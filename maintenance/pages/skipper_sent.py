"""What a skipper sent and what the base answered, in words."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from fleet.ledger import latest
from maintenance.defects.happening import ANSWERS, NEVER
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.pages import alarm_wording, wording
from maintenance.pages.dials import label_of
from maintenance.pages.phone import local
from maintenance.pages.phone.known import aboard, in_catalog, words_of
from maintenance.pages.reported import state_now, where
from maintenance.pages.way_in import WayIn
from maintenance.servicing.following import positions
from maintenance.spares.models import StockMove
from maintenance.turnaround.models import LinkDefect, LinkReturn, Return
from maintenance.turnaround.questions import QUESTIONS

SAID = {True: gettext_lazy("Yes."), False: gettext_lazy("No."), None: gettext_lazy("Not answered.")}
SAID_NOW = {
    DefectStep.Step.HAPPENING.value: gettext_lazy("You said it is happening now."),
    DefectStep.Step.STOPPED.value: gettext_lazy("You said it is not happening any more."),
}
GAS, NOTED = "gas", "\n\nWhere: "  # a system chosen has no column: it stands below the words
LATEST = 60  # shown: a link may run for weeks
CHAIN = "replaced_by__replaced_by"
Step = DefectStep.Step


def own_reports(way: WayIn, most: int = LATEST) -> list[dict[str, Any]]:
    """What came by the charter's links, the latest first, in a fixed number of queries."""
    rows = LinkDefect.objects.filter(link__charter=way.charter).order_by("-pk")[:most]
    rows = rows.select_related(f"defect__{CHAIN}", "defect__boat", "defect__place", "defect__component__kind")
    found = list(rows.prefetch_related("defect__papers__paper", "moves__move__spare"))
    steps = _steps([row.defect for row in found])
    fitted = positions({row.defect.boat_id for row in found})
    return [_report(row, steps[row.defect_id], fitted, way) for row in found]


def own_returns(way: WayIn, most: int = LATEST) -> list[dict[str, Any]]:
    """The returns that came by the charter's links, the latest first."""
    rows = LinkReturn.objects.filter(link__charter=way.charter).order_by("-pk")[:most]
    found = rows.select_related(f"filed__{CHAIN}", "filed__boat", "filed__seen").prefetch_related(
        "filed__readings__reading__meter",
        "filed__moves__move__spare",
        f"filed__defects__defect__{CHAIN}",
        "photos__paper",
    )
    filed = [row.filed for row in found]
    steps = _steps([link.defect for row in filed for link in row.defects.all()])
    return [_return(row, steps, way) for row in filed]


def filed_before(way: WayIn) -> list[str]:
    """Returns of the charter that stand: another adds to them."""
    rows = Return.objects.standing().filter(charter=way.charter).order_by("pk")
    says = {
        Return.FiledBy.SKIPPER: gettext("A return was sent, %(moment)s."),
        Return.FiledBy.BASE: gettext("The base took the boat back, %(moment)s."),
    }
    return [
        says[Return.FiledBy(row.filed_by)] % {"moment": local.moment(row.recorded_at, way.base.timezone)}
        for row in rows
    ]


def _steps(defects: Sequence[Defect]) -> dict[int, list[DefectStep]]:
    """What the base said to each report, by the report as it was sent; one query."""
    first = {row.pk: defect.pk for defect in defects for row in _rows(defect)}
    steps: dict[int, list[DefectStep]] = {defect.pk: [] for defect in defects}
    for step in DefectStep.objects.standing().filter(defect__in=first).order_by("pk"):
        steps[first[step.defect_id]].append(step)
    return steps


def _rows(defect: Defect) -> Iterable[Defect]:
    """A report and every correction of it."""
    row: Defect | None = defect
    while row is not None:
        yield row
        row = getattr(row, "replaced_by", None)


def _report(row: LinkDefect, steps: list[DefectStep], fitted: dict[int, str], way: WayIn) -> dict[str, Any]:
    defect = row.defect
    words, _, system = defect.words.partition(NOTED)
    place = where(defect, fitted.get(defect.component_id or 0, "")) or system.partition("\n")[0]
    return {
        "id": defect.client_id or "",
        "boat": defect.boat.name if way.before else "",
        "at": defect.recorded_at,
        "danger": _is_danger(defect, steps),
        "words": words,
        "facts": _facts(defect, place, [used.move for used in row.moves.all()]),
        "sent": _sent(defect.recorded_at, defect.reporter, way),
        "photos": [link.paper.sha256 for link in defect.papers.all()],
        **_state(defect, steps, way),
        **_happening(defect, steps, way),
    }


def _happening(defect: Defect, steps: list[DefectStep], way: WayIn) -> dict[str, Any]:
    """What its sender said of whether it is happening now, what to do first, and who comes for it."""
    said = next((step for step in steps if step.step in ANSWERS), None)
    words = str(SAID_NOW[said.step]) if said is not None else ""
    never = gettext("You said it never was: the words mean something else.")
    danger = defect.risk_now or (said is not None and said.step == Step.HAPPENING)
    first = alarm_wording.aboard(defect.alarm) if danger and _is_danger(defect, steps) else ""
    return {
        "happening": never if said and said.why == NEVER else words,
        "first": first,
        "rank": alarm_wording.rank(defect.alarm),
        "case": defect.case,
    }


def _is_danger(defect: Defect, steps: list[DefectStep]) -> bool:
    """Said to be danger or happening now, or about the gas, and not ended yet."""
    about_gas = defect.component is not None and defect.component.kind.system.lower() == GAS
    ended = any(step.step in ENDINGS for step in steps) or latest(defect).void
    happening = any(step.step == Step.HAPPENING for step in steps)
    never = any(step.why == NEVER for step in steps if step.step in ANSWERS)
    gas = not never and (about_gas or (NOTED + GAS).lower() in defect.words.lower())
    return not ended and bool(defect.risk_now or happening or gas)


def _facts(defect: Defect, place: str, moves: Iterable[StockMove]) -> list[str]:
    used = [_used(move) for move in moves]
    return [part for part in (aboard(place), *state_now(defect), *used) if part]


def _used(move: StockMove) -> str:
    said = {"quantity": local.quantity(move.quantity), "spare": move.spare}
    return gettext("used %(quantity)s %(spare)s") % said


def _sent(at: datetime, reporter: str, way: WayIn) -> str:
    said = {"moment": local.moment(at, way.base.timezone), "name": reporter}
    return (gettext("Sent %(moment)s by %(name)s.") if reporter else gettext("Sent %(moment)s.")) % said


def _state(defect: Defect, steps: list[DefectStep], way: WayIn) -> dict[str, Any]:
    """How a report stands in words, and each answer; what the base noted for itself is not said."""
    zone = way.base.timezone
    answers = [
        {"words": step.why, "when": local.moment(step.recorded_at, zone), "who": step.by}
        for step in steps
        if step.step == DefectStep.Step.ANSWERED
    ]
    ended = next((step for step in reversed(steps) if step.step in ENDINGS), None)
    if latest(defect).void:
        state = gettext("The base took it off its list.")
    elif ended is None:
        seen = next((step.recorded_at for step in steps if step.step not in ANSWERS), None)
        state = gettext("Answered.") if answers else _seen(seen, way)
    else:
        right = ended.step == DefectStep.Step.PUT_RIGHT
        said = gettext("Put right on %(day)s.") if right else gettext("Looked at on %(day)s: no fault found.")
        state = said % {"day": local.day(way.base.day_of(ended.recorded_at), way.today)}
    return {"state": state, "answers": answers, "ended": ended is not None, "stand": _stand(defect, steps)}


def _seen(at: datetime | None, way: WayIn) -> str:
    if at is None:
        return gettext("Sent; not seen yet.")
    return gettext("Seen by the base, %(moment)s.") % {"moment": local.moment(at, way.base.timezone)}


def _stand(defect: Defect, steps: list[DefectStep]) -> str:
    """How far a report has got, as a phone keeps it: sent, seen, answered, ended. The sender's own
    answers are no word of the base's."""
    said = {step.step for step in steps} - set(ANSWERS)
    if latest(defect).void or said & set(ENDINGS):
        return "ended"
    return "answered" if Step.ANSWERED in said else "seen" if said else "sent"


def _return(row: Return, steps: dict[int, list[DefectStep]], way: WayIn) -> dict[str, Any]:
    dials = [
        gettext("%(meter)s: %(hours)s h")
        % {"meter": label_of(link.reading.meter), "hours": local.hours(link.reading.dial)}
        for link in row.readings.all()
    ]
    used = [wording.sentence(_used(link.move)) for link in row.moves.all()]
    told = [
        {
            "words": words_of(link.defect),
            **_state(link.defect, steps[link.defect_id], way),
            **_happening(link.defect, steps[link.defect_id], way),
        }
        for link in row.defects.all()
    ]
    asked = [f"{in_catalog(q.asks)} {SAID[row.answers.get(q.code)]}" for q in QUESTIONS]
    gas = bool(row.answers.get("gas_or_fumes_smelled")) and not latest(row).void
    danger = gas or any(_is_danger(link.defect, steps[link.defect_id]) for link in row.defects.all())
    return {
        "given_back": True,
        "id": row.client_id or "",
        **_return_state(row, [one["stand"] for one in told], way),
        "at": row.recorded_at,
        "danger": danger,
        "boat": row.boat.name,
        "sent": _sent(row.recorded_at, row.reporter, way),
        "items": [*dials, *asked, *used],
        "told": told,
        "photos": [photo.paper.sha256 for photo in row.came_by.photos.all() if photo.paper],
        "undone": latest(row).void,
    }


def _return_state(row: Return, told: Collection[str], way: WayIn) -> dict[str, str]:
    """How far a return has got: as far as the base has read it, or what came with it."""
    seen = getattr(row, "seen", None)
    if latest(row).void:
        return {"stand": "ended", "state": gettext("The base took this return off its list.")}
    if seen is not None:
        stand = "answered" if "answered" in told else "seen"
        return {"stand": stand, "state": _seen(seen.recorded_at, way)}
    read = any(stand != "sent" for stand in told)
    return {"stand": "seen" if read else "sent", "state": "" if read else _seen(None, way)}
