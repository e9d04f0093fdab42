"""What parts cost over the API: kept exactly, summed by currency, and nowhere for who may not see it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.bases.models import Base
from fleet.boats.models import Boat
from maintenance.ordering.facts import shelves
from maintenance.spares.actions import use_spare
from maintenance.spares.models import Price
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.api import wrongs

SAID = {"spare": "oil", "supplier": "Quay Chandlery", "least": 20, "each": "8.4375", "currency": "EUR"}


def test_a_price_is_kept_to_the_last_place_changed_and_taken_back(program):
    manager = program("manager")
    answer = manager.post("prices/", SAID)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert {name: told[name] for name in SAID} == SAID
    assert told["from_on"] == TODAY.isoformat()
    row = f"prices/{told['id']}/"
    assert program("engineer").get(row).json() == told
    assert program("engineer").rows("prices/", fields="id,each") == [{"id": told["id"], "each": "8.4375"}]
    changed = manager.change(row, {"each": 9, "currency": "SEK"}).json()
    assert (changed["each"], changed["currency"]) == ("9.0000", "SEK")
    assert manager.patch(row, {"each": 1}).status_code == 428
    assert manager.patch(row, {"each": 1}, {"If-Match": '"old"'}).status_code == 412
    assert manager.delete(row).status_code == 204
    assert not Price.objects.exists()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"spare": "gold"}, "spare"),
        ({"each": -1}, "each"),
        ({"each": "9,50"}, "each"),
        ({"each": "1e3.2"}, "each"),
        ({"each": "NaN"}, "each"),
        ({"each": "0.00001"}, "each"),
        ({"each": 10**12}, "each"),
        ({"each": None}, "each"),
        ({"currency": "eur"}, "currency"),
        ({"currency": "€"}, "currency"),
        ({"currency": ""}, "currency"),
        ({"least": 0}, "least"),
        ({"from_on": "soon"}, "from_on"),
        ({"supplier": "x" * 121}, "supplier"),
        ({"tax": 23}, "tax"),
    ],
)
def test_a_price_that_cannot_be_is_refused_by_field(program, changed, field):
    answer = program("manager").post("prices/", SAID | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert not Price.objects.exists()


def test_a_price_is_said_once_for_a_day(program):
    first = program("manager").post("prices/", SAID).json()
    again = program("manager").post("prices/", SAID | {"each": 1})
    assert (again.status_code, list(wrongs(again))) == (422, ["from_on"])
    assert str(first["id"]) in wrongs(again)["from_on"]
    assert program("manager").post("prices/", SAID | {"least": 50}).status_code == 201


def test_prices_are_found_by_spare_supplier_currency_and_day(program):
    for change in ({}, {"spare": "gas bottle"}, {"supplier": ""}, {"currency": "SEK", "least": 1}):
        assert program("manager").post("prices/", SAID | change).status_code == 201
    later = SAID | {"from_on": "2026-07-01"}
    assert program("manager").post("prices/", later).status_code == 201
    for query, found in (
        ({"spare": "oil"}, 4),
        ({"supplier": "Quay Chandlery"}, 4),
        ({"currency": "SEK"}, 1),
        ({"from_day": "2026-06-01"}, 1),
        ({"day": TODAY.isoformat()}, 4),
    ):
        assert len(program().rows("prices/", **query)) == found, query
    assert list(wrongs(program().get("prices/", cheapest="yes"))) == ["cheapest"]


def test_the_office_sees_no_price_and_the_engineer_sets_none(program):
    row = program("manager").post("prices/", SAID).json()["id"]
    for where in ("prices/", f"prices/{row}/", "costs/"):
        assert program("office").get(where).status_code == 403
        assert "see prices" in program("office").get(where).json()["detail"]
    for who in ("office", "engineer"):
        assert program(who).post("prices/", SAID).status_code == 403
        assert program(who).patch(f"prices/{row}/", {"each": 1}, {"If-Match": "*"}).status_code == 403
        assert program(who).delete(f"prices/{row}/").status_code == 403
    assert Price.objects.get().each == Decimal("8.4375")


MONEY = {"missed_saturday": "600.00", "order_cost": "35.50", "holding_percent": 12.5, "currency": "SEK"}


def test_what_a_base_says_of_its_money_is_the_managers_to_say_and_not_the_offices_to_see(cast, program):
    where = f"bases/{cast.base.pk}/"
    assert program().get(where).json()["missed_saturday"] is None
    changed = program("manager").change(where, MONEY)
    assert changed.status_code == 200, changed.content
    assert {name: changed.json()[name] for name in MONEY} == MONEY
    assert {name: program("engineer").get(where).json()[name] for name in MONEY} == MONEY
    seen = program("office").get(where).json()
    assert {name: seen[name] for name in MONEY} == dict.fromkeys(MONEY) | {"currency": "SEK"}
    [listed] = program("office").rows("bases/", fields="code,order_cost")
    assert listed == {"code": "harbour", "order_cost": None}
    assert program("engineer").change(where, MONEY).status_code == 403
    back = program("manager").change(where, {name: seen[name] for name in ("missed_saturday", "order_cost")})
    assert (back.json()["missed_saturday"], back.json()["order_cost"]) == (None, None)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"missed_saturday": 0}, "missed_saturday"),
        ({"missed_saturday": "600.005"}, "missed_saturday"),
        ({"order_cost": -1}, "order_cost"),
        ({"order_cost": "a lot"}, "order_cost"),
        ({"holding_percent": 101}, "holding_percent"),
        ({"holding_percent": -1}, "holding_percent"),
        ({"currency": "Euro"}, "currency"),
        ({"currency": "eur"}, "currency"),
        ({"currency": None}, "currency"),
    ],
)
def test_money_of_a_base_that_cannot_be_is_refused_by_field(cast, program, changed, field):
    answer = program("manager").change(f"bases/{cast.base.pk}/", changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    base = Base.objects.get(pk=cast.base.pk)
    assert (base.currency, base.missed_saturday, base.order_cost) == ("EUR", None, None)


@pytest.fixture
def priced(cast):
    """Gas bottles at 40, a season of use behind, and a Saturday that costs 800: held by their price."""
    Price.objects.create(
        spare=cast.spare["gas bottle"], from_on=date(2025, 1, 1), each=Decimal(40), currency="EUR"
    )
    Base.objects.filter(pk=cast.base.pk).update(missed_saturday=800, order_cost=35, holding_percent=10)
    before = TODAY - timedelta(300)
    make.ReceivedFactory(spare=cast.spare["gas bottle"], to_place=cast.place["store"], day=before)
    for days in (280, 200, 20):
        day = TODAY - timedelta(days)
        use_spare(cast.spare["gas bottle"], cast.place["store"], quantity=Decimal(1), day=day, at=NOW)


def test_what_to_hold_says_the_price_only_to_who_may_see_it(cast, program, priced):
    [seen] = program("engineer").rows("to-hold/", spare="gas bottle")
    assert (seen["price"], seen["currency"]) == ("40.0000", "EUR")
    assert "at 40 apiece" in seen["why"]
    assert seen["plain"] is not None
    [hidden] = program("office").rows("to-hold/", spare="gas bottle")
    assert (hidden["price"], hidden["currency"]) == (None, None)
    assert "40 apiece" not in hidden["why"]
    assert "wanted" not in hidden["why"]
    assert hidden["to_hold"] == seen["to_hold"]
    kept = ("price", "currency", "why")
    assert {n: v for n, v in hidden.items() if n not in kept} == {
        n: v for n, v in seen.items() if n not in kept
    }


def test_what_to_hold_says_what_comes_what_ran_out_what_is_looked_for_and_what_to_order(cast, program):
    """Each figure as the page's shelf has it."""
    store = cast.place["store"].pk
    old = {"spare": "gas bottle", "to_place": store, "quantity": 2, "why": "received", "day": "2026-05-28"}
    program().post("stock-moves/", old | {"mark": "1", "expires_on": "2026-05-01"})
    program().post("astray/", {"step": "missed", "spare": "oil", "place": store, "quantity": 4})
    program("manager").change(f"spares/{cast.spare['oil'].pk}/", {"pack_of": 6})
    lines = [{"spare": "gas bottle", "quantity": 2}]
    order = program().post("orders/", {"base": "harbour", "supplier": "Quay", "lines": lines}).json()["id"]
    program().post("order-steps/", {"order": order, "step": "sent"})
    told = {line["spare"]: line for line in program().rows("to-hold/")}
    bottle, oil = told["gas bottle"], told["oil"]
    assert (bottle["run_out"], bottle["on_its_way"], bottle["ashore"]) == (2, 2, 5)
    assert (oil["astray"], oil["ashore"]) == (4, 16)
    assert oil["lead_why"] == "lead time not known: 14 days taken"
    boats = list(Boat.objects.of_base(cast.base.pk, TODAY).values_list("pk", flat=True))
    for shelf in shelves(cast.base, boats, on=TODAY):
        line = told[shelf.spare.code]
        assert (line["to_order"], line["to_order_why"]) == (shelf.order.quantity, shelf.order.why)
        assert line["short"] == shelf.short


