"""Whatever is done in whatever order: unsafe never reads fit, no release outlives a new hold, and one
person alone gets every boat out of what holds her, and is recorded as one."""

import contextlib
import os
from datetime import timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import (
    invariant,
    rule,
    run_state_machine_as_test,
)

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.refused import TooLate
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import UNSAFE
from maintenance.release.actions import (
    by_one_person,
    people_of,
)
from maintenance.release.facts import Judged, judge
from maintenance.release.models import Release
from maintenance.release.rule_list import FIT, GEAR, HELD, TOUCH, TWO, WITH_LIMITS
from maintenance.release.rules import Reason
from maintenance.release.standing import covered
from tests.cast import NOW, TODAY
from tests.maintenance.machine_acts import BOAT, FLAG, Acts
from tests.maintenance.machine_base import BOATS, fleet, goes_by_a_list
from tests.maintenance.one_alone import WHO, Here, release_alone, settle

# Each run tries the same few; FETTLE_RELEASE_EXAMPLES tries so many: seven and more where the rules change.
EXAMPLES = int(os.environ.get("FETTLE_RELEASE_EXAMPLES", "4"))


class Turnarounds(Acts):
    """What holds of these boats after each thing done, and in the end."""

    def teardown(self) -> None:
        try:
            for n in range(BOATS):
                self.alone(n, let_be=False)
        finally:
            transaction.set_rollback(True)
            self.story.__exit__(None, None, None)

    @rule(boat=BOAT, let_be=FLAG)
    def somebody_alone_gets_her_out(self, boat: int, let_be: bool) -> None:
        self.alone(boat, let_be=let_be)

    @invariant()
    def nothing_reads_better_than_it_is(self) -> None:
        before, self.how = self.how, self.judged()
        for was, now in zip(before, self.how, strict=True):
            self.remember_what_fell(was, now)
            self.check(now)

    def remember_what_fell(self, was: Judged, now: Judged) -> None:
        """A release falls by whatever holds her now that did not when it was last asked."""
        if was.release is None or was.charter != now.charter:
            return
        before = {r.key for r in (*was.standing.reasons, *was.standing.let_be)}
        let_be = {row["key"] for row in was.release.reasons}
        for r in (*now.standing.reasons, *now.standing.let_be):
            if not r.said and not covered(r.key, before) and not covered(r.key, let_be):
                self.fallen.add(was.release.pk)

    def check(self, now: Judged) -> None:
        how = now.standing
        rows = Defect.objects.standing().filter(boat=now.boat, same_as=None)
        there = {row.case for row in rows} - self.ended
        if there & self.waits_for_a_look:
            assert how.verdict == HELD
        if unsafe := [case for case in there if self.grade[case] == UNSAFE]:
            assert how.verdict != FIT
        if unsafe and how.verdict == WITH_LIMITS:
            self.was_let_be_by_name(now.release, unsafe)
        if now.release is not None and now.release.pk in self.fallen:
            assert how.verdict not in (FIT, WITH_LIMITS)
        if how.verdict == HELD:
            assert how.reasons
            assert all(r.way_out for r in how.reasons)
        else:
            assert how.reasons == ()

    def was_let_be_by_name(self, release: Release, cases: list[int]) -> None:
        let_be = {row["key"].rpartition(":")[0] for row in release.reasons}
        assert {f"{UNSAFE}:{case}" for case in cases} <= let_be
        assert people_of(release)
        assert release.why
        assert release.limits

    def alone(self, n: int, *, let_be: bool) -> None:
        """Takes every way out by one person, and releases her in one name."""
        how, boat = self.judged()[n], self.boats[n]
        held_by = {r.code for r in (*how.standing.reasons, *how.standing.let_be)}
        for _ in range(9):
            left = [r for r in how.standing.reasons if not r.said and not (let_be and r.can_be_let_be)]
            if not left:
                break
            self.settle_all(left, boat)
            how = self.judged()[n]
        self.remember_by_the_book()
        assert left == [], f"no way out of {left}"
        if how.charter is None:
            assert let_be or how.standing.verdict == ""
            return
        self.at += timedelta(minutes=1)
        keys = [r.key for r in (*how.standing.reasons, *how.standing.let_be) if not r.said]
        release = release_alone(how, how.charter, keys, self.at)
        assert self.judged()[n].standing.verdict in (FIT, WITH_LIMITS)
        assert len(people_of(release)) == 1
        assert by_one_person(release) == (release.names_needed > 1)
        if held_by & {UNSAFE, TOUCH, TWO}:
            assert by_one_person(release), f"{held_by} wants two names"

    def settle_all(self, reasons: list[Reason], boat: Boat) -> None:
        """One after another; what ended with one before it, and two together by then, are asked again."""
        self.at += timedelta(minutes=1)
        for reason in [r for r in reasons if r.code != TWO] or reasons:
            with contextlib.suppress(TooLate):
                settle(reason, Here(boat, self.at, self.today))

    def remember_by_the_book(self) -> None:
        """After one person went about her: what was looked at and ended is read from the steps."""
        for step in DefectStep.objects.standing().filter(by=WHO).order_by("pk"):
            if step.step in ENDINGS:
                self.ended.add(step.defect_id)
            elif step.step == DefectStep.Step.LOOKED:
                again = DefectStep.objects.standing().filter(defect=step.defect_id, pk__gt=step.pk)
                if not again.filter(step=DefectStep.Step.HAPPENING).exists():
                    self.waits_for_a_look.discard(step.defect_id)


@pytest.mark.django_db
def test_in_any_order_of_what_people_do_no_boat_reads_better_than_she_is_and_one_person_gets_her_out():
    fleet()
    run_state_machine_as_test(
        Turnarounds,
        settings=settings(
            max_examples=EXAMPLES,
            stateful_step_count=24,
            derandomize=True,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )


@pytest.mark.django_db
def test_one_person_brings_aboard_what_the_list_she_goes_by_asks_for():
    fleet()
    boat = goes_by_a_list()
    base = Base.objects.get(code="machine")
    how = judge(boat, None, base=base, on=TODAY, now=NOW)
    [reason] = how.standing.reasons
    assert reason.code == GEAR
    settle(reason, Here(boat, NOW, TODAY))
    assert judge(boat, None, base=base, on=TODAY, now=NOW).standing.reasons == ()
