"""Loading good folders: however a spreadsheet wrote them, the book says the same."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.bases.models import Base
from fleet.boats.models import Boat, Component, PrintedDate
from fleet.charters.models import Charter
from fleet.exchange.sheet import Tally
from fleet.meters.models import Reading
from maintenance.exchange.folder import load_folder
from maintenance.servicing.models import Due, Service, ServiceInterval
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare
from tests.conftest import FIXTURES
from tests.doors.folders import HARBOUR, everything, write_folder
from tests.reference.random_fleet import write_random_fleet

SPREADSHEET = FIXTURES / "good" / "spreadsheet"
BASE = "base,name,timezone\nquay,Old Quay,Europe/Lisbon\n"
BOAT = "boat,name,base\ndunlin,Dunlin,quay\n"
METER = "boat,meter\ndunlin,main\n"


def test_a_folder_tells_how_many_rows_of_each_file_are_new(load):
    book = load(HARBOUR)
    assert {file: tally.new for file, tally in book.tallies.items()} == {
        "bases.csv": 2, "boats.csv": 2, "meters.csv": 3, "kinds.csv": 2, "components.csv": 3,
        "fittings.csv": 1, "readings.csv": 7, "charters.csv": 5, "spares.csv": 4, "fits.csv": 2,
        "instead.csv": 1, "prices.csv": 3, "intervals.csv": 4, "interval_spares.csv": 1, "services.csv": 3,
        "stock.csv": 8, "allowances.csv": 2,
    }  # fmt: skip


def test_leading_zeros_are_kept_in_every_identifier(load):
    load(HARBOUR)
    assert Boat.objects.filter(code="007").exists()
    assert Component.objects.get(code="imp-1").serial == "00042"
    assert Charter.objects.filter(code="0101").exists()
    assert Spare.objects.get(code="imp-kit").part_number == "0009-1"


def test_blank_cells_become_the_usual_values(load):
    load(HARBOUR)
    creek, dunlin = Base.objects.get(code="creek"), Boat.objects.get(code="dunlin")
    assert (creek.workday_minutes, creek.boat_minutes, creek.phone) == (480, 75, "")
    assert (dunlin.design, dunlin.built, dunlin.fuel_l) == ("", None, None)
    assert ServiceInterval.objects.get(code="impeller-wash").counts_from == "done"


def test_every_interval_of_what_is_fitted_gets_a_due_line(load):
    load(HARBOUR)
    lines = sorted(Due.objects.values_list("component__code", "interval__code"))
    of_kind = ("impeller-look", "impeller-replace", "impeller-wash")
    parts = [(part, interval) for part in ("imp-1", "imp-2") for interval in of_kind]
    assert lines == [*parts, ("raft-1", "raft-service")]


def test_stock_lies_where_the_file_says(load, now):
    load(HARBOUR)
    kits = Spare.objects.get(code="imp-kit").pk
    held = sorted(many for (spare, _), many in hands().items() if spare == kits)
    should = sorted(many for (spare, _), many in allowances(on=now.date()).items() if spare == kits)
    assert (held, should) == ([Decimal(1), Decimal(4)], [Decimal(1), Decimal(6)])


def test_a_service_and_its_dial_are_kept_together(load):
    load(HARBOUR)
    service = Service.objects.get(component__code="imp-2")
    assert (service.reading.dial, service.reading.noted) == (Decimal("900.50"), True)
    assert Service.objects.get(component__code="raft-1").reading is None


def test_a_month_printed_on_a_raft_is_good_to_its_last_day(load):
    load(HARBOUR)
    printed = PrintedDate.objects.get()
    assert (printed.as_written, printed.good_through) == ("2027-06", date(2027, 6, 30))


def test_the_spreadsheet_folder_is_as_awkward_as_it_is_meant_to_be():
    data = (SPREADSHEET / "intervals.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in data
    assert b'"Replace the\r\nimpeller"' in data
    assert b"12,5" in data
    assert data.split(b"\r\n", 1)[0].split(b";") != (HARBOUR / "intervals.csv").read_bytes().split(b"\n")[0]


def test_semicolons_decimal_commas_bom_crlf_and_another_order_say_the_same(load):
    load(HARBOUR)
    before = everything()
    book = load(SPREADSHEET)
    assert not any(tally.new or tally.changed for tally in book.tallies.values())
    assert everything() == before


@pytest.mark.parametrize("name", ["harbour", "spreadsheet", "bare"])
def test_loading_twice_changes_nothing(load, name):
    load(FIXTURES / "good" / name)
    before = everything()
    book = load(FIXTURES / "good" / name)
    assert not any(book.changed(file) for file in book.tallies)
    assert everything() == before


@pytest.mark.parametrize("seed", range(4))
def test_loading_any_fleet_twice_changes_nothing(load, now, tmp_path, seed):
    write_random_fleet(tmp_path, seed)
    at = now.replace(year=2026, month=11)
    load(tmp_path, at=at)
    before = everything()
    load(tmp_path, at=at)
    assert everything() == before


def test_files_that_are_missing_are_not_missed(load):
    book = load(FIXTURES / "good" / "bare")
    assert list(book.tallies) == ["bases.csv", "boats.csv"]


def test_a_later_folder_may_name_what_the_book_has(load, tmp_path):
    load(FIXTURES / "good" / "bare")
    readings = "boat,meter,taken_on,hours\ndunlin,main,2026-05-28,12\n"
    load(write_folder(tmp_path, {"meters": METER, "readings": readings}))
    assert Reading.objects.get().dial == 12


def test_a_file_with_a_header_only_has_no_rows(load, tmp_path):
    book = load(write_folder(tmp_path, {"bases": "base,name,timezone\r\n"}))
    assert book.tallies == {"bases.csv": Tally()}


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines_may_end_as_any_machine_ends_them(load, tmp_path, ending):
    load(write_folder(tmp_path, {"bases": BASE.replace("\n", ending), "boats": BOAT.replace("\n", ending)}))
    assert Boat.objects.get().name == "Dunlin"


def test_a_last_line_without_an_end_is_read(load, tmp_path):
    load(write_folder(tmp_path, {"bases": BASE.rstrip()}))
    assert Base.objects.count() == 1


def test_blank_lines_and_blank_cells_at_the_end_are_nothing(load, tmp_path):
    rows = "\n\nbase,name,timezone,,\n\n,,,,\nquay,Old Quay,Europe/Lisbon,,\n\n , \n"
    load(write_folder(tmp_path, {"bases": rows}))
    assert Base.objects.get().name == "Old Quay"


def test_space_around_a_cell_is_not_part_of_it(load, tmp_path):
    load(write_folder(tmp_path, {"bases": "base, name ,timezone\n quay ,\tOld Quay ,Europe/Lisbon\xa0\n"}))
    assert (Base.objects.get().code, Base.objects.get().name) == ("quay", "Old Quay")


def test_a_quoted_line_break_in_a_name_becomes_a_space(load, tmp_path):
    load(
        write_folder(tmp_path, {"bases": 'base,name,timezone\nquay,"Old\r\nQuay, ""north""",Europe/Lisbon\n'})
    )
    assert Base.objects.get().name == 'Old Quay, "north"'


def test_a_word_is_one_word_however_its_accents_are_put_together(load, tmp_path):
    composed, apart = "\u017daba", "Z\u030caba"
    files = {
        "bases": f"base,name,timezone\n{composed},Frog,Europe/Lisbon\n",
        "boats": f"boat,name,base\nb,B,{apart}\n",
    }
    assert load(write_folder(tmp_path, files)).tallies["boats.csv"].new == 1


def test_today_is_the_latest_day_at_any_base(load, now, tmp_path):
    """At 13:00 UTC on the 28th it is the 29th already at UTC+14."""
    far = BASE.replace("Europe/Lisbon", "Pacific/Kiritimati")
    readings = "boat,meter,taken_on,hours\ndunlin,main,2026-05-29,12\n"
    folder = write_folder(tmp_path, {"bases": far, "boats": BOAT, "meters": METER, "readings": readings})
    assert load_folder(folder, at=now).today == date(2026, 5, 29)
