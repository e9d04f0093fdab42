"""The demo base from defect to handover: on any day most boats may go, and each sort of story is there."""

from collections import Counter

import pytest

from fleet.boats.models import BoatTerms, Kind
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.models import Defect, DefectPaper, Deferral
from maintenance.jobs.models import CallOut, CallOutStep
from maintenance.release.actions import by_one_person
from maintenance.release.facts import Judged, judged_of
from maintenance.release.models import FittingOut, Release
from maintenance.safety.models import Adoption, Requirement
from maintenance.turnaround.models import Round, RoundItem
from tests.doors.test_demo import built as built

pytestmark = pytest.mark.django_db


@pytest.fixture
def boats(built) -> dict[str, Judged]:
    """How each boat stands for her next charter, by her code."""
    base, day, _ = built
    now = Defect.objects.latest("recorded_at").recorded_at
    return {how.boat.code: how for how in judged_of(base, on=day, now=now).values()}


def reasons(how: Judged) -> set[str]:
    return {reason.code for reason in how.standing.reasons}


def test_most_boats_are_not_held_and_each_that_is_says_why(boats):
    held = {code for code, how in boats.items() if how.standing.verdict == "held"}
    assert held == {"bowline", "carrick", "cowrie", "limpet", "scallop"}
    assert "alarm" in reasons(boats["cowrie"])
    assert reasons(boats["scallop"]) == {"unsafe"}
    assert reasons(boats["bowline"]) == {"deferral ends", "gear"}
    assert reasons(boats["limpet"]) == {"touched", "service"}


def test_one_is_released_fit_and_one_with_limits_by_one_person(boats):
    assert boats["whelk"].standing.verdict == "fit"
    assert not by_one_person(boats["whelk"].release)
    splice = boats["splice"]
    assert splice.standing.verdict == "fit with limits"
    assert by_one_person(splice.release)
    assert any("forward heads" in limit for limit in splice.limits)
    assert Release.objects.count() == 2


def test_defects_are_graded_some_wait_and_hull_damage_has_its_place_and_photo(built):
    grades = Counter(Defect.objects.open().judged().values_list("grade", flat=True))
    assert {"unsafe", "limits use", "cosmetic", "watch", ""} <= grades.keys()
    assert Deferral.objects.standing().count() == 3
    marks = Defect.objects.open().exclude(hull="")
    assert set(marks.values_list("boat__code", flat=True)) == {"sheepshank", "zephyr"}
    assert set(DefectPaper.objects.values_list("defect", flat=True)) == {row.case for row in marks}


def test_one_touch_was_dived_on_and_one_waits(built):
    touched = dict(Touch.objects.standing().values_list("boat__code", "looks"))
    assert touched == {"carrick": HullLook.objects.get().pk, "limpet": None}


def test_a_round_is_half_walked_one_is_signed_and_one_boat_away_is_gone_out_to(built):
    assert dict(Round.objects.standing().values_list("boat__code", "signed_by")) == {
        "limpet": "",
        "whelk": "Tomé Vasquel",
    }
    walked = Round.objects.get(boat__code="limpet", replaces=None).lines.count()
    assert 0 < walked < RoundItem.objects.count()
    assert CallOut.objects.get().boat.code == "levanter"
    assert CallOutStep.objects.get().step == "promised"


def test_lists_functions_and_winters_are_there(built):
    base, day, _ = built
    assert set(Requirement.objects.values_list("list", flat=True)) == {"Coastal"}
    assert all(Requirement.objects.values_list("source", flat=True))
    assert Adoption.objects.standing().count() == 3
    functions = Kind.objects.exclude(function="").values_list("function", flat=True)
    assert set(functions) == {"charging", "bilge", "radio", "raft", "steering"}
    winters = FittingOut.objects.standing().filter(signed_on__lt=day)
    laid_up = BoatTerms.objects.standing().filter(state="lay-up", base=base)
    assert set(winters.values_list("boat", flat=True)) == set(laid_up.values_list("boat", flat=True))
    assert len(winters) == 2
