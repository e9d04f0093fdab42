"""The demo's store on any day: a ledger of two seasons that adds up, and each sort of story once."""

from collections import Counter, defaultdict
from datetime import timedelta
from decimal import Decimal

import pytest

from fleet.boats.models import Boat, Component, Place
from maintenance.exchange.demo.files import past
from maintenance.exchange.demo.stores import LOTS, SHELVES
from maintenance.ordering.facts import shelves
from maintenance.ordering.orders import orders_of
from maintenance.ordering.standing import Stands
from maintenance.spares.cores import cores_due
from maintenance.spares.facts import allowances, hands
from maintenance.spares.fits import Fit, fits
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.sealing import seals_of
from maintenance.spares.stand_ins import says_of, stand_ins, thing_of
from tests.doors.test_demo import DAYS
from tests.doors.test_demo import built as built

pytestmark = pytest.mark.django_db
YEAR = timedelta(days=365)


def of_base(base, day):
    return list(Boat.objects.of_base(base.pk, day).values_list("pk", flat=True))


@pytest.fixture
def shelf(built):
    """Every spare as it stands, by its code."""
    base, day, _ = built
    return {one.spare.code: one for one in shelves(base, of_base(base, day), on=day)}


def test_what_the_shelves_hold_is_what_was_there_and_came_less_what_went(built):
    """Half of the clamps ordered came since, one belt is looked for; the rest is as it is written."""
    codes, places = dict(Spare.objects.values_list("pk", "code")), Place.objects.in_bulk()
    ashore: Counter = Counter()
    for (spare, place), many in hands().items():
        if places[place].base_id and places[place].sort != Place.Sort.ASTRAY:
            ashore[codes[spare]] += many
    written = Counter({code: Decimal(many) for of in SHELVES.values() for code, (many, _) in of.items()})
    written.update({"hose-clamp": 10, "belt-880": -1})
    for one in LOTS:
        written[one.spare] += Decimal(one.quantity)
    assert +ashore == +written


def test_no_shelf_was_ever_below_nothing_and_nothing_was_counted_twice(built):
    """Day by day, what came before what went; the one belt in no book is of the day itself."""
    _, day, _ = built
    level: dict = defaultdict(Decimal)
    moves = StockMove.objects.standing().filter(day__lt=day)
    for move in sorted(moves, key=lambda m: (m.day, m.from_place_id is not None and m.to_place_id is None)):
        if move.from_place_id:
            level[move.spare_id, move.from_place_id] -= move.quantity
        if move.to_place_id:
            level[move.spare_id, move.to_place_id] += move.quantity
        assert all(many >= 0 for many in level.values())
    counted = StockMove.objects.filter(why="counted").values_list("day", flat=True).distinct()
    assert len(counted) == 1


@pytest.mark.parametrize("day", DAYS, ids=str)
def test_two_seasons_have_enough_to_learn_from_whatever_the_day(day):
    gone = past(day)
    assert 100 < len(gone.used) < 400
    assert all(gone.opened_on <= one.sent_on <= one.day < day for one in gone.came)
    assert {one.day.weekday() for one in gone.came} == {1}
    assert all(one.sent_on.weekday() < 5 or one.sent_on == gone.opened_on for one in gone.came)
    now = {code: Decimal(many) for of in SHELVES.values() for code, (many, _) in of.items()}
    assert all(now[code] + many >= 0 for code, many in gone.beside.items())
    assert gone == past(day)


def test_lead_times_are_learned_from_what_came(shelf):
    learned = [one for one in shelf.values() if "the longest of the last" in one.lead.why]
    assert len(learned) >= 6
    assert all(0 < one.lead.days < 40 for one in learned)


def test_what_a_part_costs_and_a_missed_saturday_decide_how_many_are_held(shelf):
    """Where the base said what a missing part costs, the model holds what its price is worth."""
    priced = [one for one in shelf.values() if one.price is not None and one.plain is not None]
    assert len(priced) >= 10
    assert {one.price.currency for one in priced} == {"EUR"}


def test_orders_are_late_half_here_and_to_send_and_the_past_ones_are_all_received(built):
    base, day, _ = built
    orders = orders_of(base.pk, on=day)
    states = Counter(one.state for one in orders if one.state != Stands.RECEIVED)
    assert states == {Stands.SENT: 1, Stands.PART: 1, Stands.TO_SEND: 1}
    assert [one.late for one in orders if one.late] == [2]
    assert sum(one.state == Stands.RECEIVED for one in orders) >= 10


def test_one_core_is_owed_one_belt_is_looked_for_and_one_seal_is_broken(built, shelf):
    base, day, _ = built
    places = StockMove.objects.values_list("from_place", flat=True)
    assert [(due.spare.code, due.quantity) for due in cores_due(base.pk, set(places))] == [
        ("alternator-90", 1)
    ]
    assert [(code, one.astray) for code, one in shelf.items() if one.astray] == [("belt-880", 1)]
    boats = of_base(base, day)
    seals = seals_of(boats)
    assert set(boats) - set(seals) == {Boat.objects.get(code="cowrie").pk}
    assert len({seal.number for seal in seals.values()}) == 11


def test_one_lot_is_run_out_one_soon_will_and_the_week_counts_neither_as_flares_aboard(built, shelf):
    _, day, _ = built
    flares, kit = shelf["hand-flares"], shelf["first-aid-refill"]
    assert (flares.ashore, flares.run_out) == (6, 2)
    (lot,) = kit.lots
    assert day < lot.lot.expires_on < day + timedelta(days=30)
    assert kit.ashore == 1


def test_every_kit_has_its_class_s_allowance_and_lacks_what_was_used(built):
    base, day, _ = built
    boats = of_base(base, day)
    wanted, held = allowances(on=day - YEAR), hands()
    kits = {where: many for where, many in wanted.items() if where in allowances(on=day)}
    aboard = [
        where for where in kits if StockMove.objects.filter(to_place=where[1], to_place__boat__in=boats)
    ]
    assert len(aboard) == 12 * 9
    lacking = sorted(
        wanted[where] - held.get(where, 0) for where in aboard if held.get(where, 0) < wanted[where]
    )
    assert lacking == [1, 1, 2, Decimal("2.5")]


def test_the_old_number_stands_for_the_new_one_and_another_fits_the_new_engine(built):
    old, new = Spare.objects.get(code="0041-5"), Spare.objects.get(code="0041-7")
    assert old.superseded_by == new
    assert [one.spare for one in stand_ins([new.pk])[new.pk]] == [old]
    belt = Spare.objects.get(code="belt-875")
    assert "tensioner" in stand_ins([belt.pk])[belt.pk][0].why
    says = says_of([new.pk])[new.pk]
    words = {
        part.fittings.first().boat.code: fits(says, thing_of(part))
        for part in Component.objects.filter(kind__code="impeller")
    }
    assert Counter(words.values()) == {Fit.YES: 11, Fit.NO: 1}
    assert words["sheepshank"] is Fit.NO
    other = Spare.objects.get(code="0047-2")
    thing = Component.objects.get(kind__code="impeller", fittings__boat__code="sheepshank")
    assert fits(says_of([other.pk])[other.pk], thing_of(thing)) is Fit.YES
