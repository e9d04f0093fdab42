"""A boat's kit: what it should hold by class, what it lacks, filled from the store, counted and sealed."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.boats.models import Boat
from maintenance.ordering.actions import Wanted, make_order, send_order
from maintenance.ordering.filling import kits_to_fill
from maintenance.spares.counting import BookMoved, Line
from maintenance.spares.facts import allowances, hands, kit_of, lots_at
from maintenance.spares.keeping import AllowanceRefused, drop_allowance, say_class_allowance
from maintenance.spares.kits import count_kit, kit_lines
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import KitSeal, StockMove
from maintenance.spares.moving import MoveRefused
from maintenance.spares.restocking import fill_kits, to_fill
from maintenance.spares.sealing import SealRefused, seal_kit, seals_of
from tests import factories as make
from tests.cast import NOW, TODAY

D = Decimal
ONE = Decimal(1)


@pytest.fixture
def should(cast):
    """Says how many of a spare should lie in a boat's locker."""

    def should(spare: str, boat: str, quantity: str) -> None:
        place = cast.place[f"{boat} locker"]
        make.AllowanceFactory(spare=cast.spare[spare], place=place, quantity=D(quantity))

    return should


@pytest.fixture
def came(cast):
    """So much of a spare comes to a place, of a lot where it has a last good day."""

    def came(spare: str, place: str, quantity: str, good_to: date | None = None) -> None:
        lot = keep_lot(cast.spare[spare], Marked(expires_on=good_to)) if good_to else None
        row = {"spare": cast.spare[spare], "to_place": cast.place[place], "quantity": D(quantity)}
        make.ReceivedFactory(lot=lot, **row)

    return came


@pytest.fixture
def lacking(cast):
    """What kits lack as it is told: boat, spare, how many, from where."""

    def lacking(*boats: str) -> list[tuple[str, str, Decimal, str]]:
        keys = [cast.boat[name].pk for name in boats or ("sandpiper", "twice shy", "blank page")]
        found = to_fill(cast.base.pk, keys, on=TODAY)
        return [(f.boat.name, f.spare.code, f.lacks, str(f.from_place or "no store")) for f in found]

    return lacking


def of_class(cast, design: str, *boats: str) -> None:
    Boat.objects.filter(pk__in=[cast.boat[name].pk for name in boats]).update(design=design)


def test_what_is_said_of_a_class_should_lie_in_the_kit_of_each_of_its_boats(cast):
    of_class(cast, "Tern 38", "sandpiper", "blank page")
    say_class_allowance(cast.spare["oil"], "Tern 38", quantity=D(4), from_on=TODAY)
    oil = cast.spare["oil"].pk
    found = {place: n for (spare, place), n in allowances(on=TODAY).items() if spare == oil}
    assert found == {cast.place[f"{name} locker"].pk: 4 for name in ("sandpiper", "blank page")}
    assert (oil, cast.place["sandpiper locker"].pk) not in allowances(on=TODAY - timedelta(1))


def test_what_is_said_of_one_boat_goes_before_her_class_also_where_it_is_none(cast, should):
    of_class(cast, "Tern 38", "sandpiper", "blank page")
    should("oil", "sandpiper", "0")
    say_class_allowance(cast.spare["oil"], "Tern 38", quantity=D(4), from_on=TODAY)
    said = allowances(on=TODAY)
    assert said[cast.spare["oil"].pk, cast.place["sandpiper locker"].pk] == 0
    assert said[cast.spare["oil"].pk, cast.place["blank page locker"].pk] == 4


def test_what_is_said_of_a_boat_at_another_of_her_places_goes_before_her_class_too(cast, should):
    of_class(cast, "Tern 38", "sandpiper")
    box = make.PlaceFactory(boat=cast.boat["sandpiper"], code="kit", name="Kit box")
    should("oil", "sandpiper", "2")
    say_class_allowance(cast.spare["oil"], "Tern 38", quantity=D(4), from_on=TODAY)
    assert (cast.spare["oil"].pk, box.pk) not in allowances(on=TODAY, places=[box.pk])


