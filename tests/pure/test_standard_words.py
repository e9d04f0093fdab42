"""Our words for defects beside those of EN 13306: every word of the code has its place in the standard."""

from dataclasses import fields

from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import GRADES, Waits

# EN 13306 (maintenance terminology), as read in shared/CHECKS.md section 7: "failure = event, loss of
# ability; fault = state"; corrective maintenance > immediate, deferred. That an event has a moment and
# a state lasts is the difference; which of our words is which is ours to say.
FAULT, FAILURE, RESTORED, NO_FAULT, BESIDE = "fault", "failure", "restoration", "no fault", "not of it"
STEPS = {
    "graded": FAULT,  # how severe the state is
    "looked at": BESIDE,
    "happening now": FAILURE,
    "not any more": BESIDE,
    "put right": RESTORED,
    "no fault found": NO_FAULT,
    "answered": BESIDE,
    "seen": BESIDE,  # somebody read of it; the state is as it was
}


def test_every_step_of_a_defect_has_its_place_in_the_standard():
    assert set(STEPS) == set(DefectStep.Step.values)


def test_a_fault_is_a_state_so_a_grade_of_it_ends_nothing_and_what_ends_it_restores_or_finds_none():
    assert {STEPS[step] for step in ENDINGS} == {RESTORED, NO_FAULT}
    assert STEPS["graded"] not in {STEPS[step] for step in ENDINGS}
    assert GRADES == ("unsafe", "limits use", "cosmetic", "watch"), "severities of a fault, worst first"


def test_a_failure_is_an_event_so_it_has_a_moment():
    assert Defect._meta.get_field("found_at").get_internal_type() == "DateTimeField"
    failures = [step for step, term in STEPS.items() if term == FAILURE]
    assert failures == [DefectStep.Step.HAPPENING.value]
    assert DefectStep._meta.get_field("recorded_at").get_internal_type() == "DateTimeField"


def test_deferred_corrective_maintenance_waits_for_a_rule_and_so_has_an_end():
    """Deferred is "in accordance with given rules": by a day, by charters, by the lay-up."""
    ends = {field.name for field in fields(Waits)} & {"until_on", "max_charters", "at_layup"}
    assert len(ends) == 3
