"""The pages of orders: what falls short becomes one, it is sent, half of it comes, prices are not for all."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.ordering import actions
from maintenance.ordering.actions import Came, Wanted
from maintenance.ordering.models import Order, OrderMove
from maintenance.ordering.money import Money
from maintenance.spares.actions import use_spare
from maintenance.spares.facts import hands
from maintenance.spares.models import Price, Spare
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said

D = Decimal
DUE = TODAY - timedelta(3)


@pytest.fixture
def bought(cast):
    """Oil and gas bottles of suppliers, both short, the oil at a price."""
    Spare.objects.filter(code="oil").update(name="Engine oil", part_number="0041", supplier="Chandlery")
    Spare.objects.filter(code="gas bottle").update(name="Gas bottle", supplier="Gas depot")
    for spare in cast.spare.values():
        spare.refresh_from_db()
    Price.objects.create(
        spare=cast.spare["oil"], supplier="Chandlery", from_on=DUE, each=D("7.50"), currency="EUR"
    )
    for code, number in (("oil", 20), ("gas bottle", 3)):
        use_spare(cast.spare[code], cast.place["store"], quantity=D(number), day=TODAY, at=NOW)
    return cast


@pytest.fixture
def order(cast) -> Order:
    """Four litres of oil and two gas bottles, sent, due three days ago."""
    wanted = [
        Wanted(cast.spare["oil"], D(4), Money(D("7.50"), "EUR")),
        Wanted(cast.spare["gas bottle"], D(2)),
    ]
    made = actions.make_order(cast.base, "Chandlery", wanted, at=NOW)
    return actions.send_order(made, sent_on=DUE - timedelta(7), expected_on=DUE, number="A 7", today=TODAY)


@pytest.fixture
def unsent(cast) -> Order:
    return actions.make_order(cast.base, "Chandlery", [Wanted(cast.spare["oil"], D(4))], at=NOW)


def at(name: str, *args: object) -> str:
    return reverse(name, args=["harbour", *args])


def html(browser, where: str, **asked) -> str:
    answer = browser.get(where, asked)
    assert answer.status_code == 200
    return answer.content.decode()


def tick(cast, **more) -> dict[str, str]:
    key = cast.spare["oil"].pk
    sent = {"supplier": "Chandlery", "client_id": "tap", f"tick-{key}": "on", f"quantity-{key}": "30"}
    return sent | more


def lies(cast, code: str) -> Decimal:
    return hands().get((cast.spare[code].pk, cast.place["store"].pk), D(0))


# What falls short, by supplier


def test_what_falls_short_stands_by_its_supplier_with_the_number_to_order_filled_in(bought, engineer):
    page = html(engineer, at("new-order"))
    heads = re.findall(r"<h2>(.*?)</h2>", page)
    assert heads == ["Chandlery", "Gas depot", "Of another supplier"]
    oil = bought.spare["oil"].pk
    field = re.search(rf'<input[^>]*name="quantity-{oil}"[^>]*>', page)
    assert 'value="29"' in field[0]  # the due list takes 9, and 20 went beyond it today
    assert "29 missing. Lead time not known: 14 days taken." in page
    assert "7.50 EUR each" in page
    assert bought.spare["impeller kit"].name not in page.split("<h2>Of another supplier")[0]


def test_what_is_ticked_is_written_down_once_however_often_it_is_tapped(bought, engineer):
    for _ in range(2):
        answer = engineer.post(at("new-order"), tick(bought))
        assert answer["Location"] == at("order", Order.objects.get().pk)
    [line] = Order.objects.get().lines.all()
    assert (line.spare, line.quantity, line.each, line.currency) == (
        bought.spare["oil"],
        30,
        D("7.50"),
        "EUR",
    )
    assert Order.objects.get().supplier == "Chandlery"


def test_another_part_is_added_by_its_code_its_number_or_its_name(bought, engineer):
    more = {"other0-part": "GAS BOTTLE", "other0-quantity": "2", "other1-part": "impeller kit"}
    answer = engineer.post(at("new-order"), tick(bought, **more))
    assert answer.status_code == 422
    assert f"wanted how many {bought.spare['impeller kit'].name}, above 0" in said(answer)
    assert 'value="GAS BOTTLE"' in answer.content.decode()  # what was typed is still there
    engineer.post(at("new-order"), tick(bought, **more, **{"other1-quantity": "1"}))
    assert {line.spare.code: line.quantity for line in Order.objects.get().lines.all()} == {
        "oil": 30,
        "gas bottle": 2,
        "impeller kit": 1,
    }


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("anchor", "found no “anchor”, wanted a part's code, its number or words of its name"),
        ("filter", "“filter” may be Filter, coarse 77 (code f1); Filter, fine 78 (code f2): wanted the code"),
    ],
)
def test_a_part_that_is_none_or_could_be_two_is_asked_for_again(bought, engineer, typed, told):
    make.SpareFactory(code="f1", name="Filter, coarse", part_number="77")
    make.SpareFactory(code="f2", name="Filter, fine", part_number="78")
    answer = engineer.post(at("new-order"), tick(bought, **{"other0-part": typed, "other0-quantity": "1"}))
    assert answer.status_code == 422
    assert f"Another part, row 1: {told}" in said(answer)
    assert not Order.objects.exists()


def test_what_is_sent_of_another_supplier_needs_its_name_and_a_part(bought, engineer):
    answer = engineer.post(at("new-order"), {"supplier": "", "whom": ""})
    assert "Supplier: wanted whom it is ordered of" in said(answer)
    answer = engineer.post(at("new-order"), {"supplier": "", "whom": "Quay"})
    assert "wanted at least one part" in said(answer)
    assert 'value="Quay"' in answer.content.decode()
    sent = {"supplier": "", "whom": "Quay", "other0-part": "gas bottle", "other0-quantity": "2"}
    engineer.post(at("new-order"), sent)
    assert Order.objects.get().supplier == "Quay"


@pytest.mark.parametrize("number", ["", "0", "-3", "many", "1e9"])
def test_a_tick_without_a_number_above_nothing_is_asked_for(bought, engineer, number):
    key = bought.spare["oil"].pk
    answer = engineer.post(at("new-order"), tick(bought) | {f"quantity-{key}": number})
    assert answer.status_code == 422
    assert "How many Engine oil:" in said(answer)
    assert not Order.objects.exists()


def test_what_somebody_ordered_in_the_meantime_stays_on_the_form_that_was_sent(bought, engineer):
    actions.send_order(
        actions.make_order(bought.base, "Chandlery", [Wanted(bought.spare["oil"], D(99))], at=NOW),
        sent_on=TODAY,
        today=TODAY,
    )
    answer = engineer.post(at("new-order"), tick(bought, **{"other0-quantity": "1"}))
    assert answer.status_code == 422
    assert f'name="quantity-{bought.spare["oil"].pk}" value="30"' in answer.content.decode()


def test_one_part_is_ordered_from_its_own_page_though_it_does_not_fall_short(cast, engineer):
    page = html(engineer, at("new-order"), part=cast.spare["impeller kit"].pk)
    assert "Parts without a supplier" in page
    assert f'name="tick-{cast.spare["impeller kit"].pk}"' in page


def test_the_spares_lead_to_orders_and_to_what_falls_short(bought, engineer, sign_in):
    page = html(engineer, at("spares"))
    assert f'href="{at("orders")}">Orders</a>' in page
    assert f'href="{at("new-order")}">Order what falls short</a>' in page
    assert "Order what falls short" not in html(sign_in("office"), at("spares"))


# The list


def test_late_orders_stand_on_top_and_say_so_in_words(cast, order, unsent, engineer):
    actions.make_order(cast.base, "Anchor loft", [Wanted(cast.spare["oil"], D(1))], at=NOW)
    page = html(engineer, at("orders"))
    assert "3 open; <b>1 is late.</b>" in page
    assert '<span class="overdue">3 days late</span>, sent' in page
    places = [page.index(f'href="{at("order", key)}"') for key in (order.pk, order.pk + 2, unsent.pk)]
    assert places == sorted(places)  # late; then to send, by supplier


def test_what_is_settled_stands_below_and_one_suppliers_orders_alone(cast, order, unsent, engineer):
    actions.close_order(order, on=TODAY, why="made no more")
    other = actions.make_order(cast.base, "Loft", [Wanted(cast.spare["oil"], D(1))], at=NOW)
    page = html(engineer, at("orders"))
    assert page.index("Settled") < page.index(f'href="{at("order", order.pk)}"')
    assert "Closed" in page
    assert "made no more" in page
    alone = html(engineer, at("orders"), supplier="Loft")
    assert f'href="{at("order", other.pk)}"' in alone
    assert f'href="{at("order", unsent.pk)}"' not in alone


def test_too_long_a_supplier_is_refused(engineer):
    assert engineer.get(at("orders"), {"supplier": "x" * 121}).status_code == 422


# One order


def test_the_words_for_the_supplier_have_the_newest_numbers_packs_and_no_price(cast, order, engineer):
    newer = make.SpareFactory(code="oil-2", name="Oil", part_number="0042-B", unit="l", pack_of=D(2))
    Spare.objects.filter(code="oil").update(superseded_by=newer, part_number="0041-7")
    Order.objects.update(words="ask for a better price")
    page = html(engineer, at("order", order.pk))
    words = re.search(r"<textarea[^>]*>(.*?)</textarea>", page, re.DOTALL)[1]
    assert "4 l (2 packs of 2)  0042-B  Oil  (in place of 0041-7)" in words
    assert "Order of Harbour, A 7" in words
    sheet = html(engineer, at("order-sheet", order.pk))
    for text in (words, sheet):
        assert "EUR" not in text
        assert "7.50" not in text
        assert "better price" not in text
    assert "0042-B" in sheet


def test_lines_are_changed_a_blank_one_taken_off_and_another_added(cast, unsent, engineer):
    [line] = unsent.lines.all()
    sent = {
        "what": "lines",
        f"lines-{line.pk}-quantity": "",
        "lines-more0-part": "gas bottle",
        "lines-more0-quantity": "2",
        "lines-more0-each": "12,50 USD",
        "lines-words": "two at most",
    }
    assert engineer.post(at("order", unsent.pk), sent).status_code == 302
    [line] = unsent.lines.all()
    assert (line.spare.code, line.quantity, line.each, line.currency) == ("gas bottle", 2, D("12.5"), "USD")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1.250", "“1.250” may be two prices, wanted 1250 or 1.2500"),
        ("12 euro", "found “12 EURO”, wanted a price such as 12.50, or 12.50 EUR"),
        ("-3", "found “-3”, wanted a price such as 12.50"),
        ("EUR", "found “EUR”, wanted a price"),
    ],
)
def test_a_price_that_is_none_or_may_be_two_is_asked_for_again(unsent, engineer, typed, told):
    [line] = unsent.lines.all()
    sent = {"what": "lines", f"lines-{line.pk}-quantity": "4", f"lines-{line.pk}-each": typed}
    answer = engineer.post(at("order", unsent.pk), sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert unsent.lines.get().each is None


@pytest.mark.parametrize(
    ("typed", "amount", "currency"),
    [
        ("7", "7", "EUR"),
        ("7,125", None, None),
        ("0.125", "0.125", "EUR"),
        ("1 250,50", "1250.5", "EUR"),
        ("usd 3", "3", "USD"),
    ],
)
def test_a_price_is_taken_as_people_write_it(unsent, engineer, typed, amount, currency):
    [line] = unsent.lines.all()
    sent = {"what": "lines", f"lines-{line.pk}-quantity": "4", f"lines-{line.pk}-each": typed}
    engineer.post(at("order", unsent.pk), sent)
    kept = unsent.lines.get()
    assert (kept.each, kept.currency) == (None if amount is None else D(amount), currency or "")


def test_a_line_somebody_added_since_the_page_was_opened_stays(cast, unsent, engineer):
    [oil] = unsent.lines.all()
    actions.change_order(unsent, [Wanted(cast.spare["oil"], D(4)), Wanted(cast.spare["gas bottle"], D(1))])
    engineer.post(at("order", unsent.pk), {"what": "lines", f"lines-{oil.pk}-quantity": "6"})
    assert {line.spare.code: line.quantity for line in unsent.lines.all()} == {"oil": 6, "gas bottle": 1}


def test_it_is_sent_on_a_day_and_is_to_be_here_on_another(unsent, engineer):
    sent = {
        "what": "send",
        "send-sent_on": "2026-05-27",
        "send-expected_on": "2026-06-02",
        "send-number": "B 9",
    }
    assert engineer.post(at("order", unsent.pk), sent).status_code == 302
    page = html(engineer, at("order", unsent.pk))
    assert "B 9. <b>Sent</b>: sent Wed 27 May; expected Tue 2 Jun" in page
    assert 'name="what" value="lines"' not in page


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"what": "send", "send-sent_on": "2026-05-29"}, "Sent on: wanted a day up to today"),
        ({"what": "send", "send-sent_on": ""}, "Sent on: wanted a day"),
        (
            {"what": "send", "send-sent_on": "2026-05-20", "send-expected_on": "2026-05-19"},
            "To be here on: wanted the day it was sent, or a later one",
        ),
        ({"what": "expect", "expect-expected_on": "soon"}, "To be here on: wanted a day such as 2026-05-30"),
        ({"what": "close", "close-why": "  "}, "Why nothing more is waited for: wanted why"),
        (
            {"what": "close", "close-why": "x" * 201},
            "Why nothing more is waited for: wanted up to 200 letters",
        ),
        ({"what": "receive", "came-day": "2026-05-28"}, "wanted how many came of at least one part"),
        ({"what": "receive", "came-day": "2026-05-01"}, "Came on: wanted"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_is_kept(cast, order, engineer, sent, told):
    before = Order.objects.values().get()
    if sent.get("came-day") == "2026-05-01":
        line = order.lines.first()
        sent = sent | {f"came-quantity-{line.pk}": "1", f"came-place-{line.pk}": cast.place["store"].pk}
    answer = engineer.post(at("order", order.pk), sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert Order.objects.values().get() == before
    assert not OrderMove.objects.exists()


def test_half_of_it_comes_onto_its_shelf_and_the_rest_is_waited_for(cast, order, engineer):
    oil, _ = order.lines.all()
    before = lies(cast, "oil")
    sent = {
        "what": "receive",
        "client_id": "tap",
        "came-day": "2026-05-28",
        f"came-quantity-{oil.pk}": "1,5",
        f"came-place-{oil.pk}": str(cast.place["store"].pk),
        f"came-mark-{oil.pk}": "L 7",
        f"came-expires_on-{oil.pk}": "2027-04-30",
    }
    for _ in range(2):
        assert engineer.post(at("order", order.pk), sent).status_code == 302
    assert lies(cast, "oil") == before + D("1.5")
    page = html(engineer, at("order", order.pk))
    assert '<b class="overdue">3 days late</b>, part received' in page
    assert "2.5 l still to come" in page
    assert "lot L 7, good to" in page


def test_a_serial_number_of_several_is_said_at_its_line_and_the_others_are_not_kept(cast, order, engineer):
    oil, gas = order.lines.all()
    store = str(cast.place["store"].pk)
    sent = {"what": "receive", "came-day": "2026-05-28", f"came-serial-{gas.pk}": "SN 1"}
    for line in (oil, gas):
        sent |= {f"came-quantity-{line.pk}": "2", f"came-place-{line.pk}": store}
    answer = engineer.post(at("order", order.pk), sent)
    assert answer.status_code == 422
    assert f"How many {gas.spare.name} came: wanted 1, for SN 1 is the number of one unit" in said(answer)
    assert 'value="SN 1"' in answer.content.decode()
    assert not OrderMove.objects.exists()


def test_all_of_it_came_fills_in_what_was_still_to_come_and_keeps_what_was_typed(cast, order, engineer):
    oil, gas = order.lines.all()
    store = str(cast.place["store"].pk)
    sent = {"what": "receive", "all": "yes", "came-day": "2026-05-28", f"came-quantity-{oil.pk}": "5"}
    sent |= {f"came-place-{line.pk}": store for line in (oil, gas)}
    engineer.post(at("order", order.pk), sent)
    assert {m.line.spare.code: m.move.quantity for m in OrderMove.objects.all()} == {
        "oil": 5,
        "gas bottle": 2,
    }
    assert "<b>Received</b>" in html(engineer, at("order", order.pk))


def test_another_bases_shelf_is_none_of_this_orders(cast, order, engineer):
    oil, _ = order.lines.all()
    sent = {"what": "receive", "came-day": "2026-05-28", f"came-quantity-{oil.pk}": "1"}
    answer = engineer.post(at("order", order.pk), sent | {f"came-place-{oil.pk}": cast.place["far store"].pk})
    assert answer.status_code == 422
    assert "wanted a shelf of this base" in said(answer)
    assert "wanted a shelf to put it on" in said(engineer.post(at("order", order.pk), sent))
    assert not OrderMove.objects.exists()


def test_todays_mistake_is_taken_back_and_lowers_what_came(cast, order, engineer):
    line = order.lines.get(spare=cast.spare["oil"])
    actions.receive_order(order, [Came(line, D(4), cast.place["store"])], day=TODAY, at=NOW)
    assert "Take back" in html(engineer, at("order", order.pk))
    engineer.post(at("order", order.pk), {"what": "back", "came": OrderMove.objects.get().pk})
    page = html(engineer, at("order", order.pk))
    assert "taken back, it did not come" in page
    assert "4 l still to come" in page


def test_yesterdays_is_not_offered_and_says_what_to_do_instead(cast, order, engineer):
    line = order.lines.get(spare=cast.spare["oil"])
    moves = actions.receive_order(
        order, [Came(line, D(4), cast.place["store"])], day=DUE, at=NOW - timedelta(2)
    )
    assert "Take back" not in html(engineer, at("order", order.pk))
    answer = engineer.post(at("order", order.pk), {"what": "back", "came": OrderMove.objects.get().pk})
    assert answer.status_code == 422
    assert "count the shelf instead" in said(answer)
    assert OrderMove.objects.get().move == moves[0]


def test_closed_with_a_word_and_opened_again(order, engineer):
    engineer.post(at("order", order.pk), {"what": "close", "close-why": "made no more"})
    page = html(engineer, at("order", order.pk))
    assert "made no more" in page
    assert "not waited for" in page
    assert 'value="receive"' not in page
    engineer.post(at("order", order.pk), {"what": "again"})
    assert '<b class="overdue">3 days late</b>' in html(engineer, at("order", order.pk))


def test_an_act_there_is_not_finds_nothing(order, engineer):
    assert engineer.post(at("order", order.pk), {"what": "burn"}).status_code == 404
    assert engineer.post(at("order", order.pk), {"what": "back", "came": "99999"}).status_code == 404


@pytest.mark.parametrize("name", ["orders", "order", "order-sheet"])
def test_the_office_sees_orders_and_no_price_in_them(order, sign_in, name):
    page = html(sign_in("office"), at(name, *([] if name == "orders" else [order.pk])))
    assert "Chandlery" in page
    assert "EUR" not in page
    assert "7.50" not in page
    assert "7.5" not in page
    assert "price" not in page.replace("no prices and no notes", "").replace("without prices or notes", "")
    assert 'name="what"' not in page
