"""Numbers as people type them into a form."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from maintenance.pages.fields import hours_field, quantity_field


@pytest.mark.parametrize(
    ("typed", "hours"),
    [
        ("1212.4", "1212.4"),
        ("1212,4", "1212.4"),
        ("1 212,4", "1212.4"),
        ("1.212,4", "1212.4"),
        ("1,212.4", "1212.4"),
        ("1,212", "1212"),
        ("1.212", "1212"),
        ("-5", "-5"),
        ("", None),
    ],
)
def test_hours_are_read_however_their_marks_are_set(typed, hours):
    assert hours_field("Hours").clean(typed) == (None if hours is None else Decimal(hours))


def test_a_quantity_may_have_three_decimals():
    assert quantity_field("How many").clean("0,125") == Decimal("0.125")


@pytest.mark.parametrize("typed", ["12x4", "1.2.3", "1e5", "--1", "NaN", "\u0661\u0662", "9" * 12])
def test_what_is_no_number_is_named_with_what_is_wanted(typed):
    with pytest.raises(ValidationError, match=r"Hours: found .* wanted hours such as 1212\.4"):
        hours_field("Hours").clean(typed)
