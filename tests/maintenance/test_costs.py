"""What parts cost: as asked and as paid, by boat, by service; what was done on a boat."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.ledger import correction
from maintenance.jobs.actions import Work, record_work, start_counting, take_back_job
from maintenance.ordering import actions
from maintenance.ordering.actions import Wanted
from maintenance.ordering.costs import (
    cost_by_boat,
    cost_of_parts,
    cost_of_services,
    parts_used,
    work_of,
)
from maintenance.ordering.money import Money, price_of
from maintenance.ordering.prices import prices_of
from maintenance.servicing.models import Service
from maintenance.spares.actions import SpareUsed, use_spare
from maintenance.spares.models import Price
from maintenance.spares.moving import correct_move, void_move
from tests import factories as make
from tests.cast import NOW, TODAY, more_boats

D = Decimal
JANUARY, APRIL, MAY = date(2026, 1, 1), date(2026, 4, 1), date(2026, 5, 1)


@pytest.fixture
def asks(cast):
    """That a supplier asks so much for a part from a day on."""

    def asks(code: str, each: str, on: date = JANUARY, currency: str = "EUR", **more) -> Price:
        return Price.objects.create(
            spare=cast.spare[code], from_on=on, each=D(each), currency=currency, **more
        )

    return asks


@pytest.fixture
def used(cast):
    """So much of a part used from a place on a day."""

    def used(code: str, number: str, place: str = "sandpiper locker", day: date = MAY):
        return use_spare(cast.spare[code], cast.place[place], quantity=D(number), day=day, at=NOW)

    return used


@pytest.fixture
def spent(cast):
    """What each boat's parts cost, in words, from January until today."""

    def spent(since: date = JANUARY, until: date = TODAY) -> dict[str, str]:
        boats = [boat.pk for name, boat in cast.boat.items() if name != "far cry"]
        names = {boat.pk: name for name, boat in cast.boat.items()} | {None: "nobody"}
        costs = cost_by_boat(parts_used(cast.base, boats, since=since, until=until))
        return {names[boat]: str(cost) for boat, cost in costs.items()}

    return spent


def oil_changed(cast, number: str = "4.5", day: date = MAY, boat: str = "sandpiper"):
    took = [SpareUsed(cast.spare["oil"], cast.place["store"], D(number))]
    work = Work(day, [cast.task(f"{boat} engine-oil", "change")], used=took, who="A. Fitter")
    return record_work(cast.boat[boat], work, at=NOW)


def test_a_part_costs_its_boat_what_was_asked_on_the_day_it_was_used(asks, used, spent):
    asks("oil", "10")
    asks("oil", "12", on=MAY)
    used("oil", "2", day=MAY - timedelta(1))
    used("oil", "2", day=MAY)
    assert spent() == {"sandpiper": "44.00 EUR"}


def test_a_part_out_of_the_store_is_its_jobs_boats_and_without_a_job_nobodys(cast, asks, used, spent):
    asks("oil", "10")
    oil_changed(cast)
    used("oil", "1", "store")
    assert spent() == {"sandpiper": "45.00 EUR", "nobody": "10.00 EUR"}


def test_both_days_asked_about_are_counted_and_no_other(asks, used, spent):
    asks("oil", "1")
    for day in (-1, 0, 9, 10):
        used("oil", "1", day=APRIL + timedelta(day))
    assert spent(APRIL, APRIL + timedelta(9)) == {"sandpiper": "2.00 EUR"}


def test_a_part_without_a_price_is_counted_once_and_never_for_nothing(asks, used, spent):
    asks("oil", "10")
    used("oil", "1")
    for _ in range(3):
        used("gas bottle", "1")
    used("impeller kit", "1")
    assert spent() == {"sandpiper": "10.00 EUR, and 2 parts without a price"}


def test_sums_stand_by_currency_and_nothing_is_converted(asks, used, spent):
    asks("oil", "10")
    asks("gas bottle", "20", currency="USD")
    used("oil", "1")
    used("gas bottle", "2")
    assert spent() == {"sandpiper": "10.00 EUR + 40.00 USD"}


def test_what_was_taken_back_cost_nothing_and_what_was_put_right_what_it_is_now(cast, asks, used, spent):
    asks("oil", "10")
    job = oil_changed(cast)
    void_move(used("oil", "7"), at=NOW)
    assert spent() == {"sandpiper": "45.00 EUR"}
    correct_move(job.moves.get().move, quantity=D(4), at=NOW)
    assert spent() == {"sandpiper": "40.00 EUR"}  # still its job's boat


def test_another_bases_parts_cost_us_nothing(cast, asks, used, spent):
    asks("oil", "10")
    used("oil", "3", "far store")
    assert spent() == {}


def test_who_buys_many_at_once_pays_their_price_and_one_of_them_costs_what_one_does(cast, asks):
    """Else what was paid for eight hundred would be what one costs, and the next order too small."""
    asks("oil", "0.75", supplier="Quay")
    asks("oil", "0.68", supplier="Quay", least=800)
    paid = Wanted(cast.spare["oil"], D(900), Money(D("0.66"), "EUR"))
    order = actions.make_order(cast.base, "Quay", [paid], at=NOW)
    actions.send_order(order, sent_on=MAY, today=TODAY)
    known = prices_of({cast.spare["oil"].pk}, base=cast.base.pk)[cast.spare["oil"].pk]
    found = [price_of(known, on=TODAY, quantity=D(number)).amount for number in (1, 799, 800)]
    assert found == [D("0.75"), D("0.75"), D("0.66")]


