"""A ledger is only added to: what stands, what stood, and what cannot be done to it."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from fleet.ledger import LedgerIsAppendOnly, correction, latest, once, take_back
from fleet.meters.models import Reading
from tests.factories import ReadingFactory

pytestmark = pytest.mark.django_db


def dials(known_at: datetime | None = None) -> list[Decimal]:
    return sorted(Reading.objects.standing(known_at).values_list("dial", flat=True))


@pytest.fixture
def reading():
    return ReadingFactory(dial=Decimal(341))


def test_a_row_stands_until_another_replaces_it(reading, now):
    assert dials() == [341]
    correction(reading, at=now, dial=Decimal(3412))
    assert dials() == [3412]
    assert Reading.objects.count() == 2


def test_a_correction_says_the_same_but_for_what_changed(reading, now):
    later = correction(reading, at=now, dial=Decimal(3412))
    assert (later.meter, later.day, later.standing) == (reading.meter, reading.day, reading.standing)
    assert (later.replaces, later.recorded_at, later.client_id) == (reading, now, None)


def test_what_was_known_at_an_instant_is_found_again(reading, now):
    before = reading.recorded_at
    correction(reading, at=now, dial=Decimal(3412))
    assert dials(before) == [341]
    assert dials(now - timedelta(seconds=1)) == [341]
    assert dials(now) == [3412]
    assert dials(before - timedelta(seconds=1)) == []


def test_what_was_taken_back_stood_until_then(reading, now):
    take_back(reading, at=now)
    assert dials() == []
    assert dials(now) == []
    assert dials(now - timedelta(seconds=1)) == [341]


def test_a_row_is_neither_changed_nor_removed(reading):
    with pytest.raises(LedgerIsAppendOnly, match="replaces"):
        Reading.objects.filter(pk=reading.pk).update(dial=1)
    with pytest.raises(LedgerIsAppendOnly, match="replaces"):
        Reading.objects.all().delete()
    assert dials() == [341]


def test_two_rows_cannot_replace_one(reading, now):
    correction(reading, at=now, dial=Decimal(3412))
    with pytest.raises(ValidationError, match="with this Replaces already exists"):
        correction(Reading.objects.get(pk=reading.pk), at=now, dial=Decimal(3413))


def test_taking_back_a_first_row_leaves_nothing(reading, now):
    assert take_back(reading, at=now).void
    assert dials() == []


def test_taking_back_twice_changes_nothing_more(reading, now):
    take_back(reading, at=now)
    again = take_back(Reading.objects.get(pk=reading.pk), at=now)
    assert again.void
    assert Reading.objects.count() == 2


def test_taking_back_a_correction_lets_what_it_stood_for_stand_again(reading, now):
    changed = correction(reading, at=now, dial=Decimal(3412))
    take_back(changed, at=now)
    assert dials() == [341]
    assert Reading.objects.count() == 3


def test_taking_back_a_row_takes_back_what_has_corrected_it_since(reading, now):
    correction(reading, at=now, dial=Decimal(3412))
    take_back(Reading.objects.get(pk=reading.pk), at=now)
    assert dials() == []


def test_the_row_that_stands_now_is_found_from_any_before_it(reading, now):
    last = correction(correction(reading, at=now, dial=Decimal(2)), at=now, dial=Decimal(3))
    assert latest(Reading.objects.get(pk=reading.pk)) == last
    assert latest(last) == last


def test_who_took_a_thing_back_and_when_is_on_the_record(cast, reading, now):
    row = take_back(reading, at=now, by=cast.person["engineer"])
    assert (row.recorded_by, row.recorded_at) == (cast.person["engineer"], now)


def test_a_story_already_known_is_not_kept_again(reading):
    assert once(lambda: reading, lambda: pytest.fail("kept twice")) == reading


def test_a_copy_that_arrived_meanwhile_is_given_instead_of_a_fault():
    answers = iter([None, "the copy"])

    def keep():
        raise IntegrityError("client_id")

    assert once(lambda: next(answers), keep) == "the copy"


def test_another_fault_of_the_store_is_not_swallowed():
    def keep():
        raise IntegrityError("something else")

    with pytest.raises(IntegrityError, match="something else"):
        once(lambda: None, keep)


def test_nothing_of_a_story_that_fails_is_kept(reading, now):
    def keep():
        correction(reading, at=now, dial=Decimal(3412))
        raise ValueError("half way")

    with pytest.raises(ValueError, match="half way"):
        once(lambda: None, keep)
    assert dials() == [341]
