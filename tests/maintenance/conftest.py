"""A boat to release, how she stands, and what is unsafe on her: for the tests of releases."""

import pytest

from maintenance.defects.actions import grade_defect, report_defect
from maintenance.release.facts import judge
from tests.cast import TODAY
from tests.maintenance.to_release import at


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


@pytest.fixture
def stands(cast, boat):
    """How the sandpiper stands for her next charter, so many minutes on."""

    def stands(minutes: int = 60, charter=None):
        return judge(boat, charter, base=cast.base, on=TODAY, now=at(minutes))

    return stands


@pytest.fixture
def unsafe(boat):
    row = report_defect(boat, words="A shroud is worn", at=at(0))
    grade_defect(row, grade="unsafe", who="Tome", at=at(1))
    return row