def test_asked_of_some_places_only_those_are_told(cast):
    of_class(cast, "Tern 38", "sandpiper")
    bow = make.PlaceFactory(boat=cast.boat["sandpiper"], code="zz-bow", name="Bow")
    say_class_allowance(cast.spare["oil"], "Tern 38", quantity=D(4), from_on=TODAY)
    assert allowances(on=TODAY, places=[bow.pk]) == {}


def test_a_class_is_said_anew_changed_and_taken_back(cast):
    of_class(cast, "Tern 38", "sandpiper")
    oil, where = cast.spare["oil"], (cast.spare["oil"].pk, cast.place["sandpiper locker"].pk)
    say_class_allowance(oil, "Tern 38", quantity=D(4), from_on=TODAY - timedelta(9))
    row = say_class_allowance(oil, "Tern 38", quantity=D(5), from_on=TODAY)
    assert say_class_allowance(oil, "Tern 38", quantity=D(6), from_on=TODAY) == row
    assert allowances(on=TODAY)[where] == 6
    drop_allowance(row)
    assert allowances(on=TODAY)[where] == 4


@pytest.mark.parametrize(("design", "quantity", "field"), [("", 1, "design"), ("Gull 30", 1, "design")])
def test_a_class_no_boat_is_of_is_refused(cast, design, quantity, field):
    with pytest.raises(AllowanceRefused) as refused:
        say_class_allowance(cast.spare["oil"], design, quantity=D(quantity), from_on=TODAY)
    assert refused.value.field == field


def test_fewer_than_none_is_refused(cast):
    of_class(cast, "Tern 38", "sandpiper")
    with pytest.raises(AllowanceRefused, match="quantity: wanted how many, 0 or more"):
        say_class_allowance(cast.spare["oil"], "Tern 38", quantity=D(-1), from_on=TODAY)


def test_the_kit_is_the_place_named_so_else_the_first_that_is_in_no_other(cast):
    ship = cast.boat["sandpiper"]
    inside = make.PlaceFactory(boat=ship, code="a-box", parent=cast.place["sandpiper locker"])
    assert kit_of([ship.pk])[ship.pk] == cast.place["sandpiper locker"]
    inside.code = "Kit"
    inside.save()
    assert kit_of([ship.pk])[ship.pk] == inside


def test_a_kit_that_has_what_it_should_lacks_nothing(lacking):
    assert lacking() == []


def test_each_boat_gets_from_the_shelf_that_has_most_and_what_is_promised_is_not_promised_again(
    cast, should, came, lacking
):
    cast.place["yard"] = make.PlaceFactory(base=cast.base, code="yard", name="Yard")
    came("impeller kit", "yard", "2")
    for boat in ("twice shy", "blank page"):
        should("impeller kit", boat, "2")
    assert lacking("blank page", "twice shy") == [
        ("Blank Page", "impeller kit", 2, "Yard"),
        ("Twice Shy", "impeller kit", 1, "Store"),
        ("Twice Shy", "impeller kit", 1, "no store"),
    ]
    assert lacking("twice shy", "blank page")[0] == ("Twice Shy", "impeller kit", 2, "Yard")


def test_one_boat_is_filled_from_two_shelves_where_neither_has_enough(cast, should, came, lacking):
    cast.place["yard"] = make.PlaceFactory(base=cast.base, code="yard", name="Yard")
    came("impeller kit", "yard", "1")
    should("impeller kit", "twice shy", "2")
    assert {(n, where) for _, _, n, where in lacking()} == {(1, "Store"), (1, "Yard")}


def test_what_waits_says_how_much_goes_to_boats_before_her(cast, should):
    should("impeller kit", "twice shy", "1")
    should("impeller kit", "blank page", "1")
    boats = [cast.boat["twice shy"].pk, cast.boat["blank page"].pk]
    first, then = to_fill(cast.base.pk, boats, on=TODAY)
    assert (first.can, first.promised) == (1, 0)
    assert (then.from_place, then.can, then.promised) == (None, 0, 1)


