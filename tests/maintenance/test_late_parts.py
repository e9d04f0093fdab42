"""Jobs of the week whose parts cannot be there before their limit: what lies there, what comes, how long an
order takes."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from maintenance.jobs.away import send_away
from maintenance.ordering.actions import Wanted, make_order, send_order
from maintenance.ordering.late_parts import late_parts, limit_of
from maintenance.pages.week_rows import late_says
from maintenance.planning.facts import visits_of
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.actions import count_stock
from maintenance.spares.keeping import keep_instead
from maintenance.spares.lots import Marked, keep_lot
from tests import factories as make
from tests.cast import NOW, TODAY

D = Decimal
SATURDAY = date(2026, 5, 30)  # Sandpiper and Twice Shy leave
OVERDUE = ["Twice Shy"]  # the oil of her port engine: whatever comes after today is too late


@pytest.fixture
def late(cast):
    """What comes too late: the boat, the part, how many are missing, when they are here."""

    def late() -> list[tuple[str, str, Decimal, date]]:
        visits = visits_of(cast.base, TODAY)
        found = late_parts(visits, base=cast.base, on=TODAY)
        boats = dict(Due.objects.filter(pk__in=found).values_list("pk", "boat__name"))
        return [(boats[k], one.spare.code, one.missing, one.here_on) for k, of in found.items() for one in of]

    return late


@pytest.fixture
def oil(cast):
    """An oil change takes 4.5 litres; what the store has is counted."""

    def oil(quantity: str, lead_days: int | None = None) -> None:
        cast.spare["oil"].lead_days = lead_days
        cast.spare["oil"].save()
        count_stock(cast.spare["oil"], cast.place["store"], counted=D(quantity), day=TODAY, at=NOW)

    return oil


def of_boats(cast) -> list[str]:
    rows = [v for v in visits_of(cast.base, TODAY) if any(job.take for job in v.jobs)]
    return [v.boat.name for v in rows]


def test_with_enough_in_the_store_nothing_is_late_and_nothing_is_asked_of_the_orders(
    cast, late, django_assert_num_queries
):
    visits = visits_of(cast.base, TODAY)
    assert of_boats(cast)
    with django_assert_num_queries(0):
        assert late_parts(visits, base=cast.base, on=TODAY) == {}


def test_what_an_order_made_today_brings_too_late_is_told_with_its_day(cast, oil, late):
    oil("0", lead_days=7)
    found = late()
    assert {(part, day) for _, part, _, day in found} == {("oil", TODAY + timedelta(7))}
    assert [missing for _, _, missing, _ in found] == [D("4.5")] * len(found)
    assert len(found) > 1
    oil("0", lead_days=1)
    assert [boat for boat, *_ in late()] == OVERDUE


def test_who_must_have_it_first_gets_what_there_is(cast, oil, late):
    oil("0", lead_days=7)
    every = late()
    oil("4.5", lead_days=7)
    assert len(late()) == len(every) - 1
    oil("3", lead_days=7)
    assert D("1.5") in [missing for _, _, missing, _ in late()]


def test_what_is_on_its_way_is_here_on_the_day_that_was_said(cast, oil, late):
    oil("0", lead_days=30)
    order = make_order(cast.base, "Chandler", [Wanted(cast.spare["oil"], D(100))], at=NOW)
    before = late()
    assert before
    assert {day for *_, day in before} == {TODAY + timedelta(30)}  # written down is not sent
    send_order(order, sent_on=TODAY, expected_on=TODAY + timedelta(1), today=TODAY)
    assert [(boat, day) for boat, _, _, day in late()] == [("Twice Shy", TODAY + timedelta(1))]


def test_what_is_written_down_and_not_sent_is_told_so(cast, oil):
    def told() -> set[tuple[bool, bool, str]]:
        found = late_parts(visits_of(cast.base, TODAY), base=cast.base, on=TODAY)
        return {
            (one.ordered, one.written, late_says(one, TODAY).split(",", 1)[1].split(", here")[0])
            for of in found.values()
            for one in of
        }

    oil("0", lead_days=30)
    assert told() == {(False, False, " not ordered")}
    order = make_order(cast.base, "Chandler", [Wanted(cast.spare["oil"], D(100))], at=NOW)
    assert told() == {(False, True, " written down, not sent")}
    send_order(order, sent_on=TODAY, expected_on=TODAY + timedelta(1), today=TODAY)
    assert {one[:2] for one in told()} == {(True, False)}


def test_an_order_that_is_late_is_not_here_today(cast, oil, late):
    oil("0", lead_days=30)
    order = make_order(cast.base, "Chandler", [Wanted(cast.spare["oil"], D(100))], at=NOW)
    send_order(order, sent_on=TODAY - timedelta(9), expected_on=TODAY - timedelta(2), today=TODAY)
    assert [(boat, day) for boat, _, _, day in late()] == [("Twice Shy", TODAY + timedelta(1))]


def test_a_boats_own_kit_serves_her_and_no_other(cast, oil, late):
    oil("0", lead_days=7)
    boats = [boat for boat, *_ in late()]
    name = boats[0]
    locker = next(place for place in cast.place.values() if place.boat_id and place.boat.name == name)
    make.ReceivedFactory(spare=cast.spare["oil"], to_place=locker, quantity=D("4.5"))
    assert sorted(boat for boat, *_ in late()) == sorted(boats[1:])


def test_what_has_run_out_serves_nobody(cast, oil, late):
    oil("0", lead_days=7)
    lot = keep_lot(cast.spare["oil"], Marked(expires_on=TODAY - timedelta(1)))
    make.ReceivedFactory(spare=cast.spare["oil"], to_place=cast.place["store"], quantity=D(99), lot=lot)
    assert late()


def test_what_may_be_used_instead_is_taken_before_anybody_waits_and_once(cast, oil, late):
    oil("0", lead_days=7)
    number = len(late())
    other = make.SpareFactory(code="oil of another can", unit="l")
    keep_instead(cast.spare["oil"], other, words="same grade")
    make.ReceivedFactory(spare=other, to_place=cast.place["store"], quantity=D("4.5"))
    assert len(late()) == number - 1


def test_a_thing_that_is_away_waits_for_no_part_here(cast, oil, late):
    oil("0", lead_days=7)
    IntervalSpare.objects.create(interval=cast.interval["raft"], spare=cast.spare["oil"], quantity=1)
    raft = cast.part["twice shy life-raft"]
    assert D(1) in [missing for _, _, missing, _ in late()]
    send_away(raft, whom="Raft station", day=TODAY, at=NOW)
    assert D(1) not in [missing for _, _, missing, _ in late()]


def test_the_limit_is_its_own_or_that_she_leaves_and_today_where_it_is_overdue(cast):
    row = Due.objects.filter(boat=cast.boat["sandpiper"]).judged(TODAY)[0]
    charter = cast.charter["S3"]
    for limit, before, overdue, by in (
        (date(2026, 6, 3), True, False, SATURDAY),
        (date(2026, 5, 29), True, False, date(2026, 5, 29)),
        (date(2026, 6, 30), False, False, date(2026, 6, 30)),
        (date(2026, 5, 1), True, True, TODAY),
        (None, False, False, None),
        (None, False, True, TODAY),  # past its hours
    ):
        row.limit_on, row.before_handover, row.overdue = limit, before, overdue
        assert limit_of(row, charter, TODAY) == by
