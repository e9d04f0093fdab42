"""Orders: written down, changed, sent, received in parts, taken back, closed; what is on its way."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.refused import TooLate
from maintenance.ordering import actions
from maintenance.ordering.actions import Came, LineRefused, OrderRefused, Wanted
from maintenance.ordering.asking import asked_for, priced, usual_shelves
from maintenance.ordering.models import Order, OrderMove
from maintenance.ordering.money import Money
from maintenance.ordering.orders import coming, orders_of, took, took_from
from maintenance.ordering.standing import Stands
from maintenance.spares.actions import count_stock
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.lots import Marked
from maintenance.spares.models import Price, Spare, StockMove
from maintenance.spares.moving import correct_move
from tests import factories as make
from tests.cast import NOW, TODAY

D = Decimal
SENT, DUE = TODAY - timedelta(10), TODAY - timedelta(3)


@pytest.fixture
def wanted(cast):
    """So many of parts by their codes."""
    return lambda **parts: [Wanted(cast.spare[c.replace("_", " ")], D(n)) for c, n in parts.items()]


@pytest.fixture
def order(cast, wanted) -> Order:
    """Four litres of oil and two gas bottles of the chandlery, sent and due three days ago."""
    made = actions.make_order(cast.base, " Chandlery ", wanted(oil=4, gas_bottle=2), at=NOW)
    return actions.send_order(made, sent_on=SENT, expected_on=DUE, number="A 7", today=TODAY)


@pytest.fixture
def stands(cast):
    """An order as it stands."""
    return lambda order, on=TODAY: orders_of(cast.base.pk, on=on, orders=[order.pk])[0]


@pytest.fixture
def receive(cast):
    """So many of a part of an order, put into the store."""

    def receive(order: Order, code: str, number: str, day: date = TODAY, **more) -> list[StockMove]:
        line = order.lines.get(spare=cast.spare[code])
        came = Came(line, D(number), cast.place["store"], more.pop("marked", Marked()))
        return actions.receive_order(order, [came], day=day, at=more.pop("at", NOW), **more)

    return receive


def lies(cast, code: str) -> Decimal:
    return hands().get((cast.spare[code].pk, cast.place["store"].pk), D(0))


def test_an_order_is_written_down_and_is_to_be_sent(cast, wanted, stands):
    order = actions.make_order(
        cast.base, "Chandlery", [Wanted(cast.spare["oil"], D(4), Money(D("7.1250"), "EUR"))], at=NOW
    )
    one = stands(order)
    assert (one.state, one.late, one.open) == (Stands.TO_SEND, 0, True)
    assert [(line.row.spare.code, line.asked.ordered, str(line.each)) for line in one.lines] == [
        ("oil", 4, "7.13 EUR")
    ]
    assert coming([one]) == {}


def test_a_double_tap_makes_one_order(cast, wanted):
    for number in (4, 9):
        actions.make_order(cast.base, "Chandlery", wanted(oil=number), at=NOW, client_id="tap")
    assert [line.quantity for line in Order.objects.get().lines.all()] == [4]


@pytest.mark.parametrize(
    ("supplier", "parts", "said"),
    [
        ("  ", {"oil": 1}, "supplier: wanted whom it is ordered of"),
        ("Chandlery", {}, "lines: wanted at least one part"),
        ("Chandlery", {"oil": 0}, "lines: wanted how many Oil, above 0"),
        ("Chandlery", {"oil": -2}, "lines: wanted how many Oil, above 0"),
    ],
)
def test_an_order_that_cannot_be_is_refused_and_nothing_of_it_kept(cast, wanted, supplier, parts, said):
    Spare.objects.filter(code="oil").update(name="Oil")
    cast.spare["oil"].refresh_from_db()
    with pytest.raises(OrderRefused, match=f"^{said}"):
        actions.make_order(cast.base, supplier, wanted(**parts), at=NOW)
    assert not Order.objects.exists()


def test_a_part_stands_once_in_an_order(cast, wanted):
    with pytest.raises(OrderRefused, match="lines: wanted each part once"):
        actions.make_order(cast.base, "Chandlery", [*wanted(oil=1), *wanted(oil=2)], at=NOW)


def test_too_long_a_supplier_is_refused_by_name_and_leaves_no_half_an_order(cast, wanted):
    with pytest.raises(ValidationError) as wrong:
        actions.make_order(cast.base, "x" * 121, wanted(oil=1), at=NOW)
    assert list(wrong.value.message_dict) == ["supplier"]
    assert not Order.objects.exists()


def test_lines_are_changed_until_it_is_sent_and_a_line_that_stays_keeps_its_key(cast, wanted):
    order = actions.make_order(cast.base, "Chandlery", wanted(oil=4, gas_bottle=2), at=NOW)
    oil = order.lines.get(spare=cast.spare["oil"])
    actions.change_order(order, [*wanted(oil=6, impeller_kit=1)], words="for the winter")
    assert {line.spare.code: line.quantity for line in order.lines.all()} == {"oil": 6, "impeller kit": 1}
    assert order.lines.get(spare=cast.spare["oil"]) == oil
    order.refresh_from_db()
    assert order.words == "for the winter"


def test_what_is_sent_is_not_changed_any_more(order, wanted):
    with pytest.raises(OrderRefused, match="lines: it is sent; wanted another order"):
        actions.change_order(order, wanted(oil=1))


@pytest.mark.parametrize(
    ("sent", "expected", "said"),
    [
        (TODAY + timedelta(1), None, "sent_on: wanted a day up to today"),
        (TODAY, TODAY - timedelta(1), "expected_on: wanted the day it was sent, or a later one"),
    ],
)
def test_no_order_goes_out_tomorrow_or_comes_before_it_went(cast, wanted, sent, expected, said):
    order = actions.make_order(cast.base, "Chandlery", wanted(oil=4), at=NOW)
    with pytest.raises(OrderRefused, match=said):
        actions.send_order(order, sent_on=sent, expected_on=expected, today=TODAY)
    order.refresh_from_db()
    assert order.sent_on is None


def test_what_is_sent_is_on_its_way_and_late_once_its_day_is_past(cast, order, stands):
    one = stands(order)
    assert (one.state, one.late) == (Stands.SENT, 3)
    assert stands(order, DUE).late == 0
    on_the_way = coming([one])
    assert {key: of[0].quantity for key, of in on_the_way.items()} == {
        cast.spare["oil"].pk: 4,
        cast.spare["gas bottle"].pk: 2,
    }


def test_another_day_is_said_of_it_or_none_any_more(order, stands):
    actions.expect_order(order, expected_on=TODAY + timedelta(4))
    assert stands(order).late == 0
    actions.expect_order(order, expected_on=None)
    order.refresh_from_db()
    assert order.expected_on is None


def test_a_day_is_said_of_what_was_sent_only(cast, wanted):
    order = actions.make_order(cast.base, "Chandlery", wanted(oil=4), at=NOW)
    with pytest.raises(OrderRefused, match="expected_on: wanted the order sent first"):
        actions.expect_order(order, expected_on=TODAY)


def test_half_of_it_comes_and_lies_on_the_shelf_and_the_rest_is_still_waited_for(
    cast, order, stands, receive
):
    before = lies(cast, "oil")
    receive(order, "oil", "1.5")
    assert lies(cast, "oil") == before + D("1.5")
    one = stands(order)
    assert (one.state, one.late) == (Stands.PART, 3)
    assert [(line.row.spare.code, line.asked.came, line.asked.waits) for line in one.lines] == [
        ("oil", D("1.5"), D("2.5")),
        ("gas bottle", 0, 2),
    ]


def test_all_of_it_came_and_more_than_was_ordered_is_kept_as_it_came(order, stands, receive):
    receive(order, "oil", "4")
    receive(order, "gas bottle", "3")
    one = stands(order)
    assert (one.state, one.late, one.open) == (Stands.RECEIVED, 0, False)
    assert [line.asked.came for line in one.lines] == [4, 3]
    assert coming([one]) == {}


def test_one_arrival_sent_twice_is_one(cast, order, receive):
    line = order.lines.get(spare=cast.spare["gas bottle"])
    came = [
        Came(order.lines.get(spare=cast.spare["oil"]), D(4), cast.place["store"]),
        Came(line, D(2), cast.place["store"]),
    ]
    first = actions.receive_order(order, came, day=TODAY, at=NOW, client_id="tap")
    again = actions.receive_order(order, came, day=TODAY, at=NOW + timedelta(minutes=1), client_id="tap")
    assert first == again
    assert OrderMove.objects.count() == 2


def test_what_is_written_on_it_is_kept_as_its_lot(cast, order, receive):
    good = date(2027, 4, 30)
    [move] = receive(order, "oil", "4", marked=Marked("L7", "", good))
    assert (move.lot.mark, move.lot.expires_on) == ("L7", good)
    where = (cast.spare["oil"].pk, cast.place["store"].pk)
    assert lots_at()[where] == {move.lot.pk: D(4)}


def test_what_cannot_be_said_of_one_line_names_its_part_and_keeps_nothing_of_the_others(cast, order):
    oil, gas = (order.lines.get(spare=cast.spare[code]) for code in ("oil", "gas bottle"))
    before = lies(cast, "oil")
    came = [
        Came(oil, D(4), cast.place["store"]),
        Came(gas, D(2), cast.place["store"], Marked(serial="SN 1")),
    ]
    with pytest.raises(LineRefused, match="wanted 1, for SN 1 is the number of one unit") as wrong:
        actions.receive_order(order, came, day=TODAY, at=NOW)
    assert (wrong.value.line, wrong.value.field) == (gas, "quantity")
    assert gas.spare.name in wrong.value.wanted
    assert lies(cast, "oil") == before
    assert not OrderMove.objects.exists()


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (TODAY + timedelta(1), "day: .*wanted a day up to today"),
        (SENT - timedelta(1), "day: wanted the day it was sent, .*18 May 2026, or a later one"),
    ],
)
def test_nothing_comes_tomorrow_or_before_it_was_sent(order, receive, day, said):
    with pytest.raises(OrderRefused, match=said):
        receive(order, "oil", "4", day)


def test_nothing_that_came_is_no_arrival_and_anothers_line_is_not_this_ones(cast, order, wanted):
    with pytest.raises(OrderRefused, match="lines: wanted how many came"):
        actions.receive_order(order, [], day=TODAY, at=NOW)
    other = actions.make_order(cast.base, "Loft", wanted(oil=1), at=NOW)
    came = Came(other.lines.get(), D(1), cast.place["store"])
    with pytest.raises(OrderRefused, match="is of another order"):
        actions.receive_order(order, [came], day=TODAY, at=NOW)


def test_what_came_is_taken_back_on_the_day_and_is_waited_for_again(cast, order, stands, receive):
    before = lies(cast, "oil")
    receive(order, "oil", "4")
    actions.take_back_arrival(order, OrderMove.objects.get(), at=NOW)
    assert lies(cast, "oil") == before
    assert (stands(order).state, stands(order).lines[0].asked.came) == (Stands.SENT, 0)
    actions.take_back_arrival(order, OrderMove.objects.get(), at=NOW)  # a double tap
    assert lies(cast, "oil") == before


def test_a_number_put_right_is_what_came(order, stands, receive):
    [move] = receive(order, "oil", "4")
    correct_move(move, quantity=D(3), at=NOW)
    assert stands(order).lines[0].asked.came == 3


def test_what_was_recorded_on_an_earlier_day_or_counted_since_is_not_taken_back(cast, order, receive):
    receive(order, "oil", "4")
    came = OrderMove.objects.get()
    with pytest.raises(TooLate, match="count the shelf instead"):
        actions.take_back_arrival(order, came, at=NOW + timedelta(days=1))
    count_stock(cast.spare["oil"], cast.place["store"], counted=D(1), day=TODAY, at=NOW)
    with pytest.raises(TooLate, match="counted there since"):
        actions.take_back_arrival(order, came, at=NOW)


def test_one_orders_arrival_is_not_taken_back_through_another(cast, order, receive, wanted):
    receive(order, "oil", "4")
    other = actions.make_order(cast.base, "Loft", wanted(oil=1), at=NOW)
    with pytest.raises(OrderRefused, match="that came of another order"):
        actions.take_back_arrival(other, OrderMove.objects.get(), at=NOW)


def test_closed_nothing_more_is_waited_for_until_it_is_opened_again(order, stands, receive):
    receive(order, "oil", "1")
    actions.close_order(order, on=TODAY, why=" made no more ")
    one = stands(order)
    assert (one.state, one.late, coming([one])) == (Stands.CLOSED, 0, {})
    for act in (
        lambda: receive(order, "oil", "1"),
        lambda: actions.close_order(order, on=TODAY, why="again"),
        lambda: actions.send_order(order, sent_on=SENT, today=TODAY),
        lambda: actions.expect_order(order, expected_on=TODAY),
    ):
        with pytest.raises(OrderRefused, match="order: it is closed; wanted it opened again first"):
            act()
    actions.open_again(order)
    assert (stands(order).state, stands(order).late) == (Stands.PART, 3)


def test_an_order_is_not_closed_without_a_word(order):
    with pytest.raises(OrderRefused, match="why: wanted why"):
        actions.close_order(order, on=TODAY, why="  ")


def test_how_long_it_took_is_learned_by_part_and_by_supplier(cast, order, stands, receive):
    receive(order, "oil", "1", SENT + timedelta(4))
    receive(order, "oil", "3", SENT + timedelta(9))
    receive(order, "gas bottle", "2", SENT + timedelta(6))
    every = [stands(order)]
    assert took(every) == {cast.spare["oil"].pk: [4], cast.spare["gas bottle"].pk: [6]}
    assert took_from(every) == {"Chandlery": [6]}


def test_of_what_nobody_said_was_sent_nothing_is_learned(cast, wanted, stands, receive):
    order = actions.make_order(cast.base, "Chandlery", wanted(oil=4), at=NOW)
    receive(order, "oil", "4")
    assert (took([stands(order)]), took_from([stands(order)])) == ({}, {})


def test_another_bases_orders_are_not_among_ours(cast, order, wanted):
    elsewhere = cast.place["far store"].base
    theirs = actions.make_order(elsewhere, "Chandlery", wanted(oil=4), at=NOW)
    assert [one.order for one in orders_of(cast.base.pk, on=TODAY)] == [order]
    assert orders_of(cast.base.pk, on=TODAY, orders=[theirs.pk]) == []


def test_it_takes_as_many_queries_for_many_orders(cast, order, wanted, receive, django_assert_num_queries):
    receive(order, "oil", "1")
    for _ in range(12):
        actions.make_order(cast.base, "Loft", wanted(oil=1, gas_bottle=2), at=NOW)
    with django_assert_num_queries(5):
        assert len(orders_of(cast.base.pk, on=TODAY)) == 13


def test_a_supplier_is_asked_by_the_newest_number_and_in_packs(cast, order, stands):
    newest = make.SpareFactory(code="oil-3", part_number="0041-C", pack_of=D(2))
    between = make.SpareFactory(code="oil-2", part_number="0041-B", superseded_by=newest)
    Spare.objects.filter(code="oil").update(superseded_by=between, part_number="0041-A")
    oil, gas = asked_for(stands(order).lines)
    assert (oil.part, oil.was.part_number, oil.quantity, oil.packs) == (newest, "0041-A", 4, 2)
    assert (gas.part, gas.was, gas.packs) == (cast.spare["gas bottle"], None, None)


def test_a_number_that_is_no_whole_pack_is_not_said_in_packs(cast, order, stands):
    Spare.objects.filter(code="oil").update(pack_of=D(5))
    assert asked_for(stands(order).lines)[0].packs is None


def test_an_order_is_priced_as_its_supplier_asks_for_so_many(cast, wanted):
    for supplier, least, each in (
        ("Chandlery", 1, "9"),
        ("Chandlery", 4, "8"),
        ("Loft", 1, "5"),
        ("", 1, "7"),
    ):
        Price.objects.create(
            spare=cast.spare["oil"],
            supplier=supplier,
            from_on=SENT,
            least=least,
            each=D(each),
            currency="EUR",
        )

    def each(supplier: str, number: int) -> str:
        return str(priced(cast.base, supplier, wanted(oil=number), on=TODAY)[0].each)

    assert [each("Chandlery", 1), each("Chandlery", 4)] == ["9.00 EUR", "8.00 EUR"]
    assert each("Nobody we know", 4) == "7.00 EUR"  # what is written down for nobody in particular
    assert priced(cast.base, "Loft", wanted(gas_bottle=1), on=TODAY)[0].each is None


def test_what_comes_usually_goes_where_the_most_of_it_lies(cast):
    shelf = make.PlaceFactory(base=cast.base, code="b2", name="B2", sort="shelf")
    make.ReceivedFactory(spare=cast.spare["oil"], to_place=shelf, quantity=D(400))
    parts = {cast.spare[code].pk for code in ("oil", "gas bottle")}
    usual = usual_shelves(parts, [cast.place["store"], shelf], on=TODAY)
    assert usual == {cast.spare["oil"].pk: shelf, cast.spare["gas bottle"].pk: cast.place["store"]}


def test_what_lies_nowhere_goes_where_it_should_lie_or_nobody_knows_where(cast):
    shelf = make.PlaceFactory(base=cast.base, code="a0", name="A0, old numbers", sort="shelf")
    belt, cord = make.SpareFactory(code="belt"), make.SpareFactory(code="cord")
    make.AllowanceFactory(spare=belt, place=cast.place["store"], quantity=2)
    usual = usual_shelves({belt.pk, cord.pk}, [shelf, cast.place["store"]], on=TODAY)
    assert usual == {belt.pk: cast.place["store"]}


def test_a_superseded_part_is_asked_for_at_the_price_of_its_newest_number(cast):
    newer = make.SpareFactory(code="oil-2")
    for spare, each in ((cast.spare["oil"], "9"), (newer, "11")):
        said = {"supplier": "Chandlery", "from_on": SENT, "currency": "EUR"}
        Price.objects.create(spare=spare, each=D(each), **said)
    Spare.objects.filter(code="oil").update(superseded_by=newer)
    [one] = priced(cast.base, "Chandlery", [Wanted(cast.spare["oil"], D(1))], on=TODAY)
    assert (one.spare, str(one.each)) == (cast.spare["oil"], "11.00 EUR")
