"""Lots, single units and boxes in stock.csv: what is told apart, and what is counted together."""

from datetime import date

import pytest

from fleet.boats.models import Boat, Place
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.models import Lot, Spare
from maintenance.spares.moving import move_stock
from tests.doors.folders import everything, refused, write_folder

BASE = "base,name,timezone\nquay,Old Quay,Europe/Lisbon\n"
BOATS = "boat,name,base\ndunlin,Dunlin,quay\n"
SPARES = "spare,name\nflares,Hand flares\nalt,Alternator\n"
STOCK = "spare,store,place,lot,serial,expires_on,quantity\n"
PLAIN = "spare,store,place,quantity\n"


@pytest.fixture
def stock(load, tmp_path):
    """Loads these rows of stock.csv, under either header."""

    def stock(rows, header=STOCK, **options):
        return load(folder(rows, header), **options)

    def folder(rows, header=STOCK):
        return write_folder(
            tmp_path, {"bases": BASE, "boats": BOATS, "spares": SPARES, "stock": header + rows}
        )

    stock.folder = folder
    return stock


def lots() -> dict[str, int]:
    told = {lot.pk: str(lot) for lot in Lot.objects.all()}
    return {told[key]: many for of in lots_at().values() for key, many in of.items()}


def test_each_lot_of_a_shelf_is_counted_and_so_is_what_has_no_mark(stock):
    rows = "flares,quay,A1,L-7,,2027-06,3\nflares,quay,A1,L-4,,2026-04-30,1\nflares,quay,A1,,,,2\n"
    stock(rows)
    assert lots() == {"lot L-7, good to Wed 30 Jun 2027": 3, "lot L-4, good to Thu 30 Apr 2026": 1}
    assert list(hands().values()) == [6]
    before = everything()
    assert not stock(rows).changed("stock.csv")
    assert everything() == before


def test_a_lot_counted_again_leaves_the_others_and_what_has_no_mark_as_they_were(stock):
    stock("flares,quay,A1,L-7,,,3\nflares,quay,A1,L-4,,,1\nflares,quay,A1,,,,2\n")
    stock("flares,quay,A1,L-7,,,1\nflares,quay,A1,,,,5\n", update=True)
    assert lots() == {"lot L-7": 1, "lot L-4": 1}
    assert list(hands().values()) == [7]


def test_a_file_that_tells_no_lots_apart_counts_all_that_lies_there(stock):
    stock("flares,quay,A1,L-7,,,3\nflares,quay,A1,,,,2\n")
    assert not stock("flares,quay,A1,5\n", header=PLAIN).changed("stock.csv")
    assert refused_in(stock, "flares,quay,A1,4\n") == [
        'stock.csv row 2, quantity: found "4"; wanted 5, as the book has it, or --update'
    ]
    stock("flares,quay,A1,4\n", header=PLAIN, update=True)
    assert list(hands().values()) == [4]


def refused_in(stock, rows):
    def load(folder, **options):
        return stock(rows, header=PLAIN, **options)

    return refused(load, stock.folder(rows, header=PLAIN))


def test_a_month_is_good_to_its_last_day_and_a_lot_with_another_day_is_another(stock):
    stock("flares,quay,,L-7,,06/2027,1\nflares,quay,,L-7,,2027-06-15,1\nflares,quay,,L-7,,,1\n")
    days = set(Lot.objects.values_list("mark", "expires_on"))
    assert days == {("L-7", date(2027, 6, 30)), ("L-7", date(2027, 6, 15)), ("L-7", None)}


def test_none_left_of_a_lot_is_no_fault_and_makes_none(stock):
    rows = "flares,quay,A1,L-7,,2027-06,0\n"
    stock(rows)
    assert not Lot.objects.exists()
    assert not stock(rows).changed("stock.csv")


def test_a_unit_that_was_moved_since_is_asked_about_until_both_places_are_counted(stock, load, now):
    stock("alt,quay,A1,,0042,,1\n")
    spare, lot = Spare.objects.get(code="alt"), Lot.objects.get()
    shelf = Place.objects.get(code="A1")
    kit = Place.objects.create(code="dunlin", name="Kit", boat=Boat.objects.get(code="dunlin"), sort="aboard")
    at = {"day": now.date(), "at": now}
    move_stock(spare, why="moved", quantity=1, from_place=shelf, to_place=kit, lot=lot, **at)
    folder = stock.folder("alt,quay,A1,,0042,,1\n")
    assert refused(load, folder, update=True) == [
        "stock.csv row 2, serial: found 1 at dunlin, 1 at quay A1;"
        " wanted one unit at one place, and 0 of it at any other"
    ]
    stock("alt,quay,A1,,0042,,1\nalt,dunlin,,,0042,,0\n", update=True)
    assert sorted(hands().values()) == [0, 1]


def test_a_box_lies_in_its_shelf_and_a_bag_in_its_locker(stock):
    rows = "flares,quay,A1/3,1\nflares,quay,A1 / 4,2\nflares,quay,A1,3\nflares,dunlin,bow/bag,4\n"
    stock(rows, header=PLAIN)
    told = Place.objects.values_list("code", "parent__code", "parent__parent__code", "sort")
    assert set(told) == {
        ("quay", None, None, "store"),
        ("A1", "quay", None, "shelf"),
        ("3", "A1", "quay", "shelf"),
        ("4", "A1", "quay", "shelf"),
        ("dunlin", None, None, "aboard"),
        ("bow", "dunlin", None, "locker"),
        ("bag", "bow", "dunlin", "locker"),
    }
    before = everything()
    assert not stock(rows, header=PLAIN).changed("stock.csv")
    assert everything() == before


def test_a_shelf_whose_own_name_has_a_stroke_stays_that_shelf(stock):
    stock("flares,quay,A1,1\n", header=PLAIN)
    store = Place.objects.get(code="quay")
    Place.objects.create(code="1/2 inch", name="1/2 inch", parent=store, base=store.base, sort="shelf")
    stock("flares,quay,1/2 inch,2\n", header=PLAIN)
    assert Place.objects.filter(parent=store).count() == 2
    assert not Place.objects.filter(parent__parent=store).exists()


def test_a_box_given_twice_in_two_writings_is_one(stock, load):
    folder = stock.folder("flares,quay,A1/3,1\nflares,quay,A1 /3,1\n", header=PLAIN)
    assert refused(load, folder) == [
        "stock.csv row 3, spare: found the same spare and store and place as in row 2; wanted each once"
    ]
