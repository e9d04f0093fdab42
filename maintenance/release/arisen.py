"""What held boats since they last went out, settled or not: what a release falls by and is to answer for."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from maintenance.defects.hull import Touch
from maintenance.defects.models import ENDINGS, Defect, DefectStep, StepPaper
from maintenance.defects.rules import UNSAFE
from maintenance.release import known
from maintenance.release.known import Arisen
from maintenance.release.models import Hold
from maintenance.release.rule_list import ALARM, NAMED, PAPER, TOUCH


def steps_of(boats: Collection[int]) -> list[DefectStep]:
    """Grades of unsafe, looks and ends of boats' defects, those taken back too."""
    wanted = (DefectStep.Step.GRADED, DefectStep.Step.LOOKED, DefectStep.Step.HAPPENING, *ENDINGS)
    rows = DefectStep.objects.filter(defect__boat__in=boats, step__in=wanted)
    return list(rows.select_related("defect", "replaced_by").order_by("pk"))


def _stands(step: DefectStep) -> bool:
    return not step.void and getattr(step, "replaced_by", None) is None


def opened_of(steps: Iterable[DefectStep], since: Mapping[int, datetime]) -> dict[int, list[known.Opened]]:
    """What was taken apart since each boat last went out, and whose paper is not here."""
    papered = StepPaper.objects.filter(step__in=[s.pk for s in steps if s.opened])
    there = set(papered.values_list("step_id", flat=True))
    found: dict[int, list[known.Opened]] = defaultdict(list)
    for s in steps:
        boat = s.defect.boat_id
        if s.opened and _stands(s) and s.recorded_at >= since[boat] and s.pk not in there:
            found[boat].append(known.Opened(s.pk, s.opened, s.defect.words, s.defect_id))
    return found


def settled_of(
    steps: Iterable[DefectStep], since: Mapping[int, datetime], touches: Mapping[int, list[known.Touched]]
) -> dict[int, set[str]]:
    """The rules that held each boat since she last went out and were settled."""
    unsafe = {s.defect_id for s in steps if _stands(s) and s.grade == UNSAFE}
    found: dict[int, set[str]] = defaultdict(set)
    for s in steps:
        boat = s.defect.boat_id
        if _stands(s) and s.step in ENDINGS and s.recorded_at >= since[boat]:
            found[boat] |= {UNSAFE} if s.defect_id in unsafe else set()
            found[boat] |= {PAPER} if s.opened else set()
    for boat, touched in touches.items():
        if any(t.looks and t.day >= since[boat].date() for t in touched):
            found[boat].add(TOUCH)
    return found


def arisen_of(boats: Collection[int], steps: Iterable[DefectStep]) -> dict[int, list[Arisen]]:
    """Everything that held a boat by an act of somebody's, settled since or not: grades, alarms,
    touches, holds by name, an end taken back."""
    found: dict[int, list[Arisen]] = defaultdict(list)
    for s in steps:
        boat, case = s.defect.boat_id, s.defect_id
        if s.grade == UNSAFE and not s.void:
            found[boat].append(Arisen(f"{UNSAFE}:{case}:{s.pk}", s.recorded_at))
        elif s.step == DefectStep.Step.HAPPENING and not s.void:
            found[boat].append(Arisen(f"{ALARM}:{case}:{s.pk}", s.recorded_at))
        elif s.void:
            found[boat].append(Arisen(f"taken back:{s.pk}", s.recorded_at))
    alarmed = Defect.objects.filter(boat__in=boats, replaces__isnull=True, void=False).alarmed()
    for pk, boat, at in alarmed.values_list("pk", "boat_id", "recorded_at"):
        found[boat].append(Arisen(f"{ALARM}:{pk}:0", at))
    first = {"boat__in": boats, "replaces__isnull": True}
    for pk, boat, at in Touch.objects.filter(**first).values_list("pk", "boat_id", "recorded_at"):
        found[boat].append(Arisen(f"{TOUCH}:{pk}", at))
    for pk, boat, at in Hold.objects.filter(**first).values_list("pk", "boat_id", "recorded_at"):
        found[boat].append(Arisen(f"{NAMED}:{pk}", at))
    return found
