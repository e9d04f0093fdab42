"""How many of each spare a base should hold ashore: from its due list, its moves, its boats' kits."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.boats.models import Boat
from maintenance.jobs.actions import Work, record_work
from maintenance.ordering.facts import shelves
from maintenance.spares.actions import SpareUsed, use_spare
from maintenance.spares.models import Spare
from tests import factories as make
from tests.cast import NOW, TODAY, more_boats

D = Decimal
LAST_YEAR = date(2025, 3, 1)


@pytest.fixture
def shelf(cast):
    """What is told of a spare by its code."""

    def shelf(code: str, on: date = TODAY):
        boats = list(Boat.objects.of_base(cast.base.pk, on).values_list("pk", flat=True))
        return {one.spare.code: one for one in shelves(cast.base, boats, on=on)}.get(code)

    return shelf


def used(cast, code: str, place: str, quantity: str, day: date):
    return use_spare(cast.spare[code], cast.place[place], quantity=D(quantity), day=day, at=NOW)


def looked_for_long(cast):
    """The book began more than a season ago."""
    make.ReceivedFactory(spare=cast.spare["oil"], to_place=cast.place["store"], day=LAST_YEAR)


def test_what_the_due_list_takes_until_an_order_could_be_here(cast, shelf):
    """Oil of two engines is due within the 21 days; those never recorded are not counted."""
    oil = shelf("oil")
    assert (oil.ashore, oil.hold.quantity, oil.days) == (20, 9, 21)
    assert oil.hold.why.startswith("the due list takes 9 in the next 21 days")
    Spare.objects.filter(code="oil").update(lead_days=0)
    cast.due("sandpiper engine-oil", "change")
    assert shelf("oil").hold.quantity == 9  # due on the 31st and long overdue: both within a week


def test_what_is_due_later_is_not_taken_yet(cast, shelf):
    Spare.objects.filter(code="oil").update(lead_days=0)
    due = cast.due("sandpiper engine-oil", "change")
    type(due).objects.filter(pk=due.pk).update(due_on=TODAY + timedelta(8))
    assert shelf("oil").hold.quantity == 5  # 4.5 in whole litres
    type(due).objects.filter(pk=due.pk).update(due_on=TODAY + timedelta(7))
    assert shelf("oil").hold.quantity == 9


def test_what_was_used_beyond_plan_is_held_again(cast, shelf):
    looked_for_long(cast)
    for day in (1, 15, 40):
        used(cast, "gas bottle", "store", "1", TODAY - timedelta(day))
    gas = shelf("gas bottle")
    assert gas.hold.quantity == 2  # two within 21 days; the base's own 3 no longer counts after a season
    assert (gas.ashore, gas.short) == (0, 2)


def test_what_a_recorded_task_takes_is_planned_and_what_else_the_job_used_is_not(cast, shelf):
    looked_for_long(cast)
    boat = cast.boat["sandpiper"]
    took = [SpareUsed(cast.spare[code], cast.place["store"], D(2)) for code in ("oil", "gas bottle")]
    record_work(boat, Work(TODAY, [cast.task("sandpiper engine-oil", "change")], used=took), at=NOW)
    assert shelf("gas bottle").hold.quantity == 2
    assert shelf("oil").hold.quantity == 5  # what is left on the list; the two litres were planned


def test_a_move_taken_back_was_never_used(cast, shelf):
    looked_for_long(cast)
    move = used(cast, "gas bottle", "store", "3", TODAY)
    type(move).objects.create(
        spare=move.spare,
        from_place=move.from_place,
        quantity=3,
        why="used",
        day=TODAY,
        void=True,
        replaces=move,
        recorded_at=NOW,
    )
    assert shelf("gas bottle").hold.quantity == 0


def test_a_base_that_only_begins_holds_what_it_typed(cast, shelf):
    gas = shelf("gas bottle")
    assert gas.hold.quantity == 3
    assert gas.hold.why == "the base's own number, until a season of use is recorded"


def test_a_kit_that_lacks_one_is_filled_from_the_store(cast, shelf):
    assert shelf("impeller kit").short == 0
    used(cast, "impeller kit", "sandpiper locker", "2", TODAY)
    kit = shelf("impeller kit")
    assert kit.kits_lack == 2  # one should lie there, the book says one less than nothing
    assert (kit.ashore, kit.aboard) == (1, 0)
    assert kit.short == kit.hold.quantity + 2 - 1
    assert [(str(one.place), one.on_hand) for one in kit.elsewhere] == [
        ("Store", 1),
        ("Sandpiper locker", -1),
    ]


def test_nothing_of_another_base_is_told_or_counted(cast, shelf):
    make.ReceivedFactory(spare=cast.spare["oil"], to_place=cast.place["far store"], quantity=D(400))
    theirs = make.SpareFactory(code="theirs")
    make.ReceivedFactory(spare=theirs, to_place=cast.place["far store"])
    assert shelf("oil").ashore == 20
    assert shelf("theirs") is None


def test_no_fact_of_a_later_day_is_looked_at(cast, shelf):
    looked_for_long(cast)
    used(cast, "gas bottle", "store", "2", TODAY + timedelta(1))
    assert shelf("gas bottle").hold.quantity == 0


def test_what_falls_short_stands_first(cast):
    used(cast, "oil", "store", "20", TODAY)
    boats = list(Boat.objects.of_base(cast.base.pk, TODAY).values_list("pk", flat=True))
    assert next(one.spare.code for one in shelves(cast.base, boats, on=TODAY)) == "oil"


def test_it_takes_as_many_queries_for_many_boats_and_spares(cast, django_assert_num_queries):
    more_boats(cast, 8)
    for n in range(30):
        make.ReceivedFactory(spare=make.SpareFactory(code=f"part-{n}"), to_place=cast.place["store"])
    boats = list(Boat.objects.of_base(cast.base.pk, TODAY).values_list("pk", flat=True))
    with django_assert_num_queries(8):
        assert len(shelves(cast.base, boats, on=TODAY)) == 33
