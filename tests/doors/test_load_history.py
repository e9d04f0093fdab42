"""What --update leaves in the ledgers: the new row stands, the old one is kept beside it."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.boats.models import BoatTerms, Fitting, PrintedDate
from fleet.charters.models import Charter, CharterBoat
from fleet.ledger import correction
from fleet.meters.models import Reading
from maintenance.servicing.models import Service, ServiceInterval
from maintenance.spares.facts import hands
from maintenance.spares.models import Spare, StockMove
from tests.doors.folders import HARBOUR, harbour_with, refused, write_folder

CHARTER = "charter,boat,starts_on,ends_on,cancelled\n"


def rows_and_standing(model):
    return model.objects.count(), model.objects.standing().count()


@pytest.mark.parametrize(
    ("model", "file", "key", "cells", "more", "stand"),
    [
        (BoatTerms, "boats", ("007",), {"persons": "6"}, 1, 0),
        (BoatTerms, "boats", ("007",), {"name": "Avocet II"}, 0, 0),
        (Fitting, "components", ("imp-2",), {"removed_on": "2026-05-20"}, 1, 0),
        (Fitting, "components", ("imp-2",), {"serial": "0008"}, 0, 0),
        (Fitting, "fittings", ("imp-1",), {"position": "left hand"}, 1, 0),
        (PrintedDate, "components", ("raft-1",), {"expires_on": "2028-06"}, 1, 0),
        (PrintedDate, "components", ("raft-1",), {"expires_on": ""}, 1, -1),
        (PrintedDate, "components", ("imp-2",), {"expires_on": "2026-06"}, 1, 1),
        (Service, "services", ("imp-1",), {"hours": "1151"}, 1, 0),
        (Reading, "services", ("imp-1",), {"hours": "1151"}, 2, 0),
        (Reading, "services", ("imp-1",), {"hours": ""}, 1, -1),
        (Reading, "readings", ("dunlin", "port", "2026-05-01"), {"new_meter": "yes"}, 1, 0),
        (StockMove, "stock", ("imp-kit", "quay"), {"quantity": "3"}, 1, 1),
        (StockMove, "stock", ("imp-kit", "quay"), {"allowance": "3"}, 0, 0),
        (CharterBoat, "charters", ("0104",), {"boat": "007"}, 3, 1),
        (CharterBoat, "charters", ("0104",), {"berth": "C1"}, 0, 0),
    ],
)
def test_nothing_is_ever_taken_out_of_a_ledger(load, tmp_path, model, file, key, cells, more, stand):
    load(HARBOUR)
    before, standing = rows_and_standing(model)
    old = list(model.objects.order_by("pk").values())
    load(harbour_with(tmp_path / "new", file, key, cells), update=True)
    assert rows_and_standing(model) == (before + more, standing + stand)
    assert list(model.objects.order_by("pk").values()[:before]) == old


def test_the_row_before_an_update_can_still_be_asked_for(load, now, tmp_path):
    load(HARBOUR, at=now.replace(hour=9))
    load(harbour_with(tmp_path / "new", "components", ("imp-2",), {"removed_on": "2026-05-20"}), update=True)
    stay = Fitting.objects.standing().get(component__code="imp-2")
    earlier = Fitting.objects.standing(known_at=now.replace(hour=12)).get(component__code="imp-2")
    assert (stay.removed_on, earlier.removed_on) == (date(2026, 5, 20), None)
    assert stay.replaces == earlier


def test_a_printed_date_that_could_not_be_read_is_replaced_by_one_that_can(load, now, tmp_path):
    load(HARBOUR)
    last = PrintedDate.objects.standing().get()
    correction(last, at=now, as_written="", good_through=None, state=PrintedDate.State.ILLEGIBLE)
    load(HARBOUR, update=True)
    read = PrintedDate.objects.standing().get()
    assert (read.state, read.good_through) == ("read", date(2027, 6, 30))


def test_a_cancelled_charter_can_be_taken_up_again(load, tmp_path):
    load(HARBOUR)
    cells = {"cancelled": "", "starts_on": "2026-06-20", "ends_on": "2026-06-27"}
    load(harbour_with(tmp_path / "new", "charters", ("0103",), cells), update=True)
    assert Charter.objects.get(code="0103").cancelled_at is None


def test_a_cancelled_charter_taken_up_into_another_is_refused(load, tmp_path):
    load(HARBOUR)
    lines = refused(load, harbour_with(tmp_path / "n", "charters", ("0103",), {"cancelled": ""}), update=True)
    assert lines == [
        "charters.csv row 5, starts_on: found 0104 from 2026-06-06 while 0103 has the boat to 2026-06-13;"
        " wanted a start on or after 2026-06-13"
    ]


def test_two_charters_may_change_boats_with_each_other(load, tmp_path):
    load(HARBOUR)
    rows = f"{CHARTER}0102,dunlin,2026-06-06,2026-06-20,\n0104,007,2026-06-06,2026-06-20,\n"
    load(write_folder(tmp_path / "1", {"charters": rows}), update=True)
    swapped = rows.replace("dunlin", "x").replace("007", "dunlin").replace("x", "007")
    load(write_folder(tmp_path / "2", {"charters": swapped}), update=True)
    boats = dict(Charter.objects.values_list("code", "boat__code"))
    assert (boats["0102"], boats["0104"]) == ("007", "dunlin")


def test_a_charter_moved_onto_another_one_is_refused_in_words(load, tmp_path):
    load(HARBOUR)
    rows = f"{CHARTER}0104,007,2026-06-01,2026-06-20,\n"
    (line,) = refused(load, write_folder(tmp_path, {"charters": rows}), update=True)
    assert line.startswith(
        "charters.csv row 2, starts_on: found 0104 from 2026-06-01 while 0102 has the boat to 2026-06-06"
    )


def test_columns_that_an_update_does_not_have_are_left_as_they_are(load, tmp_path):
    load(HARBOUR)
    files = {
        "spares": "spare,name\nimp-kit,Kit\n",
        "boats": "boat,name,base\n007,Avocet II,quay\n",
        "components": "component,boat,kind,fitted_on,serial\nimp-2,dunlin,impeller,2025-05-02,8\n",
        "charters": "charter,boat,starts_on,ends_on\n0103,dunlin,2026-06-05,2026-06-12\n",
    }
    load(write_folder(tmp_path, files), update=True)
    spare = Spare.objects.get(code="imp-kit")
    assert (spare.name, spare.kind.code, spare.part_number) == ("Kit", "impeller", "0009-1")
    assert BoatTerms.objects.standing().get(boat__code="007").persons == 8
    stay = Fitting.objects.standing().get(component__code="imp-2")
    assert (stay.fitted_on, stay.meter.name) == (date(2025, 5, 2), "port")
    assert Charter.objects.get(code="0103").cancelled_at is not None


def test_a_file_without_the_new_meter_column_still_speaks_of_the_same_readings(load, tmp_path):
    load(HARBOUR)
    rows = "boat,meter,taken_on,hours\n007,main,2026-05-20,3.5\n"
    assert load(write_folder(tmp_path, {"readings": rows})).tallies["readings.csv"].same == 1


def test_an_old_meter_may_end_where_the_new_one_starts(load, tmp_path):
    load(HARBOUR)
    rows = "boat,meter,taken_on,hours,new_meter\n007,main,2026-05-20,3.5,yes\n007,main,2026-05-20,1250.5,\n"
    rows += "dunlin,port,2026-05-02,901,\ndunlin,port,2026-05-02,901,yes\n"
    tally = load(write_folder(tmp_path, {"readings": rows})).tallies["readings.csv"]
    assert (tally.new, tally.same) == (3, 1)


def test_what_an_interval_settles_is_the_same_in_any_order_or_twice(load, tmp_path):
    load(HARBOUR)
    cells = {"settles": "impeller-wash  impeller-look impeller-wash"}
    book = load(harbour_with(tmp_path / "new", "intervals", ("impeller-replace",), cells))
    assert not book.changed("intervals.csv")
    assert ServiceInterval.objects.get(code="impeller-replace").settles.count() == 2


def test_none_held_and_none_wanted_is_known_the_second_time(load):
    load(HARBOUR)
    assert not load(HARBOUR).changed("stock.csv")


def test_a_count_below_what_the_book_has_is_one_move_out(load, tmp_path):
    load(HARBOUR)
    load(harbour_with(tmp_path / "new", "stock", ("imp-kit", "quay"), {"quantity": "1.5"}), update=True)
    move = StockMove.objects.latest("pk")
    assert (move.why, move.quantity, move.to_place) == ("counted", Decimal("2.5"), None)
    kits = Spare.objects.get(code="imp-kit").pk
    held = sorted(many for (spare, _), many in hands().items() if spare == kits)
    assert held == [Decimal(1), Decimal("1.5")]
