"""What is done by a printed date carries one: the intervals loaded say so of their kinds."""

import pytest

from fleet.boats.models import Kind
from tests.doors.folders import HARBOUR, harbour_with


@pytest.fixture
def dated(load, tmp_path):
    """The kinds asked for a date once the rinse of the impeller pump goes by it, loaded so or changed to."""

    def dated(first: bool) -> set[str]:
        if not first:
            load(HARBOUR)
            assert not Kind.objects.filter(date_required=True).exists()  # one raft's own task asks for hers
        folder = harbour_with(tmp_path / "new", "intervals", ("impeller-wash",), {"on_expiry": "yes"})
        load(folder, update=not first)
        return set(Kind.objects.filter(date_required=True).values_list("code", flat=True))

    return dated


@pytest.mark.parametrize("first", [True, False], ids=["loaded", "changed"])
def test_a_kind_with_a_task_by_the_printed_date_is_asked_for_one(dated, first):
    assert dated(first) == {"impeller"}
