"""What to take to a boat, on its page and as a slip for the counter; what the week says of parts too late."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.defects.actions import report_defect
from maintenance.spares.actions import count_stock
from maintenance.spares.keeping import keep_fit
from maintenance.spares.models import SpareFit
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said, sheet_with


@pytest.fixture
def where(cast):
    return reverse("take-along", args=["harbour", cast.boat["sandpiper"].pk])


@pytest.fixture
def plate(cast):
    """The impeller's plate as it was written down, and a part for it whose number was superseded."""
    part, kit = cast.part["sandpiper impeller"], cast.spare["impeller kit"]
    part.maker, part.model, part.serial = "Norrvik Diesel", "N4-38", "00E-2311"
    part.save()
    kit.part_number = "0041-7"
    kit.superseded_by = make.SpareFactory(code="newer", name="newer kit", part_number="0041-8")
    kit.save()
    return part


def test_her_listed_jobs_are_ticked_and_their_parts_stand_below_with_where_they_lie(cast, engineer, where):
    page = engineer.get(where)
    assert "She leaves Sat 30 May 17:00: what falls due before she is back on Sat 6 Jun" in said(page)
    ticked = sheet_with(page, "Show the parts").values["line"]
    assert cast.line("sandpiper engine-oil", "change") in ticked
    assert cast.line("sandpiper impeller", "replace") not in ticked
    assert "oil 4.5 l Store: 20" in said(page)
    assert "Maker not recorded Model not recorded Serial number not recorded" in said(page)


def test_the_slip_has_plate_position_and_the_number_it_is_ordered_by_now(cast, engineer, where, plate):
    report_defect(cast.boat["sandpiper"], words="Weeps", at=NOW, component=plate)
    keep_fit(SpareFit(spare=cast.spare["impeller kit"], kind=plate.kind))
    text = said(engineer.get(where))
    slip = text.split("For Sandpiper, Thu 28 May 2026")[1]
    assert "Maker Norrvik Diesel Model N4-38 Serial number 00E-2311" in slip
    assert "0041-8" in slip
    assert "newer number for 0041-7" in slip
    assert "Fits, by its list" in slip
    assert "defect: Weeps" in slip
    assert "____ Store: 1 Sandpiper locker: 1" in slip


def test_what_does_not_fit_is_loud_and_what_may_says_to_read_the_plate(cast, engineer, where, plate):
    cast.interval["look"].spares.create(spare=cast.spare["impeller kit"], quantity=1)
    keep_fit(SpareFit(spare=cast.spare["impeller kit"], kind=plate.kind, serial_to="00E-2000"))
    line = {"ticked": "1", "line": cast.line("sandpiper impeller", "look")}
    page = engineer.get(where, line).content.decode()
    assert '<span class="why short">Does not fit this one, by its list' in page
    plate.serial = ""
    plate.save()
    text = said(engineer.get(where, line))
    assert "May fit: not enough is recorded of this one, read the plate first" in text


def test_only_what_is_ticked_in_the_address_is_on_the_slip(cast, engineer, where):
    page = engineer.get(where + "?ticked=1")
    assert "Nothing is ticked." in said(page)
    assert "For Sandpiper, Thu" not in said(page)
    page = engineer.get(where, {"ticked": "1", "line": cast.line("sandpiper engine-oil", "change")})
    assert sheet_with(page, "Show the parts").values["line"] == [cast.line("sandpiper engine-oil", "change")]


@pytest.mark.parametrize("typed", ["x", "0-0", "9" * 30, "\0", "-1-2"])
def test_a_tick_that_names_nothing_of_hers_is_nothing(engineer, where, typed):
    page = engineer.get(where, {"ticked": "1", "line": typed, "defect": typed})
    assert page.status_code == 200
    assert "Nothing is ticked." in said(page)


def test_more_than_there_is_for_all_that_is_ticked_is_said(cast, engineer):
    ship = cast.boat["twice shy"]
    count_stock(cast.spare["oil"], cast.place["store"], counted=Decimal(6), day=TODAY, at=NOW)
    lines = [cast.line(f"twice shy {side} engine-oil", "change") for side in ("port", "starboard")]
    page = engineer.get(reverse("take-along", args=["harbour", ship.pk]), {"ticked": "1", "line": lines})
    assert said(page).count("3 short: 9 wanted in all") == 2


def test_a_boat_with_no_charter_booked_is_asked_for_a_week(cast, engineer, where):
    cast.boat["sandpiper"].charters.update(cancelled_at=NOW)
    assert "No charter is booked: what falls due within a week is listed" in said(engineer.get(where))


def test_the_week_and_the_boats_page_lead_there(cast, engineer, where):
    assert where in engineer.get(reverse("week", args=["harbour"])).content.decode()
    assert (
        where in engineer.get(reverse("boat", args=["harbour", cast.boat["sandpiper"].pk])).content.decode()
    )


def test_the_week_says_which_parts_come_too_late_and_how_many_jobs_wait(cast, engineer):
    count_stock(cast.spare["oil"], cast.place["store"], counted=Decimal(0), day=TODAY, at=NOW)
    cast.spare["oil"].lead_days = 14
    cast.spare["oil"].save()
    page = engineer.get(reverse("week", args=["harbour"]))
    assert "Two jobs cannot have their parts in time." in said(page)
    [first] = re.findall(r'<a href="#(late-[\d-]+)">Two jobs', page.content.decode())
    assert re.findall(r'<tr id="(late-[\d-]+)"', page.content.decode())[0] == first
    assert "Oil: 4.5 missing, not ordered, here Thu 11 Jun at the earliest, after its limit" in said(page)
    assert "Oil: 4.5 missing, not ordered, here Thu 11 Jun at the earliest, after she leaves" in said(page)
    assert "Parts too late: Sandpiper Twice Shy" in said(page)


def test_a_week_with_every_part_there_says_nothing_of_it(engineer):
    page = engineer.get(reverse("week", args=["harbour"]))
    assert "in time" not in said(page)
    assert "Parts too late" not in said(page)


def test_the_week_says_what_lies_there_instead_and_what_does_not_fit(cast, engineer):
    count_stock(cast.spare["oil"], cast.place["store"], counted=Decimal(0), day=TODAY, at=NOW)
    newer = make.SpareFactory(code="oil-20", name="oil 20")
    make.ReceivedFactory(spare=newer, to_place=cast.place["store"], quantity=Decimal(40))
    cast.spare["oil"].superseded_by = newer
    cast.spare["oil"].save()
    kind = cast.part["sandpiper impeller"].kind
    keep_fit(SpareFit(spare=cast.spare["oil"], kind=kind))
    text = said(engineer.get(reverse("week", args=["harbour"])))
    assert "4.5 l oil (none on the book, does not fit by its list) or oil 20 (Store)" in text
    assert "in time" not in text