def test_costs_are_summed_boat_by_boat_in_each_currency_and_nothing_is_converted(cast, program):
    """3.5 l at 8.4375 and 1 at 120.10: 29.53125 + 120.10, by hand; half a last place is rounded up."""
    for spare, each, currency in (("oil", "8.4375", "EUR"), ("impeller kit", "120.10", "EUR")):
        Price.objects.create(
            spare=cast.spare[spare], from_on=date(2026, 1, 1), each=Decimal(each), currency=currency
        )
    locker = cast.place["sandpiper locker"]
    for spare, quantity, day in (
        ("oil", "3.5", "2026-05-20"),
        ("impeller kit", "1", "2026-05-21"),
        ("gas bottle", "2", "2026-05-21"),
        ("oil", "100", "2025-12-31"),
    ):
        when = {"day": date.fromisoformat(day), "at": NOW}
        use_spare(cast.spare[spare], locker, quantity=Decimal(quantity), **when)
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(2), day=TODAY, at=NOW)
    told = {line["boat"]: line for line in program().rows("costs/")}
    assert set(told) == {None, "sandpiper", "twice-shy", "blank-page"}
    assert told["sandpiper"] == {
        "base": "harbour",
        "boat": "sandpiper",
        "from_day": "2026-01-01",
        "to_day": "2026-05-28",
        "sums": [{"amount": "149.6313", "currency": "EUR"}],
        "without_price": 1,
    }
    assert told[None]["sums"] == [{"amount": "16.8750", "currency": "EUR"}]
    assert (told["twice-shy"]["sums"], told["twice-shy"]["without_price"]) == ([], 0)
    Price.objects.filter(spare=cast.spare["oil"]).update(currency="SEK")
    [hers] = program("manager").rows("costs/", boat="sandpiper", from_day="2026-05-20", to_day="2026-05-21")
    assert hers["sums"] == [
        {"amount": "120.1000", "currency": "EUR"},
        {"amount": "29.5313", "currency": "SEK"},
    ]
    [one] = program().rows("costs/", boat="sandpiper", to_day="2026-05-20")
    assert (one["sums"], one["without_price"]) == ([{"amount": "29.5313", "currency": "SEK"}], 0)


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"base": "elsewhere"}, "base"),
        ({"from_day": "May"}, "from_day"),
        ({"from_day": "2026-05-28", "to_day": "2026-05-27"}, "from_day"),
        ({"until": "2026-05-27"}, "until"),
        ({"fields": "profit"}, "fields"),
        ({"cursor": "x"}, "cursor"),
    ],
)
def test_costs_that_cannot_be_asked_for_are_said_by_name(program, query, field):
    answer = program().get("costs/", **query)
    assert answer.status_code == 400
    assert list(wrongs(answer)) == [field]


