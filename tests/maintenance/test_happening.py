"""“Is it happening now?”: asked while it matters, answered once, also of a report corrected since."""

from maintenance.defects.actions import end_defect, look_at, report_defect
from maintenance.defects.correcting import correct_defect
from maintenance.defects.happening import answer_once, asks
from maintenance.defects.models import DefectStep
from tests.cast import NOW


def smell(cast, **more):
    return report_defect(cast.boat["sandpiper"], words="Burning smell", at=NOW, reporter="Mate", **more)


def test_the_first_answer_stands(cast):
    row = smell(cast)
    first, kept = answer_once(row, happening=False, at=NOW)
    assert (first.step, first.by, kept) == ("not any more", "Mate", True)
    assert answer_once(row, happening=True, at=NOW) == (first, False)
    assert DefectStep.objects.count() == 1


def test_nobody_asks_once_danger_was_said_somebody_looked_or_it_ended(cast):
    danger, looked, ended, asked = smell(cast, risk_now=True), smell(cast), smell(cast), smell(cast)
    look_at(looked, who="A. Fitter", seen="Hot breaker", nothing=False, at=NOW)
    end_defect(ended, step="put right", who="A. Fitter", at=NOW)
    assert list(asks([danger.pk, looked.pk, ended.pk, asked.pk])) == [asked]


def test_a_corrected_report_is_asked_about_by_what_stands_and_answered_for_good(cast):
    row = smell(cast)
    later = correct_defect(row, hull="deck", at=NOW)
    assert list(asks([row.pk])) == [later]
    answer_once(later, happening=True, at=NOW)
    assert not asks([row.pk]).exists()
