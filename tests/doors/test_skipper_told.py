"""What a skipper finds under “what you were told” where nobody recorded a handover."""

import pytest
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from tests.cast import NOW
from tests.doors.sheets import said


@pytest.fixture
def winch(cast, today_is):
    row = report_defect(cast.boat["sandpiper"], words="Winch slips", at=NOW)
    grade_defect(row, grade="limits use", who="A", at=NOW)
    return defer_defect(row, Until(charters=1), who="A", limit="Hold the sheet by hand", at=NOW)


def told(cast, charter: str) -> str:
    secret = make_link(cast.charter[charter], at=NOW)[1]
    return said(Client().get(reverse("skipper-told", args=[secret])))


def test_a_charter_under_way_without_a_handover_is_told_so_and_what_limits_stand_now(cast, winch):
    text = told(cast, "S2")
    assert "No handover was recorded." in text
    assert "Hold the sheet by hand" in text.partition("Limits, as it stands now")[2]
    assert "Nothing is kept here before" not in text


def test_a_charter_that_has_not_begun_is_told_nothing_yet(cast, winch):
    text = told(cast, "S3")
    assert "Nothing is kept here before" in text
    assert "Hold the sheet by hand" not in text
