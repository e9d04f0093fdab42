"""What held a boat and was settled since she last went out: by rule, in the words it was reported in."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime

from fleet.bases.models import Base
from maintenance.defects.hull import HullLook
from maintenance.defects.models import ENDINGS, DefectStep
from maintenance.defects.rules import UNSAFE
from maintenance.release.arisen import settled_of, steps_of
from maintenance.release.chains import chains
from maintenance.release.facts import Judged, rules_of
from maintenance.release.models import Release
from maintenance.release.rule_list import TOUCH, TWO, Rule
from maintenance.release.ships import last_out

SETTLED = "settled since she last went out"
Why = tuple[Rule, list[str]]


def settled_words(judged: Judged, base: Base, on: date) -> Sequence[str]:
    """Each with what was found or done, and by whom; three queries."""
    since = last_out(base, [judged.boat.pk], on)[judged.boat.pk]
    return _unsafe_ended(judged.boat.pk, since)


def why_names(release: Release, base: Base) -> list[Why]:
    """Why a release wanted more names than one: each rule that did, as the base has it now, with what
    was let be, or had been settled since she last went out."""
    told = _let_be(release)
    for code, words in _settled_before(release, base).items():
        told[code] += [f"{SETTLED}: {text}" for text in words] or [SETTLED]
    rules = rules_of(base)
    return [(rules[code], words) for code, words in told.items() if code in rules and rules[code].names > 1]


def went_out_before(release: Release, base: Base) -> datetime:
    """When the boat last went out before a release was said."""
    return last_out(base, [release.boat_id], base.day_of(release.recorded_at))[release.boat_id]


def _let_be(release: Release) -> dict[str, list[str]]:
    told: dict[str, list[str]] = defaultdict(list)
    for reason in release.reasons:
        told[reason["key"].partition(":")[0]].append(f"let be: {reason['words']}")
    return told


def _settled_before(release: Release, base: Base) -> dict[str, list[str]]:
    boat, until = release.boat_id, release.recorded_at
    since = went_out_before(release, base)
    steps = [step for step in steps_of([boat]) if step.recorded_at <= until]
    told: dict[str, list[str]] = {code: [] for code in settled_of(steps, {boat: since}, {})[boat]}
    if UNSAFE in told:
        told[UNSAFE] = _unsafe_ended(boat, since, until) or _graded_down(steps, since)
    if TWO in told:
        times = {at for _, at in chains(steps) if at >= since}
        told[TWO] = [_line(step) for step in steps if step.grade and step.recorded_at in times]
    if looks := _looks(boat, since, until):
        told[TOUCH] = looks
    return told


def _looks(boat: int, since: datetime, until: datetime) -> list[str]:
    rows = HullLook.objects.standing().filter(boat=boat, recorded_at__gte=since, recorded_at__lte=until)
    return [f"looked at by {look.who}, {look.method}" for look in rows.exclude(touch=None).order_by("pk")]


def _graded_down(steps: Sequence[DefectStep], since: datetime) -> list[str]:
    """What was unsafe and is graded otherwise now."""
    was = {step.defect_id for step in steps if step.grade == UNSAFE}
    lately = (s for s in steps if s.recorded_at >= since and s.grade not in ("", UNSAFE))
    return [f"{_line(s)} (graded {s.grade} by {s.by})" for s in lately if s.defect_id in was]


def _unsafe_ended(boat: int, since: datetime, until: datetime | None = None) -> list[str]:
    ended = DefectStep.objects.standing().filter(defect__boat=boat, step__in=ENDINGS, recorded_at__gte=since)
    if until is not None:
        ended = ended.filter(recorded_at__lte=until)
    unsafe = DefectStep.objects.standing().filter(grade=UNSAFE, defect__boat=boat).values("defect")
    rows = ended.filter(defect__in=unsafe).select_related("defect").order_by("pk")
    return [_said(row) for row in rows]


def _line(row: DefectStep) -> str:
    return " ".join(row.defect.words.split())[:90]


def _said(row: DefectStep) -> str:
    why = f": {row.why}" if row.why else ""
    return f"{_line(row)} ({row.step} by {row.by}{why})"
