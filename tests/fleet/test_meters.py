"""Writing down a dial, and settling one that is in doubt."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.meters.actions import ReadingGoesBackwards, known_dials, record_reading, set_aside, settle_reading
from fleet.meters.models import Reading

DOUBTFUL, USED, SET_ASIDE = "doubtful", "used", "set aside"


@pytest.fixture
def meter(cast):
    return cast.meter["sandpiper main"]  # 1190.4 h on 23 May


@pytest.fixture
def note(meter, now):
    def note(day: int, dial: str, **more) -> Reading:
        return record_reading(meter, day=date(2026, 5, day), dial=Decimal(dial), at=now, **more)

    return note


@pytest.mark.parametrize(
    ("day", "dial", "standing"),
    [
        (28, "1210", USED),
        (23, "1190.4", USED),
        (28, "1190.3", DOUBTFUL),
        (24, "1238.4", USED),  # two days counted, 24 h each
        (24, "1238.5", DOUBTFUL),
        (20, "1195", DOUBTFUL),  # past the reading after it
        (28, "-5", DOUBTFUL),
        (28, "999999999.99", DOUBTFUL),
    ],
)
def test_no_dial_is_refused_and_what_cannot_be_right_is_kept_as_doubtful(note, day, dial, standing):
    assert note(day, dial).standing == standing


def test_a_doubtful_dial_counts_nowhere(note, meter):
    note(28, "119")
    assert Decimal(119) not in [d.hours for d in known_dials(meter)]


def test_a_dial_below_zero_is_doubtful_even_on_a_meter_nobody_ever_read(cast, now):
    first = record_reading(cast.meter["blank page main"], day=date(2026, 5, 28), dial=Decimal(-5), at=now)
    assert first.standing == DOUBTFUL


def test_a_new_meter_may_start_anywhere(note):
    assert note(28, "0", new_meter=True).standing == USED


def test_a_dial_is_settled_as_another_by_a_row_that_replaces_it(note, now):
    wrong = note(28, "121")
    right = settle_reading(wrong, at=now, dial=Decimal(1210))
    assert (right.replaces, right.dial, right.standing) == (wrong, 1210, USED)
    assert Reading.objects.get(pk=wrong.pk).dial == 121


def test_a_dial_is_settled_as_a_new_meters_first(note, now):
    assert settle_reading(note(28, "2"), at=now, new_meter=True).new_meter


def test_a_dial_is_settled_in_place_of_the_one_before_that_was_wrong(note, meter, now):
    too_high = note(26, "1260")
    assert too_high.standing == USED
    right = settle_reading(note(28, "1210"), at=now, instead_of=too_high)
    assert right.standing == USED
    assert [d.hours for d in known_dials(meter)][-1] == 1210
    assert Decimal(1260) not in [d.hours for d in known_dials(meter)]


def test_settling_with_what_still_cannot_be_is_refused_and_nothing_is_set_aside(note, meter, now):
    too_high, low = note(26, "1260"), note(28, "12")
    with pytest.raises(ReadingGoesBackwards, match="12 h on"):
        settle_reading(low, at=now, instead_of=too_high)
    assert Decimal(1260) in [d.hours for d in known_dials(meter)]


def test_a_dial_below_zero_is_not_settled_as_it_stands(cast, now):
    minus = record_reading(cast.meter["blank page main"], day=date(2026, 5, 28), dial=Decimal(-5), at=now)
    with pytest.raises(ReadingGoesBackwards, match="less than a meter can show"):
        settle_reading(minus, at=now)
    with pytest.raises(ReadingGoesBackwards):
        settle_reading(minus, at=now, new_meter=True)


def test_a_dial_set_aside_stays_on_the_record_and_counts_nowhere(note, meter, now):
    row = set_aside(note(28, "1210"), at=now)
    assert row.standing == SET_ASIDE
    assert Decimal(1210) not in [d.hours for d in known_dials(meter)]
