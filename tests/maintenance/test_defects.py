"""What was reported wrong, in the reporter's words, until somebody says how it ended."""

import pytest
from django.core.exceptions import ValidationError

from fleet.ledger import take_back
from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import Defect

WORDS = "Žut: das Kühlschranklicht 🔦 flackert\nשלום <b>bold</b>"


@pytest.fixture
def defect(cast, now) -> Defect:
    return report_defect(
        cast.boat["sandpiper"], words=WORDS, at=now, charter=cast.charter["S2"], reporter="A. Skipper"
    )


def test_the_words_are_kept_as_they_were_said(defect):
    assert Defect.objects.get().words == WORDS
    assert str(defect) == WORDS


@pytest.mark.parametrize("step", ["put right", "no fault found"])
def test_a_defect_is_open_until_somebody_ends_it(cast, defect, now, step):
    assert list(Defect.objects.open()) == [defect]
    row = end_defect(defect, step=step, who="A. Fitter", why="Bulb", at=now, by=cast.person["engineer"])
    assert list(Defect.objects.open()) == []
    assert (row.by, row.recorded_by) == ("A. Fitter", cast.person["engineer"])


def test_a_defect_whose_end_is_taken_back_is_open_again(defect, now):
    take_back(end_defect(defect, step="put right", who="A. Fitter", at=now), at=now)
    assert list(Defect.objects.open()) == [defect]


def test_a_defect_taken_back_is_open_no_more(defect, now):
    take_back(defect, at=now)
    assert list(Defect.objects.open()) == []


def test_a_defect_needs_words_and_its_end_a_name_and_a_known_step(cast, defect, now):
    with pytest.raises(ValidationError, match="blank"):
        report_defect(cast.boat["sandpiper"], words="", at=now)
    with pytest.raises(ValidationError, match="blank"):
        end_defect(defect, step="put right", who="", at=now)
    with pytest.raises(ValidationError, match="not a valid choice"):
        end_defect(defect, step="forgotten", who="A. Fitter", at=now)
    assert list(Defect.objects.open()) == [defect]
