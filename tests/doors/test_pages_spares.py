"""The page of spares: what falls short first, found by any word, counted where the book is wrong."""

import csv
import io
import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.ordering.actions import Wanted, make_order, send_order
from maintenance.ordering.facts import shelf_of
from maintenance.ordering.together import together
from maintenance.pages import spare
from maintenance.spares.actions import use_spare
from maintenance.spares.astray import miss
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Price, Spare
from maintenance.spares.moving import move_stock
from tests import factories as make
from tests.cast import NOW, TODAY


@pytest.fixture
def page(engineer, cast):
    def page(**asked) -> str:
        answer = engineer.get(reverse("spares", args=["harbour"]), asked)
        assert answer.status_code == 200
        return answer.content.decode()

    return page


def test_each_part_says_where_it_lies_how_many_to_hold_and_why(page):
    html = page()
    assert "3 parts; none falls short." in html
    assert "Store: 20" in html
    assert "The due list takes 9 in the next 21 days" in html
    assert "Lead time not known: 14 days taken" in html
    assert "The base&#x27;s own number, until a season of use is recorded." in html


def test_what_falls_short_is_said_and_what_the_book_cannot_have_is_to_be_counted(cast, page):
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(21), day=TODAY, at=NOW)
    html = page()
    assert "<b>1 falls short.</b>" in html
    assert "Store: −1, to count" in html
    assert html.index(cast.spare["oil"].name) < html.index(cast.spare["gas bottle"].name)


@pytest.mark.parametrize("asked", ["OIL", " oil ", "0041 oil", "morgado 0041"])
def test_a_part_is_found_by_all_the_words_of_its_name_number_or_supplier(cast, page, asked):
    Spare.objects.filter(code="oil").update(part_number="0041-7", supplier="Chandlery Morgado")
    html = page(find=asked)
    assert "1 part found; none falls short." in html
    assert "0041-7" in html
    assert "All of them" in html


def test_nothing_found_says_so(page):
    assert "No part has all these words" in page(find="anchor")


def test_too_long_a_word_is_refused_by_name(engineer):
    answer = engineer.get(reverse("spares", args=["harbour"]), {"find": "x" * 81})
    assert answer.status_code == 422
    assert "80" in answer.content.decode()


def test_a_base_without_a_spare_is_told_what_to_do(sign_in):
    html = sign_in("stranger").get(reverse("spares", args=["elsewhere"])).content.decode()
    assert "No spare is on the book yet" in html


def test_every_page_leads_to_it(engineer):
    assert (
        reverse("spares", args=["harbour"])
        in engineer.get(reverse("week", args=["harbour"])).content.decode()
    )


def test_the_same_as_a_table_in_which_nothing_is_a_formula(cast, engineer):
    Spare.objects.filter(code="oil").update(name="=1+1", part_number="06E2", lead_days=4)
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(21), day=TODAY, at=NOW)
    answer = engineer.get(reverse("spares", args=["harbour"]), {"format": "csv", "find": "oil"})
    assert answer["Content-Disposition"] == 'attachment; filename="spares-harbour-2026-05-28.csv"'
    [row] = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    why = row.pop("why")
    row.pop("order_why")
    assert why.startswith("the due list takes 9 in the next 11 days")
    assert row == {
        "spare": "oil",
        "name": "'=1+1",
        "part_number": "06E2",
        "supplier": "",
        "lead_days": "4",
        "unit": "l",
        "ashore": "-1",
        "aboard": "0",
        "to_hold": "30",
        "kits_lack": "0",
        "short": "31",
        "on_its_way": "0",
        "expected_on": "",
        "run_out": "0",
        "looked_for": "0",
        "pack_of": "1",
        "exchange": "",
        "order": "31",
        "price": "",
        "currency": "",
    }


def test_what_it_costs_is_in_the_table_for_who_may_see_prices_alone(cast, engineer, sign_in):
    Price.objects.create(spare=cast.spare["oil"], from_on=TODAY, each=Decimal("13.75"), currency="EUR")
    asked = {"format": "csv", "find": "oil"}
    for browser, price in ((engineer, "13.75"), (sign_in("office"), None)):
        answer = browser.get(reverse("spares", args=["harbour"]), asked)
        [row] = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
        assert row.get("price") == price
        assert ("currency" in row) == (price is not None)


def test_what_is_on_its_way_ran_out_or_is_looked_for_is_said(cast, page):
    gas, store = cast.spare["gas bottle"], cast.place["store"]
    lot = keep_lot(gas, Marked("A7", expires_on=TODAY - timedelta(1)))
    move_stock(gas, why="received", quantity=Decimal(2), day=TODAY, at=NOW, to_place=store, lot=lot)
    miss(gas, store, quantity=Decimal(1), day=TODAY, at=NOW)
    order = make_order(cast.base, "Gas depot", [Wanted(gas, Decimal(4))], at=NOW)
    send_order(order, sent_on=TODAY, expected_on=TODAY + timedelta(3), today=TODAY)
    html = page(find="gas")
    assert "4 on the way from Gas depot, expected Sun 31 May." in html
    assert "2 ashore ran out, and do not count." in html
    assert '2 good, <span class="overdue">2 ran out</span>' in html
    assert "Looked for: 1" in html
    assert "Not where it should be (1)" in html


def test_parts_and_places_lead_to_their_pages(cast, page):
    html = page()
    assert reverse("spare", args=["harbour", cast.spare["oil"].pk]) in html
    assert reverse("shelf", args=["harbour", cast.place["store"].pk]) in html
    for name in ("astray", "cores", "labels", "kit-classes"):
        assert reverse(name, args=["harbour"]) in html


def test_many_come_a_hundred_at_a_time_what_falls_short_first(cast, page):
    for n in range(120):
        make.ReceivedFactory(
            spare=make.SpareFactory(code=f"shim-{n}", name=f"Shim {n:03}"), to_place=cast.place["store"]
        )
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(21), day=TODAY, at=NOW)
    first, last = page(), page(page=2)
    assert "123 parts; <b>1 falls short.</b>" in first
    assert "123 parts; <b>1 falls short.</b>" in last
    assert first.count('<a class="task"') == 100
    assert cast.spare["oil"].name in first
    assert "Parts 101 to 123 of 123" in last
    found = page(find="shim")
    assert "120 parts found" in found
    assert re.search(r'rel="next" href="\?find=shim&amp;page=2"', found)
    assert "Parts 1 to 100 of 123" in page(page="no number")
    assert "Parts 101 to 123 of 123" in page(page=9)


def test_how_kits_and_store_would_better_share_it_stands_on_its_page(cast, engineer, monkeypatch):
    oil = cast.spare["oil"]
    where = reverse("spare", args=["harbour", oil.pk])
    assert "shared otherwise" not in engineer.get(where).content.decode().lower()
    split = together(kits=6, store=12, kit=0, rate=0.02, supplier=7)
    monkeypatch.setattr(spare, "shelf_of", lambda *a, **k: replace(shelf_of(*a, **k), split=split))
    html = engineer.get(where).content.decode()
    assert (
        "Shared otherwise, fewer would be missing at sea: 6 ashore and 1 in each kit of 6 instead of" in html
    )
