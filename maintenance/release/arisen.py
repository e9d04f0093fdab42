"""What held boats since they last went out, settled or not: what a release falls by and is to answer for."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, datetime

from django.db.models import F, Q

from fleet.boats.models import BoatTerms
from fleet.charters.models import Charter, CharterBoat
from maintenance.defects.facts import waits_of
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.models import ENDINGS, Defect, DefectStep, Deferral, StepPaper
from maintenance.defects.rules import UNSAFE
from maintenance.release import known
from maintenance.release.chains import chains
from maintenance.release.known import Arisen
from maintenance.release.models import Hold
from maintenance.release.rule_list import ALARM, DEFERRAL, NAMED, PAPER, READY, TOUCH, TWO


def steps_of(boats: Collection[int]) -> list[DefectStep]:
    """Grades, looks and ends of boats' defects, those taken back too."""
    wanted = (DefectStep.Step.GRADED, DefectStep.Step.LOOKED, DefectStep.Step.HAPPENING, *ENDINGS)
    rows = DefectStep.objects.filter(defect__boat__in=boats, step__in=wanted)
    return list(rows.select_related("defect__component__kind", "replaced_by").order_by("pk"))


def _stands(step: DefectStep) -> bool:
    return not step.void and getattr(step, "replaced_by", None) is None


def opened_of(steps: Iterable[DefectStep]) -> dict[int, list[known.Opened]]:
    """What was taken apart and whose paper is not here: one let be for a charter is asked for again."""
    opened = [s for s in steps if s.opened and _stands(s)]
    papered = StepPaper.objects.filter(step__in=[s.pk for s in opened])
    there = set(papered.values_list("step_id", flat=True))
    found: dict[int, list[known.Opened]] = defaultdict(list)
    for s in opened:
        if s.pk not in there:
            found[s.defect.boat_id].append(known.Opened(s.pk, s.opened, s.defect.words, s.defect_id))
    return found


def settled_of(
    steps: Iterable[DefectStep], since: Mapping[int, datetime], touches: Mapping[int, list[known.Touched]]
) -> dict[int, set[str]]:
    """The rules that held each boat since she last went out and were settled."""
    found: dict[int, set[str]] = defaultdict(set)
    grades: dict[int, str] = {}
    for s in (s for s in steps if _stands(s)):
        boat, was = s.defect.boat_id, grades.get(s.defect_id, "")
        lately = s.recorded_at >= since[boat]
        grades[s.defect_id] = s.grade or was
        if lately and was == UNSAFE and (s.step in ENDINGS or s.grade not in ("", UNSAFE)):
            found[boat].add(UNSAFE)
        if lately and s.step in ENDINGS and s.opened:
            found[boat].add(PAPER)
    for boat, at in chains(steps):
        found[boat] |= {TWO} if at >= since[boat] else set()
    for boat, touched in touches.items():
        if any(at >= since[boat] for t in touched for at in t.looked_at):
            found[boat].add(TOUCH)
    return found


def arisen_of(
    boats: Collection[int],
    steps: Iterable[DefectStep],
    out: Mapping[int, Collection[date]],
    trips: Mapping[int, Charter],
    on: date,
) -> dict[int, list[Arisen]]:
    """Everything that was made to hold a boat by an act of somebody's, settled since or not."""
    found: dict[int, list[Arisen]] = defaultdict(list)
    parts = (
        *(_by_steps(steps), _by_alarms(boats), _by_the_hull(boats), _by_name(boats)),
        *(_by_deferrals(boats, out), _by_her_state(boats, on), _by_change(trips)),
    )
    for part in parts:
        for boat, arisen in part:
            found[boat].append(arisen)
    return found


Found = Iterator[tuple[int, Arisen]]


def _by_steps(steps: Iterable[DefectStep]) -> Found:
    """Grades of unsafe, a danger that is there again, what was taken apart, what was taken back."""
    for s in steps:
        boat, case, at = s.defect.boat_id, s.defect_id, s.recorded_at
        if s.void:
            yield boat, Arisen(f"taken back:{s.pk}", at)
        elif s.grade == UNSAFE:
            yield boat, Arisen(f"{UNSAFE}:{case}:{s.pk}", at)
        elif s.step == DefectStep.Step.HAPPENING:
            yield boat, Arisen(f"{ALARM}:{case}:{s.pk}", at)
        elif s.opened:
            yield boat, Arisen(f"{PAPER}:{s.pk}", at)
    for boat, at in chains(steps):
        yield boat, Arisen(f"{TWO}:at {at.isoformat()}", at)


def _by_alarms(boats: Collection[int]) -> Found:
    """Reports that raised an alarm as they came in, by what was put right in them, or by being moved here."""
    first = Q(replaces__isnull=True) | (Q(replaces__alarm="") & ~Q(replaces__risk_now=True))
    first |= ~Q(replaces__boat=F("boat"))
    rows = Defect.objects.filter(first, ~Q(alarm="") | Q(risk_now=True), boat__in=boats, void=False)
    for pk, boat, at in rows.values_list("pk", "boat_id", "recorded_at"):
        yield boat, Arisen(f"{ALARM}:{pk}:0", at)


def _by_the_hull(boats: Collection[int]) -> Found:
    rows = Touch.objects.filter(boat__in=boats, void=False)
    for pk, boat, at in rows.values_list("pk", "boat_id", "recorded_at"):
        yield boat, Arisen(f"{TOUCH}:{pk}", at)
    looks = HullLook.objects.filter(boat__in=boats, void=False, sound=False)
    for pk, boat, at in looks.values_list("pk", "boat_id", "recorded_at"):
        yield boat, Arisen(f"{TOUCH}:look {pk}", at)


def _by_name(boats: Collection[int]) -> Found:
    rows = Hold.objects.filter(boat__in=boats, void=False, lifted="")
    for pk, boat, at in rows.values_list("pk", "boat_id", "recorded_at"):
        yield boat, Arisen(f"{NAMED}:{pk}", at)


def _by_deferrals(boats: Collection[int], out: Mapping[int, Collection[date]]) -> Found:
    rows = Deferral.objects.filter(defect__boat__in=boats, void=False).select_related("defect")
    for row in rows:
        boat, waits = row.defect.boat_id, waits_of(row, out.get(row.defect.boat_id, ()))
        yield boat, Arisen(f"{DEFERRAL}:{row.defect_id}:{row.pk}", row.recorded_at, waits)


def _by_her_state(boats: Collection[int], on: date) -> Found:
    """Every lay-up, one ended on the day it began too."""
    ever = BoatTerms.objects.filter(boat__in=boats, from_on__lte=on, void=False)
    rows = ever.exclude(state=known.IN_USE)
    for pk, boat, at in rows.values_list("pk", "boat_id", "recorded_at"):
        yield boat, Arisen(f"{READY}:{pk}", at)


def _by_change(trips: Mapping[int, Charter]) -> Found:
    """The boat under a charter was changed: one that goes back to her first boat finds her released
    for no charter either."""
    boats = {charter.pk: boat for boat, charter in trips.items()}
    rows = CharterBoat.objects.filter(charter__in=boats, void=False)
    for pk, charter, at in rows.values_list("pk", "charter_id", "recorded_at"):
        yield boats[charter], Arisen(f"change:{pk}", at)
