"""What was decided about the demo's defects: an alarm that waits, grades, deferrals, hulls looked at."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from fleet.papers.actions import keep_paper
from fleet.people.roles import ENGINEER
from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.hull import Touch
from maintenance.defects.looking import record_look
from maintenance.defects.models import Defect
from maintenance.defects.rules import COSMETIC, LIMITS_USE, UNSAFE, WATCH
from maintenance.exchange.demo.dated import picture_of
from maintenance.exchange.demo.moment import Moment

HOURS, DAYS = timedelta(hours=1), timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Waiting:
    """An open report by how its words begin, how it was graded, and what the next skipper is told."""

    boat: str
    words: str
    grade: str
    until: Until | None = None
    limit: str = ""
    inoperative: str = ""


def decide(now: Moment) -> None:
    """Tells what was found and decided since the last turnaround, by the same actions as the pages do."""
    _smell_of_burning(now)
    _broken_strands(now)
    _loose_stanchion(now)
    _marks_on_hulls(now)
    _bimini(now)
    for waiting in _waiting(now):
        _let_wait(waiting, now)
    _diver(now)


def _waiting(now: Moment) -> tuple[Waiting, ...]:
    """The windlass was to be done before her next crew is back, which is in three days at sea."""
    at_sea = Until(day=now.coming_turnaround + 3 * DAYS)
    return (
        Waiting(
            *("splice", "The aft heads", LIMITS_USE, Until(charters=1)),
            limit="Use the forward heads only",
            inoperative="Aft seacocks shut, handles tied",
        ),
        Waiting(
            *("bowline", "Windlass", LIMITS_USE, at_sea),
            limit="Anchor in less than 10 m, by hand if it stops",
        ),
        Waiting(*("periwinkle", "The zip", WATCH, Until(layup=True))),
        Waiting("cowrie", "Forward hatch", WATCH),
        Waiting("cowrie", "One winch handle", LIMITS_USE),
    )


def _let_wait(said: Waiting, now: Moment) -> None:
    defect = Defect.objects.open().get(boat__code=said.boat, words__startswith=said.words)
    engineer = now.people[ENGINEER]
    by: dict[str, Any] = {"who": engineer.name, "by": engineer, "at": now.at}
    grade_defect(defect, grade=said.grade, **by)
    if said.until is not None:
        defer_defect(defect, said.until, limit=said.limit, inoperative=said.inoperative, **by)


def _smell_of_burning(now: Moment) -> None:
    """Told at the return of today, and nobody has looked yet."""
    boat = Boat.objects.get(code="cowrie")
    charter = Charter.objects.booked().get(boat=boat, ends_on=now.day)
    words = "Smell of burning under the chart table when the fridge came on; we switched it off at the panel"
    report_defect(boat, words=words, at=now.at, charter=charter, reporter=charter.skipper)


def _broken_strands(now: Moment) -> None:
    """Found by the engineer on the idle boat: she does not leave with it."""
    rigging, then = Component.objects.get(code="scallop-standing-rigging"), now.at - 2 * DAYS
    words = "Forestay: two broken strands above the lower terminal"
    defect = _found("scallop", words, then, now, component=rigging)
    engineer = now.people[ENGINEER]
    grade_defect(defect, grade=UNSAFE, who=engineer.name, at=then, by=engineer)


def _loose_stanchion(now: Moment) -> None:
    """Unsafe and put right by one who was alone: the release of her says so."""
    then = now.at - 20 * HOURS
    defect = _found("splice", "Stanchion at the port gate lifts out of its socket", then, now)
    engineer = now.people[ENGINEER]
    by: dict[str, Any] = {"who": engineer.name, "by": engineer}
    grade_defect(defect, grade=UNSAFE, at=then, **by)
    end_defect(
        defect, step="put right", why="New socket, through-bolted and sealed", at=then + 2 * HOURS, **by
    )


def _marks_on_hulls(now: Moment) -> None:
    """Known damage, each with its photo, carried from charter to charter."""
    then, engineer = now.noon_of(now.last_turnaround), now.people[ENGINEER]
    for boat, hull, words in (
        ("sheepshank", "starboard quarter", "Scratch in the gelcoat, 40 cm, not through"),
        ("zephyr", "port bow", "Chip in the gelcoat the size of a thumb, filled with wax"),
    ):
        base = base_of(Boat.objects.get(code=boat), now.day)
        lines = (boat.capitalize(), hull, f"{now.last_turnaround:%d.%m.%Y}", "An invented photo")
        paper = keep_paper(picture_of(lines), base=base, at=then, by=engineer)
        defect = _found(boat, words, then, now, hull=hull, papers=[paper])
        grade_defect(defect, grade=COSMETIC, who=engineer.name, at=then, by=engineer)


def _bimini(now: Moment) -> None:
    _found("periwinkle", "The zip of the bimini is torn for a hand's breadth", now.at - 9 * DAYS, now)


def _diver(now: Moment) -> None:
    """Both touched at the last turnaround; one was dived on that day, the other waits for the diver."""
    touch = Touch.objects.standing().get(boat__code="carrick", day=now.last_turnaround)
    then, engineer = now.noon_of(now.last_turnaround), now.people[ENGINEER]
    record_look(
        touch.boat,
        touch=touch,
        day=touch.day,
        who="Celso Prado, diver",
        method="diver",
        seen="Antifouling rubbed off the foot of the rudder over a hand; keel, joint and propeller untouched",
        touched="rudder",
        sound=True,
        at=then,
        by=engineer,
    )


def _found(boat: str, words: str, at: datetime, now: Moment, **more: Any) -> Defect:
    engineer = now.people[ENGINEER]
    row = Boat.objects.get(code=boat)
    return report_defect(row, words=words, at=at, by=engineer, reporter=engineer.name, **more)