def test_what_has_run_out_and_what_is_looked_for_is_not_put_aboard(cast, should, came, lacking):
    make.PlaceFactory(base=cast.base, code="astray", name="Not where it should be", sort="astray")
    cast.place["astray"] = cast.base.places.get(code="astray")
    cast.spare["flares"] = make.SpareFactory(code="flares")
    came("flares", "astray", "5")
    came("flares", "store", "5", good_to=TODAY - timedelta(1))
    should("flares", "twice shy", "1")
    assert lacking() == [("Twice Shy", "flares", 1, "no store")]
    came("flares", "store", "5", good_to=TODAY)
    assert lacking() == [("Twice Shy", "flares", 1, "Store")]


def test_filling_moves_it_aboard_lot_by_lot_the_first_to_run_out_first(cast, should, came):
    cast.spare["flares"] = make.SpareFactory(code="flares")
    for n, quantity in ((40, "1"), (10, "1"), (-1, "9"), (90, "1")):
        came("flares", "store", quantity, good_to=TODAY + timedelta(n))
    should("flares", "twice shy", "2")
    fill = to_fill(cast.base.pk, [cast.boat["twice shy"].pk], on=TODAY)[0]
    fill_kits([(fill, D(2))], day=TODAY, at=NOW, by=cast.person["engineer"])
    aboard = lots_at([cast.place["twice shy locker"].pk])
    lots = {lot for of in aboard.values() for lot in of}
    moves = StockMove.objects.filter(lot__in=lots, why="moved")
    assert sorted(((row.lot.expires_on - TODAY).days, row.quantity) for row in moves) == [(10, 1), (40, 1)]
    assert to_fill(cast.base.pk, [cast.boat["twice shy"].pk], on=TODAY) == []


def test_no_shelf_or_nothing_put_aboard_is_refused_and_nothing_of_it_is_kept(cast, should):
    should("oil", "twice shy", "2")
    should("impeller kit", "twice shy", "2")
    fills = to_fill(cast.base.pk, [cast.boat["twice shy"].pk], on=TODAY)
    none = next(fill for fill in fills if fill.from_place is None)
    before = hands()
    with pytest.raises(MoveRefused, match="from_place: wanted a place"):
        fill_kits([(fills[0], ONE), (none, ONE)], day=TODAY, at=NOW)
    with pytest.raises(MoveRefused, match="quantity: wanted how many, above 0"):
        fill_kits([(fills[0], D(0))], day=TODAY, at=NOW)
    assert hands() == before


def test_kits_are_told_in_the_order_the_boats_leave_with_what_is_on_its_way(cast, should):
    for boat in ("blank page", "twice shy", "sandpiper"):
        should("gas bottle", boat, "2")
    order = make_order(cast.base, "Chandler", [Wanted(cast.spare["gas bottle"], D(3))], at=NOW)
    boats = [cast.boat[name].pk for name in ("blank page", "twice shy", "sandpiper")]
    found = kits_to_fill(cast.base, boats, on=TODAY)
    assert [kit.charter.code for kit in found] == ["S3", "T2", "B1"]
    assert [sum(w.fill.lacks for w in kit.waits) for kit in found] == [0, 1, 2]
    assert found[2].waits[0].coming == ()  # not sent yet
    send_order(order, sent_on=TODAY, expected_on=TODAY + timedelta(5), today=TODAY)
    (comes,) = kits_to_fill(cast.base, boats, on=TODAY)[2].waits[0].coming
    assert (comes.quantity, comes.expected_on) == (3, TODAY + timedelta(5))


def test_a_seal_closes_the_box_from_the_day_it_is_put_on_and_a_later_one_goes_before_it(cast):
    ship = cast.boat["sandpiper"]
    assert seals_of([ship.pk]) == {}
    seal_kit(ship, number=" 004512 ", day=TODAY - timedelta(3), at=NOW, who="A. Fitter")
    assert seals_of([ship.pk])[ship.pk].number == "004512"  # a number is text and keeps its zeros
    seal_kit(ship, number="004513", day=TODAY, at=NOW)
    assert seals_of([ship.pk])[ship.pk].number == "004513"
    seal_kit(ship, number="", day=TODAY, at=NOW)
    assert seals_of([ship.pk]) == {}


