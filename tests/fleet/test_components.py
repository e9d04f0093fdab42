"""A component is at one place at a time, and takes its history along."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.boats.actions import (
    FittingRefused,
    fit_component,
    move_component,
    read_printed_date,
    remove_component,
)
from fleet.boats.dates import DateNotClear
from fleet.boats.models import Fitting, PrintedDate


@pytest.fixture
def part(cast):
    return cast.part["sandpiper impeller"]


def stays(part) -> list[tuple]:
    rows = Fitting.objects.standing().filter(component=part).order_by("fitted_on")
    return list(rows.values_list("boat__code", "fitted_on", "removed_on"))


def test_a_part_moves_from_one_boat_to_another_on_a_day(cast, part, now):
    moved = move_component(
        part,
        cast.boat["blank page"],
        on=date(2026, 5, 28),
        at=now,
        meter=cast.meter["blank page main"],
        dial_removed=Decimal(1195),
    )
    assert moved.boat == cast.boat["blank page"]
    assert stays(part) == [
        ("sandpiper", date(2023, 3, 1), date(2026, 5, 28)),
        ("blank-page", date(2026, 5, 28), None),
    ]


def test_a_part_fitted_somewhere_is_not_fitted_again(cast, part, now):
    with pytest.raises(FittingRefused, match="fitted to Sandpiper until it is removed"):
        fit_component(part, cast.boat["blank page"], on=date(2026, 5, 28), at=now)


def test_a_part_is_not_fitted_before_it_was_removed(cast, part, now):
    remove_component(part, on=date(2026, 5, 28), at=now)
    with pytest.raises(FittingRefused, match="until it is removed"):
        fit_component(part, cast.boat["blank page"], on=date(2026, 5, 27), at=now)


def test_a_part_that_is_nowhere_is_not_removed(part, now):
    remove_component(part, on=date(2026, 5, 28), at=now)
    with pytest.raises(FittingRefused, match="not fitted to a boat"):
        remove_component(part, on=date(2026, 5, 28), at=now)


def test_a_part_is_not_removed_before_it_was_fitted(part, now):
    with pytest.raises(ValidationError, match="on or after the fitting"):
        remove_component(part, on=date(2020, 1, 1), at=now)


def test_a_move_that_is_refused_leaves_the_part_where_it_was(cast, part, now):
    with pytest.raises(ValidationError, match="wanted a meter of the boat"):
        move_component(
            part,
            cast.boat["blank page"],
            on=date(2026, 5, 28),
            at=now,
            meter=cast.meter["sandpiper main"],
        )
    assert stays(part) == [("sandpiper", date(2023, 3, 1), None)]


def test_a_new_printed_date_stands_in_place_of_the_one_before(cast, now):
    raft = cast.part["sandpiper life-raft"]
    row = read_printed_date(raft, as_written="06/2027", at=now)
    assert row.good_through == date(2027, 6, 30)
    assert PrintedDate.objects.standing().filter(component=raft).get() == row


def test_a_first_printed_date_is_kept_as_written(cast, now):
    row = read_printed_date(cast.part["blank page life-raft"], as_written=" 06/2027", at=now)
    assert (row.as_written, row.replaces) == ("06/2027", None)


def test_a_printed_date_that_could_mean_two_days_is_not_kept(cast, now):
    with pytest.raises(DateNotClear):
        read_printed_date(cast.part["blank page life-raft"], as_written="03/04/2026", at=now)
    assert not PrintedDate.objects.filter(component=cast.part["blank page life-raft"]).exists()
