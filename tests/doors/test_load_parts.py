"""What is said of parts: numbers that superseded others, what they fit, cost and stand for."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest

from fleet.boats.models import Component
from maintenance.exchange.spares import Spares
from maintenance.ordering.money import Money, price_of
from maintenance.ordering.prices import prices_of
from maintenance.pages.csv_out import as_table
from maintenance.spares.facts import allowances
from maintenance.spares.fits import Fit, fits
from maintenance.spares.models import Allowance, Price, Spare, SpareFit
from maintenance.spares.stand_ins import says_of, stand_ins, thing_of
from tests.doors.folders import HARBOUR, everything, refused, write_folder

BASE = "base,name,timezone\nquay,Old Quay,Europe/Lisbon\n"
SUPERSEDED = "spare,name,superseded_by\n"
# What a spreadsheet would make something else of: a number, a power of ten, a day, a sum, a formula.
AWKWARD = (
    *("0041", "06E2", "3-4", "1/2", "1,5", "1;5", '5" hose', "+351", "-7", "=2+3", "@home", "'=x", "''-1"),
    *("'tis", "TRUE", "1E+05", "00", "Żaba", "a, b; c"),
)


def spares(rows: str) -> dict[str, str]:
    return {"bases": BASE, "spares": rows}


def test_a_newer_number_may_stand_below_the_older_one_and_in_the_book(load, tmp_path):
    load(write_folder(tmp_path / "one", spares(SUPERSEDED + "a,A,b\nb,B,\n")))
    load(write_folder(tmp_path / "two", {"spares": SUPERSEDED + "c,C,a\n"}))
    by = dict(Spare.objects.values_list("code", "superseded_by__code"))
    assert by == {"a": "b", "b": None, "c": "a"}


def test_a_ring_that_closes_through_the_book_is_refused(load, tmp_path):
    load(write_folder(tmp_path / "one", spares(SUPERSEDED + "a,A,b\nb,B,c\nc,C,\n")))
    lines = refused(load, write_folder(tmp_path / "two", {"spares": SUPERSEDED + "c,C,a\n"}), update=True)
    wanted = "a newer part, which this one does not supersede itself"
    assert lines == [f'spares.csv row 2, superseded_by: found "a"; wanted {wanted}']


def test_a_file_turned_round_is_no_ring(load, tmp_path):
    load(write_folder(tmp_path / "one", spares(SUPERSEDED + "a,A,b\nb,B,\n")))
    load(write_folder(tmp_path / "two", {"spares": SUPERSEDED + "a,A,\nb,B,a\n"}), update=True)
    assert dict(Spare.objects.values_list("code", "superseded_by__code")) == {"a": None, "b": "a"}


def test_a_file_without_the_column_leaves_what_superseded_what(load, tmp_path):
    load(write_folder(tmp_path / "one", spares(SUPERSEDED + "a,A,b\nb,B,\n")))
    load(write_folder(tmp_path / "two", {"spares": "spare,name\na,A2\n"}), update=True)
    assert Spare.objects.get(code="a").superseded_by.code == "b"
    assert Spare.objects.get(code="a").name == "A2"


def test_packs_and_exchange_parts_are_as_usual_where_nothing_is_said(load):
    load(HARBOUR)
    told = Spare.objects.order_by("code").values_list("code", "pack_of", "exchange", "maker")
    assert list(told) == [
        ("0008", 1, False, ""),
        ("alt-90", 1, True, ""),
        ("flares", 1, False, ""),
        ("imp-kit", 2, False, "Norring"),
    ]


def test_what_is_said_to_fit_is_held_against_the_plate_of_the_thing_aboard(load):
    load(HARBOUR)
    kit, thing = Spare.objects.get(code="imp-kit"), Component.objects.get(code="imp-1")
    assert (thing.maker, thing.model, thing.serial) == ("Norring", "N2-30", "00042")
    assert fits(says_of([kit.pk])[kit.pk], thing_of(thing)) is Fit.YES
    older = Component.objects.get(code="imp-2")  # 0007 is before 00040, whoever made it
    assert fits(says_of([kit.pk])[kit.pk], thing_of(older)) is Fit.NO
    assert SpareFit.objects.get(spare=kit).source == "the maker's list"


def test_another_part_may_be_used_instead_and_the_older_number_too(load):
    load(HARBOUR)
    kit = Spare.objects.get(code="imp-kit")
    (found,) = stand_ins([kit.pk])[kit.pk]
    assert found.spare.code == "0008"
    assert found.why == "its older number" or found.why.startswith("instead: The old number fits")


def test_a_price_holds_from_its_day_for_who_buys_as_many(load):
    load(HARBOUR)
    kit = Spare.objects.get(code="imp-kit")
    asks = prices_of([kit.pk], base=1)[kit.pk]
    day = date(2026, 5, 28)
    assert price_of(asks, on=day, quantity=Decimal(9)) == Money(Decimal("21.9"), "EUR")
    assert price_of(asks, on=day, quantity=Decimal(10)) == Money(Decimal("18.6525"), "EUR")
    assert price_of(asks, on=date(2025, 12, 31)) is None


def test_a_price_of_a_day_to_come_is_taken_with_its_decimal_comma(load, tmp_path):
    prices = "spare;from_on;each;currency\na;2027-01-01;1250,5;EUR\n"
    load(write_folder(tmp_path, spares("spare,name\na,A\n") | {"prices": prices}))
    price = Price.objects.get()
    assert (price.each, price.least, price.supplier) == (Decimal("1250.5"), 1, "")


@pytest.mark.parametrize("currency", ["EU", "EURO", "€", "ÉUR", "EUR EUR"])
def test_a_currency_is_three_capital_letters(load, tmp_path, currency):
    prices = f"spare,from_on,each,currency\na,2026-01-01,1,{currency}\n"
    (line,) = refused(load, write_folder(tmp_path, spares("spare,name\na,A\n") | {"prices": prices}))
    assert line.endswith(f'currency: found "{currency}"; wanted three capital letters such as EUR')


def test_a_class_s_allowance_is_that_of_each_of_its_kits_and_a_boat_s_own_goes_before_it(load, now, tmp_path):
    boats = "boat,name,base,design\na,A,quay,Tern 38\nb,B,quay,Tern 38\nc,C,quay,Snipe 30\n"
    stock = "spare,store,quantity,allowance\nkit,a,1,\nkit,b,1,5\nkit,c,1,\n"
    files = spares("spare,name\nkit,Kit\n") | {"boats": boats, "stock": stock}
    folder = write_folder(tmp_path, files | {"allowances": "design,spare,quantity\nTern 38,kit,2\n"})
    load(folder)
    assert sorted(allowances(on=now.date()).values()) == [2, 5]
    before = everything()
    load(folder)
    assert everything() == before
    write_folder(tmp_path, {"allowances": "design,spare,quantity\nTern 38,kit,3\n"})
    load(folder, update=True)
    assert sorted(allowances(on=now.date()).values()) == [3, 5]
    assert Allowance.objects.filter(place=None).count() == 1


def test_a_design_of_a_boat_with_a_fault_of_her_own_gets_none(load, tmp_path):
    boats = "boat,name,base,design\na,,quay,Tern 38\n"
    said = "design,spare,quantity\nTern 38,kit,2\n"
    files = spares("spare,name\nkit,Kit\n") | {"boats": boats, "allowances": said}
    assert refused(load, write_folder(tmp_path, files)) == [
        "boats.csv row 2, name: found nothing; wanted a value: this column may not be blank"
    ]


@pytest.mark.parametrize("how", ["utf-8-sig", "utf-16"])
@pytest.mark.parametrize("parted", [",", ";"])
def test_every_awkward_cell_comes_back_whole_from_a_table_of_ours(load, tmp_path, how, parted):
    """Written as our pages write a table, once as it is and once as a spreadsheet saves it again."""
    for n, cell in enumerate(AWKWARD):
        said = {"part_number": cell, "supplier": cell, "maker": cell, "unit": cell}
        Spare.objects.create(code=cell, name=cell, pack_of=Decimal("2.5") if n else 1, **said)
    before = everything()
    table = as_table("spares", list(Spares.columns), _as_a_file_says_them()).content.decode("utf-8-sig")
    out = io.StringIO(newline="")
    for row in csv.reader(io.StringIO(table, newline="")):
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row)
        number = row.index("2.5") if parted == ";" and "2.5" in row else None
        csv.writer(out, delimiter=parted).writerow("2,5" if n == number else c for n, c in enumerate(row))
    load(write_folder(tmp_path, {"bases": BASE}))
    before |= {name: rows for name, rows in everything().items() if "spare" not in name.lower()}
    book = load(write_folder(tmp_path, {"spares": out.getvalue().encode(how)}))
    assert (book.tallies["spares.csv"].same, book.faults) == (len(AWKWARD), [])
    assert everything() == before
    Spare.objects.all().delete()
    load(tmp_path)
    assert sorted(Spare.objects.values_list("code", "part_number")) == sorted((c, c) for c in AWKWARD)


def _as_a_file_says_them():
    sheet = Spares()
    for (code,), says in sheet.known((), None).items():
        row = {"spare": code} | {name: says[name] for name in sheet.columns if name != "spare"}
        yield [("yes" if cell else "") if isinstance(cell, bool) else cell for cell in row.values()]