def test_a_number_closes_one_box_only_until_that_one_has_another(cast):
    ship, sister = cast.boat["sandpiper"], cast.boat["blank page"]
    seal_kit(ship, number="004512", day=TODAY, at=NOW)
    with pytest.raises(SealRefused, match="number: found 004512; wanted another, for it closes another"):
        seal_kit(sister, number="004512", day=TODAY, at=NOW)
    with pytest.raises(SealRefused, match="number: found 004512; wanted the new one's"):
        seal_kit(ship, number="004512", day=TODAY, at=NOW)
    seal_kit(ship, number="004513", day=TODAY, at=NOW)
    assert seal_kit(sister, number="004512", day=TODAY, at=NOW).number == "004512"


def test_a_boat_without_any_place_has_no_box_to_seal(cast):
    ship = cast.boat["blank page"]
    ship.places.all().delete()
    with pytest.raises(SealRefused, match="boat: wanted a locker or box of Blank Page first"):
        seal_kit(ship, number="1", day=TODAY, at=NOW)


def test_no_seal_is_put_on_on_a_day_to_come(cast):
    with pytest.raises(MoveRefused, match="day: wanted a day up to today"):
        seal_kit(cast.boat["sandpiper"], number="1", day=TODAY + timedelta(1), at=NOW)


@pytest.fixture
def counted(cast):
    """A count of Sandpiper's kit: one line, and the seal."""

    def counted(number: str = "", *, found: str = "", book: str = "1", opened: bool = False, **more):
        place = cast.place["sandpiper locker"]
        lines = {place: [Line(cast.spare["impeller kit"], D(found), D(book))]} if found else {}
        said = {"number": number, "opened": opened, "day": TODAY, "at": NOW, "who": "A. Fitter"}
        return count_kit(cast.boat["sandpiper"], lines, **said | more)

    return counted


def test_a_kit_is_counted_and_sealed_in_one_go(cast, counted):
    sealed = counted("004512", found="0")
    assert (sealed.counted, [d.by for d in sealed.differs], sealed.seal.number) == (1, [-1], "004512")
    where = (cast.spare["impeller kit"].pk, cast.place["sandpiper locker"].pk)
    assert hands()[where] == 0


def test_a_kit_found_as_it_should_be_is_sealed_without_a_move(cast, counted):
    before = StockMove.objects.count()
    assert counted("004512", found="1").seal.who == "A. Fitter"
    assert StockMove.objects.count() == before


def test_where_the_seal_is_refused_nothing_is_counted(cast, counted):
    seal_kit(cast.boat["blank page"], number="004512", day=TODAY, at=NOW)
    before = hands()
    with pytest.raises(SealRefused):
        counted("004512", found="0")
    assert hands() == before


def test_sent_twice_it_is_counted_and_sealed_once(counted):
    for _ in range(2):
        assert counted("004512", found="0", client_id="one form").seal.number == "004512"
    assert KitSeal.objects.count() == 1
    assert StockMove.objects.filter(why="counted").count() == 1


def test_somebody_used_one_while_it_was_counted_and_nothing_is_kept(counted):
    with pytest.raises(BookMoved):
        counted("004512", found="2", book="5")
    assert not KitSeal.objects.exists()


def test_a_box_that_stays_open_has_no_seal(cast, counted):
    counted("004512")
    assert counted(opened=True).seal is None
    assert seals_of([cast.boat["sandpiper"].pk]) == {}


def test_lots_in_a_kit_are_counted_apart_and_nobody_fills_them_in_before_they_are_read(cast, came):
    cast.spare["flares"] = make.SpareFactory(code="flares")
    came("flares", "sandpiper locker", "4", good_to=TODAY)
    came("flares", "sandpiper locker", "2")
    lines = kit_lines(cast.boat["sandpiper"], on=TODAY)
    told = [(line.spare.code, str(line.lot or ""), line.held, line.as_it_should_be) for line in lines]
    assert told == [
        ("flares", "", 2, None),
        ("flares", "good to Thu 28 May 2026", 4, None),
        ("impeller kit", "", 1, 1),
    ]
