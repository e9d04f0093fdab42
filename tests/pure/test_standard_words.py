"""Our words for defects beside those of EN 13306: state and event, and when a fault is corrected."""

import pytest

from maintenance.defects.models import ENDINGS, Defect, DefectStep, Deferral
from maintenance.defects.standard_words import (
    CORRECTIVE_DEFERRED,
    CORRECTIVE_IMMEDIATE,
    FAILURE,
    FAULT,
    OUR_WORDS,
    corrective,
)

# EN 13306 (Maintenance terminology), as read in shared/CHECKS.md section 7: "failure = event, loss of
# ability; fault = state"; corrective maintenance > immediate, deferred.


def test_a_fault_is_a_state_and_so_are_our_words_for_it():
    """A defect is open or not, graded or not: it lasts until somebody says its end."""
    states = {word for word, term in OUR_WORDS.items() if term == FAULT}
    assert states == {"defect", "open", "unsafe", "limits use", "cosmetic", "watch"}


def test_a_failure_is_an_event_and_so_has_a_moment():
    """What was reported was found at a moment; that it is happening is a step with one."""
    events = {word for word, term in OUR_WORDS.items() if term == FAILURE}
    assert events == {"found", "happening now"}
    assert Defect._meta.get_field("found_at").get_internal_type() == "DateTimeField"
    assert DefectStep.Step.HAPPENING.value in events


@pytest.mark.parametrize(
    ("grade", "deferred", "term"),
    [
        ("unsafe", False, CORRECTIVE_IMMEDIATE),
        ("limits use", False, CORRECTIVE_IMMEDIATE),
        ("limits use", True, CORRECTIVE_DEFERRED),
        ("cosmetic", True, CORRECTIVE_DEFERRED),
    ],
)
def test_corrective_maintenance_is_immediate_unless_somebody_deferred_it(grade, deferred, term):
    assert corrective(grade, deferred=deferred) == term


def test_an_unsafe_fault_is_never_deferred():
    with pytest.raises(ValueError, match="unsafe"):
        corrective("unsafe", deferred=True)


def test_the_words_on_screen_are_the_words_of_the_ledger():
    assert set(ENDINGS) <= set(OUR_WORDS)
    assert OUR_WORDS["deferred"] == CORRECTIVE_DEFERRED
    assert Deferral._meta.verbose_name == "deferral"
