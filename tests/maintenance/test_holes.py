"""Holes that the state machine of releases found, each shown by itself."""

from datetime import timedelta

from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.correcting import correct_defect, void_defect
from maintenance.defects.models import Defect
from tests.cast import NOW

SOON = {"at": NOW + timedelta(minutes=1)}


def test_a_correction_taken_back_leaves_the_grade_with_the_report(cast):
    told = report_defect(cast.boat["sandpiper"], words="The forestay is cracked", at=NOW)
    grade_defect(told, grade="unsafe", who="A. Fitter", **SOON)
    corrected = correct_defect(told, works="no", **SOON)
    void_defect(corrected, **SOON)
    [stands] = Defect.objects.open().judged().filter(boat=cast.boat["sandpiper"])
    assert (stands.case, stands.works, stands.grade) == (told.pk, "", "unsafe")