def test_costs_come_in_pages_and_of_ones_own_bases(cast, program):
    whole = program().rows("costs/")
    assert program().rows("costs/", page_size=1) == whole
    assert [line["boat"] for line in program("stranger").rows("costs/")] == ["far-cry"]


def test_who_sees_prices_at_one_base_sees_none_of_another(cast, program, priced):
    """An engineer elsewhere who is in the office here."""
    elsewhere = Base.objects.get(code="elsewhere")
    make.MembershipFactory(person=cast.person["office"], base=elsewhere, role="engineer")
    assert {line["base"] for line in program("office").rows("costs/")} == {"elsewhere"}
    [line] = program("office").rows("to-hold/", base="harbour", spare="gas bottle")
    assert (line["price"], "40" in line["why"]) == (None, False)
    bases = {row["code"]: row for row in program("office").rows("bases/")}
    assert bases["harbour"]["missed_saturday"] is None


@pytest.mark.parametrize(("who", "said"), [("engineer", True), ("office", False)])
def test_the_page_of_a_part_says_no_more_of_its_price_than_the_api(cast, sign_in, priced, who, said):
    where = reverse("spare", kwargs={"base": "harbour", "spare": cast.spare["gas bottle"].pk})
    page = sign_in(who).get(where).content.decode()
    assert "would be enough" in page
    assert ("at 40 apiece" in page, "40.00 EUR" in page) == (said, said)
