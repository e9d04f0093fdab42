"""What to take to one boat: for each thing that is worked on, its plate, its parts and where they lie."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from maintenance.defects.models import Defect
from maintenance.planning.facts import AHEAD, Job, boat_of
from maintenance.planning.taking import NONE, Take, Wants, found_for
from maintenance.servicing.following import positions
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import parts_for_each, superseding
from maintenance.spares.successors import newest

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Listed:
    """What may be worked on before she is back from her next charter: jobs, those never recorded apart,
    and open defects that name a thing aboard. A thing that is away is worked on elsewhere."""

    charter: Charter | None
    jobs: tuple[Job, ...]
    never: tuple[Job, ...]
    defects: tuple[Defect, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part to take: `asked` is how many the jobs take, None where a defect's cause is not known yet;
    `order_as` is the number it is ordered by now; `in_all` what every thing on the list takes of it, and
    `there` what lies in the store and aboard together."""

    take: Take
    asked: Decimal | None
    order_as: Spare
    in_all: Decimal = NONE

    @property
    def there(self) -> Decimal:
        return sum((lie.good for lie in self.take.lies), NONE)

    @property
    def short(self) -> Decimal:
        """What the whole list takes more of than lies anywhere she can be given it from."""
        return max(self.in_all - self.there, NONE)


@dataclass(frozen=True, slots=True)
class ForThing:
    """One thing aboard, where it is, what is to be done to it, and its parts."""

    component: Component
    position: str
    jobs: tuple[Job, ...]
    defects: tuple[Defect, ...]
    parts: tuple[PartLine, ...]


def listed_of(base: Base, boat: Boat, *, on: date) -> Listed:
    """Her due list up to and with her next charter, a week where none is booked, and her open defects."""
    whole = boat_of(base, boat, on)
    ends = whole.charter.ends_on if whole.charter is not None else None
    days = AHEAD if ends is None else (ends - on).days

    def near(jobs: Iterable[Job]) -> tuple[Job, ...]:
        return tuple(job for job in jobs if job.away is None and _is_near(job, on, days))

    defects = tuple(defect for defect in whole.defects if defect.component_id is not None)
    return Listed(whole.charter, near(whole.jobs), near(whole.never), defects)


def _is_near(job: Job, on: date, days: int) -> bool:
    due = job.due
    soon = due.due_on is not None and (due.due_on - on).days <= days
    return bool(due.overdue or due.before_handover or soon)


def take_along(boat: Boat, jobs: Sequence[Job], defects: Sequence[Defect], *, on: date) -> list[ForThing]:
    """The things worked on and the parts of each, in the order of the list; as many queries whatever
    their number."""
    things = {job.due.component_id: job.due.component for job in jobs}
    things |= {defect.component.pk: defect.component for defect in defects if defect.component is not None}
    asked = _asked(jobs)
    wants = _wants(boat, things, asked, _for_defects(things, defects))
    by, where = superseding(), positions([boat.pk])
    found = found_for(wants, on=on)
    newest_of = {part: newest(part, by) for want in wants.values() for part in (s.pk for s, _ in want.parts)}
    numbers = Spare.objects.in_bulk(set(newest_of.values()))
    lines = {
        key: [
            PartLine(take, asked[key].get(take.spare.pk), numbers[newest_of[take.spare.pk]])
            for take in found.get(key, ())
        ]
        for key in things
    }
    in_all = _in_all(lines.values())
    return [
        ForThing(
            component=component,
            position=where.get(key, ""),
            jobs=tuple(job for job in jobs if job.due.component_id == key),
            defects=tuple(defect for defect in defects if defect.component_id == key),
            parts=tuple(replace(line, in_all=in_all[line.take.spare.pk]) for line in lines[key]),
        )
        for key, component in things.items()
    ]


def _asked(jobs: Iterable[Job]) -> dict[int, dict[int, Decimal]]:
    """How many of each part the jobs take, by thing."""
    found: dict[int, dict[int, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for job in jobs:
        for take in job.take:
            found[job.due.component_id][take.spare.pk] += take.quantity
    return found


def _for_defects(things: Mapping[int, Component], defects: Iterable[Defect]) -> dict[int, list[Spare]]:
    """The parts that may be wanted where something is wrong with a thing."""
    wrong = {defect.component_id for defect in defects}
    parts = parts_for_each([thing for key, thing in things.items() if key in wrong])
    return {key: [spare for spare, _ in of] for key, of in parts.items()}


def _wants(
    boat: Boat,
    things: Mapping[int, Component],
    asked: Mapping[int, Mapping[int, Decimal]],
    others: Mapping[int, Sequence[Spare]],
) -> dict[int, Wants]:
    """What jobs take first, then what else may be wanted: of that one, for nobody knows how many."""
    spares = Spare.objects.in_bulk({spare for of in asked.values() for spare in of})
    found = {}
    for key, component in things.items():
        parts = [(spares[spare], quantity) for spare, quantity in asked.get(key, {}).items()]
        known = {spare.pk for spare, _ in parts}
        parts += [(spare, ONE) for spare in others.get(key, ()) if spare.pk not in known]
        found[key] = Wants(boat.pk, component, parts)
    return found


def _in_all(lines: Iterable[Sequence[PartLine]]) -> dict[int, Decimal]:
    found: dict[int, Decimal] = defaultdict(Decimal)
    for of in lines:
        for line in of:
            found[line.take.spare.pk] += line.asked or NONE
    return found