def test_what_an_order_paid_is_the_price_from_the_day_it_was_sent_at_its_base_only(cast, asks):
    paid = Wanted(cast.spare["oil"], D(6), Money(D(9), "EUR"))
    order = actions.make_order(cast.base, "Quay", [paid], at=NOW)
    key = cast.spare["oil"].pk
    assert prices_of({key}, base=cast.base.pk) == {}
    actions.send_order(order, sent_on=MAY, today=TODAY)
    [known] = prices_of({key}, base=cast.base.pk)[key]
    assert (known.from_on, known.least, str(known.each), known.supplier) == (MAY, 1, "9.00 EUR", "Quay")
    assert prices_of({key}, base=cast.place["far store"].base_id) == {}


def test_a_service_costs_what_its_list_does(cast, asks):
    asks("oil", "10")
    boats = [boat.pk for name, boat in cast.boat.items() if name != "far cry"]
    costs = {one.task: one for one in cost_of_services(boats, base=cast.base, on=TODAY)}
    change, replace = (cast.interval[code].task for code in ("change", "replace"))
    assert str(costs[change].cost) == "45.00 EUR"  # 4.5 litres
    assert [(line.spare.code, line.quantity) for line in costs[change].lines] == [("oil", D("4.5"))]
    assert str(costs[replace].cost) == "1 part without a price"
    assert costs[change].of == cast.interval["change"].kind.name


def test_a_task_of_another_bases_boats_only_is_not_listed(cast):
    own = make.IntervalFactory(kind=None, component=cast.part["far cry engine-oil"], every_months=1)
    make.IntervalSpareFactory(interval=own, spare=cast.spare["oil"], quantity=D(1))
    boats = [boat.pk for name, boat in cast.boat.items() if name != "far cry"]
    assert own.task not in {one.task for one in cost_of_services(boats, base=cast.base, on=TODAY)}


def test_work_on_a_boat_is_told_by_day_task_thing_and_where_aboard(cast):
    oil_changed(cast, day=APRIL)
    mine = work_of(cast.boat["sandpiper"], since=APRIL, until=APRIL)
    assert [(one.day, one.task, one.kind, one.position) for one in mine] == [
        (APRIL, cast.interval["change"].task, cast.interval["change"].kind.name, "")
    ]
    assert work_of(cast.boat["twice shy"], since=APRIL, until=APRIL) == []


def test_which_of_two_engines_it_was_is_told_by_the_meter_it_runs_by(cast):
    task = cast.task("twice shy port engine-oil", "change")
    record_work(cast.boat["twice shy"], Work(APRIL, [task]), at=NOW)
    [one] = work_of(cast.boat["twice shy"], since=APRIL, until=APRIL)
    assert one.position == "port"


def test_work_taken_back_was_not_done_and_to_begin_counting_is_no_work(cast):
    job = oil_changed(cast, day=MAY)
    boat = cast.boat["sandpiper"]
    take_back_job(job, at=NOW)
    start_counting(boat, [cast.task("sandpiper engine-oil", "change")], from_on=MAY, at=NOW)
    assert work_of(boat, since=MAY, until=MAY) == []


def test_work_put_right_to_another_day_is_told_on_that_day_once(cast):
    oil_changed(cast, day=APRIL)
    row = Service.objects.standing().get(done_on=APRIL)
    correction(row, at=NOW, done_on=APRIL + timedelta(1))
    found = work_of(cast.boat["sandpiper"], since=APRIL - timedelta(2), until=APRIL + timedelta(2))
    assert [one.day for one in found] == [APRIL + timedelta(1)]


def test_what_was_done_on_a_part_before_it_came_aboard_is_not_this_boats_work(cast):
    part = cast.part["sandpiper engine-oil"]
    [fitting] = part.fittings.all()
    correction(fitting, at=NOW, removed_on=APRIL)
    make.FittingFactory(component=part, boat=cast.boat["twice shy"], fitted_on=APRIL, meter=None)
    make.ServiceFactory(component=part, interval=cast.interval["change"], done_on=APRIL - timedelta(1))
    make.ServiceFactory(component=part, interval=cast.interval["change"], done_on=APRIL)
    days = {
        name: [one.day for one in work_of(cast.boat[name], since=APRIL - timedelta(3), until=APRIL)]
        for name in ("sandpiper", "twice shy")
    }
    assert days == {"sandpiper": [APRIL - timedelta(1)], "twice shy": [APRIL]}


def test_it_takes_as_many_queries_for_many_parts_and_boats(cast, asks, used, django_assert_num_queries):
    asks("oil", "10")
    more_boats(cast, 5)
    for n in range(20):
        used("oil", "1", day=MAY - timedelta(n))
        oil_changed(cast, "1", MAY - timedelta(n))
    boats = [boat.pk for boat in cast.boat.values()]
    with django_assert_num_queries(4):
        parts = parts_used(cast.base, boats, since=JANUARY, until=TODAY)
    assert str(cost_of_parts(parts)) == "400.00 EUR"
    with django_assert_num_queries(3):
        cost_of_services(boats, base=cast.base, on=TODAY)
    with django_assert_num_queries(2):
        assert len(work_of(cast.boat["sandpiper"], since=JANUARY, until=TODAY)) >= 20
