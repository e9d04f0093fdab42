"""Everything that is said and done about two boats over some weeks, as rules of a state machine."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    precondition,
    rule,
)

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.ledger import take_back
from fleet.refused import Refused
from maintenance.defects.actions import end_defect, grade_defect, look_at, report_defect, say_if_happening
from maintenance.defects.correcting import correct_defect, join_defect, take_back_step, void_defect
from maintenance.defects.deferring import Until, defer_defect, extend_deferral, take_back_deferral
from maintenance.defects.hull import Touch
from maintenance.defects.looking import record_look, record_touch
from maintenance.defects.models import ENDINGS, Defect, DefectStep, Deferral
from maintenance.defects.rules import FORCES, GRADES, METHODS, TOUCHED
from maintenance.release.actions import (
    Name,
    hold_boat,
    lift_hold,
    release_boat,
    say_held,
)
from maintenance.release.facts import Judged, judged_of
from maintenance.release.laying_up import lay_up
from maintenance.release.models import Hold
from maintenance.servicing.actions import reforecast
from tests.cast import NOW
from tests.maintenance.machine_base import BOATS
from tests.maintenance.one_alone import WHO

WORDS = ("The pump is slow", "Smell of burning behind the panel", "A scratch on the port side")
ANY, FLAG, BOAT = st.integers(0, 99), st.booleans(), st.integers(0, BOATS - 1)
TWO_NAMES = (Name(WHO, "did the work"), Name("Ilda Serrão", "by telephone", read_out="The pump was changed"))


class Acts(RuleBasedStateMachine):
    """Two boats of one base over some weeks, and all that can be said and done about them.

    What was graded, looked at and ended is kept beside in plain dicts, by the report it first came in
    as; which release something new has held since is remembered, while the program derives it.
    """

    def __init__(self) -> None:
        super().__init__()
        self.story = transaction.atomic()
        self.story.__enter__()
        self.base = Base.objects.get(code="machine")
        self.boats = list(Boat.objects.filter(code__startswith="machine").order_by("code"))
        self.at = NOW
        self.grade: dict[int, str] = {}
        self.waits_for_a_look: set[int] = set()
        self.ended: set[int] = set()
        self.fallen: set[int] = set()
        self.how = self.judged()

    def do(self, act: Callable[..., Any], *what: Any, **how: Any) -> Any:
        """Does it a minute later; None where it is refused, as many a wrong act must be."""
        self.at += timedelta(minutes=1)
        try:
            return act(*what, at=self.at, **how)
        except Refused:
            return None

    def open_one(self, n: int) -> Defect:
        rows = list(Defect.objects.open().order_by("pk"))
        return rows[n % len(rows)]

    def some_open(self) -> bool:
        return Defect.objects.open().exists()

    @rule(boat=BOAT, words=st.sampled_from(WORDS), risk=st.sampled_from([None, True]), part=st.integers(0, 2))
    def report(self, boat: int, words: str, risk: bool | None, part: int) -> None:
        aboard = [None, *self.boats[boat].fittings.order_by("pk")]
        component = aboard[part].component if aboard[part] else None
        row = self.do(report_defect, self.boats[boat], words=words, risk_now=risk, component=component)
        self.grade[row.case] = ""
        if risk or "burning" in words:
            self.waits_for_a_look.add(row.case)

    @precondition(some_open)
    @rule(n=ANY, nothing=FLAG)
    def look(self, n: int, nothing: bool) -> None:
        row = self.open_one(n)
        self.do(look_at, row, who=WHO, seen="A warm cable", nothing=nothing)
        self.waits_for_a_look.discard(row.case)
        if nothing:
            self.ended.add(row.case)

    @precondition(some_open)
    @rule(n=ANY, happening=FLAG)
    def answer_if_it_is_happening(self, n: int, happening: bool) -> None:
        row = self.open_one(n)
        self.do(say_if_happening, row, happening=happening)
        if happening:
            self.waits_for_a_look.add(row.case)

    @precondition(some_open)
    @rule(n=ANY, grade=st.sampled_from(GRADES), function=st.sampled_from(["", "steering", "bilge"]))
    def give_a_grade(self, n: int, grade: str, function: str) -> None:
        row = self.open_one(n)
        self.do(grade_defect, row, grade=grade, function=function, who=WHO)
        self.grade[row.case] = grade

    @precondition(some_open)
    @rule(n=ANY, step=st.sampled_from(ENDINGS), opened=st.sampled_from(["", "", "structure"]))
    def end(self, n: int, step: str, opened: str) -> None:
        row = self.open_one(n)
        self.do(end_defect, row, step=step, who=WHO, opened=opened)
        self.ended.add(row.case)

    @precondition(lambda self: self.ended)
    @rule(n=ANY)
    def take_an_end_back(self, n: int) -> None:
        case = sorted(self.ended)[n % len(self.ended)]
        [ending] = DefectStep.objects.standing().filter(defect=case, step__in=ENDINGS)
        self.do(take_back_step, ending)
        self.ended.discard(case)

    @precondition(some_open)
    @rule(n=ANY, days=st.none() | st.integers(0, 30), charters=st.sampled_from([None, 0, 1, 2]))
    def defer(self, n: int, days: int | None, charters: int | None) -> None:
        day = None if days is None else self.today + timedelta(days=days)
        self.do(defer_defect, self.open_one(n), Until(day, charters), who=WHO, limit="Use the other one")

    @precondition(lambda self: Deferral.objects.standing().exists())
    @rule(n=ANY, days=st.integers(1, 30), back=FLAG)
    def defer_longer_or_take_it_back(self, n: int, days: int, back: bool) -> None:
        rows = list(Deferral.objects.standing().order_by("pk"))
        until = Until(self.today + timedelta(days=days))
        if back:
            self.do(take_back_deferral, rows[n % len(rows)])
        else:
            self.do(extend_deferral, rows[n % len(rows)], until, who=WHO, why="The part is late")

    @precondition(some_open)
    @rule(n=ANY, other=ANY)
    def join(self, n: int, other: int) -> None:
        self.do(join_defect, self.open_one(n), self.open_one(other))

    @precondition(some_open)
    @rule(n=ANY, void=FLAG)
    def correct_or_take_back(self, n: int, void: bool) -> None:
        row = self.open_one(n)
        if void:
            self.do(void_defect, row)
        else:
            self.do(correct_defect, row, works="no")

    @rule(boat=BOAT, touched=st.sampled_from(TOUCHED), force=st.sampled_from(FORCES))
    def touch(self, boat: int, touched: str, force: str) -> None:
        self.do(record_touch, self.boats[boat], day=self.today, touched=touched, force=force)

    @rule(boat=BOAT, n=ANY, method=st.sampled_from(METHODS), sound=FLAG)
    def look_at_the_hull(self, boat: int, n: int, method: str, sound: bool) -> None:
        touches = [None, *Touch.objects.standing().filter(boat=self.boats[boat]).order_by("pk")]
        said = {"day": self.today, "method": method, "sound": sound, "who": WHO, "seen": "Weed"}
        self.do(record_look, self.boats[boat], touch=touches[n % len(touches)], **said)

    @rule(boat=BOAT)
    def hold_her(self, boat: int) -> None:
        self.do(hold_boat, self.boats[boat], who=WHO, why="The survey is on Monday")

    @precondition(lambda self: Hold.objects.standing().filter(lifted="").exists())
    @rule(n=ANY)
    def lift(self, n: int) -> None:
        rows = list(Hold.objects.standing().filter(lifted="").order_by("pk"))
        self.do(lift_hold, rows[n % len(rows)], who=WHO, why="Surveyed")

    @rule(boat=BOAT, names=st.integers(1, 2), let_be=FLAG)
    def release(self, boat: int, names: int, let_be: bool) -> None:
        how = self.how[boat]
        reasons = (*how.standing.reasons, *how.standing.let_be)
        keys = [r.key for r in reasons if r.can_be_let_be and not r.said] if let_be else []
        told = {"limits": "By day only", "why": "It is spare"} if keys else {}
        if how.charter is not None:
            self.do(release_boat, how.boat, how.charter, TWO_NAMES[:names], let_be=keys, **told)

    @rule(boat=BOAT)
    def say_that_she_is_held(self, boat: int) -> None:
        if (charter := self.how[boat].charter) is not None:
            self.do(say_held, self.boats[boat], charter, TWO_NAMES[0], why="I do not like her rig")

    @precondition(lambda self: any(how.release for how in self.how))
    @rule(boat=BOAT)
    def take_a_release_back(self, boat: int) -> None:
        if (row := self.how[boat].release) is not None:
            self.do(take_back, row)

    @rule(boat=BOAT)
    def lay_her_up(self, boat: int) -> None:
        self.do(lay_up, self.boats[boat], self.today)

    @rule(days=st.sampled_from([1, 3, 7]))
    def some_days_go_by(self, days: int) -> None:
        self.at += timedelta(days=days)
        reforecast(on=self.today)

    @property
    def today(self) -> date:
        return self.base.day_of(self.at)

    def judged(self) -> list[Judged]:
        found = judged_of(self.base, on=self.today, now=self.at)
        return [found[boat.pk] for boat in self.boats]
