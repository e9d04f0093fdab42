"""What runs out of the parts in store and aboard: the first one first, found by words, printed, as CSV."""

import csv
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from maintenance.spares.actions import use_spare
from maintenance.spares.astray import miss
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Lot, Spare
from maintenance.spares.moving import move_stock
from tests.cast import NOW, TODAY
from tests.doors.sheets import said

WHERE = "/at/harbour/spares/lots/"


@pytest.fixture
def came(cast):
    """So many of a lot came to a place; `good` is how many days ahead its last good day lies."""

    def came(spare: str, quantity: str, place: str, good: int | None, **marked: str) -> Lot:
        day = None if good is None else TODAY + timedelta(good)
        lot = keep_lot(cast.spare[spare], Marked(expires_on=day, **marked))
        kept = {"quantity": Decimal(quantity), "day": TODAY, "at": NOW}
        move_stock(cast.spare[spare], why="received", to_place=cast.place[place], lot=lot, **kept)
        return lot

    return came


@pytest.fixture
def stock(came):
    """One long good in the store, one run out aboard, one good to today, one whose day nobody said."""
    came("gas bottle", "4", "store", 40, mark="B2")
    came("oil", "2.5", "sandpiper locker", -16, mark="A7")
    came("impeller kit", "1", "store", 0, serial="0041")
    came("gas bottle", "6", "store", None, mark="C3")


def table(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_the_first_to_run_out_leads_and_what_ran_out_is_said_in_words(stock, engineer):
    text = said(engineer.get(WHERE))
    assert "Three lines carry a last good day; one line ran out. The next is good to Thu 28 May." in text
    rows = [
        "oil Lot A7 Tue 12 May 2026 ran out 16 days ago Sandpiper locker 2.5 l",
        "impeller kit No. 0041 Thu 28 May 2026 today is its last good day Store 1",
        "gas bottle Lot B2 Tue 7 Jul 2026 good for 40 more days Store 4",
    ]
    places = [text.index(row) for row in rows]
    assert places == sorted(places)
    assert "C3" not in text


def test_what_is_good_for_long_is_said_to_be_good_without_counting_the_days(came, engineer):
    came("oil", "1", "store", 90, mark="A")
    came("oil", "1", "store", 91, mark="B")
    text = said(engineer.get(WHERE))
    assert "Wed 26 Aug 2026 good for 90 more days" in text
    assert "Thu 27 Aug 2026 good Store" in text


@pytest.mark.parametrize(
    ("asked", "found"),
    [("b2", ["B2"]), ("SANDPIPER oil", ["A7"]), ("0041", [""]), ("store", ["", "B2"]), ("anchor", [])],
)
def test_it_is_found_by_the_words_of_part_mark_and_place_in_the_table_too(stock, engineer, asked, found):
    assert [row["lot"] for row in table(engineer.get(WHERE, {"find": asked, "format": "csv"}))] == found
    text = said(engineer.get(WHERE, {"find": asked}))
    assert f"Only what has these words: {asked}" in text
    assert ("Nothing with a last good day has all these words" in text) is (not found)


def test_as_a_table_each_line_says_all_of_it(stock, engineer):
    answer = engineer.get(WHERE, {"format": "csv"})
    assert 'filename="lots-harbour-2026-05-28.csv"' in answer["Content-Disposition"]
    assert [row["state"] for row in table(answer)] == ["ran out", "good", "good"]
    assert table(answer)[0] == {
        "spare": "oil",
        "name": "oil",
        "part_number": "",
        "lot": "A7",
        "serial": "",
        "where": "Sandpiper locker",
        "boat": "Sandpiper",
        "quantity": "2.5",
        "unit": "l",
        "good_to": "2026-05-12",
        "state": "ran out",
    }


def test_a_mark_that_looks_like_a_formula_is_none_in_the_table(came, engineer):
    came("oil", "1", "store", 3, mark="=1+1")
    assert table(engineer.get(WHERE, {"format": "csv"}))[0]["lot"] == "'=1+1"


def test_what_is_used_up_is_not_on_it_and_what_is_looked_for_says_so(cast, came, engineer):
    gone, lost = came("oil", "2", "store", 3, mark="A"), came("gas bottle", "2", "store", 3, mark="B")
    use_spare(gone.spare, cast.place["store"], quantity=Decimal(2), day=TODAY, at=NOW, lot=gone)
    miss(lost.spare, cast.place["store"], quantity=Decimal(2), day=TODAY, at=NOW, lot=lost)
    text = said(engineer.get(WHERE))
    assert "Lot A" not in text
    assert "good for three more days Not where it should be: looked for 2" in text


def test_another_bases_lots_are_not_here(came, engineer):
    came("oil", "2", "far store", 3, mark="FAR")
    text = said(engineer.get(WHERE))
    assert "Nothing on the book in store or aboard carries a last good day." in text
    assert "FAR" not in text


def test_flares_run_out_are_explosives_and_the_page_says_what_to_do(came, engineer):
    Spare.objects.filter(code="gas bottle").update(name="Hand flare, red")
    came("gas bottle", "2", "store", 3, mark="F1")
    assert "Expired flares are explosives" not in said(engineer.get(WHERE))
    came("gas bottle", "2", "store", -3, mark="F0")
    assert "Expired flares are explosives: keep them apart, never fire them" in said(engineer.get(WHERE))


def test_too_long_a_word_is_refused_by_name_and_makes_no_table(stock, engineer):
    for asked in ({"find": "x" * 81}, {"find": "x" * 81, "format": "csv"}):
        answer = engineer.get(WHERE, asked)
        assert answer.status_code == 422
        assert "80" in said(answer)


def test_it_asks_the_same_number_of_questions_however_much_lies_there(came, engineer):
    def questions() -> int:
        with CaptureQueriesContext(connection) as asked:
            engineer.get(WHERE)
        return len(asked)

    came("oil", "1", "store", 3, mark="A")
    few = questions()
    for number in range(12):
        came("gas bottle", "1", ("store", "sandpiper locker")[number % 2], number, mark=f"B{number}")
    assert questions() == few


def test_the_spares_and_the_safety_dates_lead_here(engineer, cast):
    assert (
        f'<a href="{WHERE}">What runs out</a>'
        in engineer.get(reverse("spares", args=["harbour"])).content.decode()
    )
    assert (
        f'<a href="{WHERE}">In the store and the kits: what runs out</a>'
        in engineer.get(reverse("safety", args=["harbour"])).content.decode()
    )
