"""What is typed on the pages of orders goes out with them, and every answer names what was done."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.ordering import actions
from maintenance.ordering.actions import Wanted
from maintenance.ordering.models import Order
from maintenance.spares.actions import use_spare
from maintenance.spares.models import Price, Spare
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said

D = Decimal


@pytest.fixture
def unsent(cast) -> Order:
    return actions.make_order(cast.base, "Chandlery", [Wanted(cast.spare["oil"], D(4))], at=NOW)


def at(name: str, *args: object) -> str:
    return reverse(name, args=["harbour", *args])


def html(browser, where: str, **asked) -> str:
    answer = browser.get(where, asked)
    assert answer.status_code == 200
    return answer.content.decode()


def typed(line, quantity: str, each: str) -> dict[str, str]:
    """The fields of an order of one line."""
    fields = {f"lines-{line.pk}-quantity": quantity, f"lines-{line.pk}-each": each}
    return fields | {"lines-words": "call first"}


def test_what_was_typed_in_the_lines_goes_out_with_it(cast, unsent, engineer):
    page = html(engineer, at("order", unsent.pk))
    assert '<form method="post" class="sheet" id="lines" novalidate>' in page
    for name in ("sent_on", "expected_on", "number"):
        assert 'form="lines"' in re.search(rf'<input[^>]*name="send-{name}"[^>]*>', page)[0]
    assert '<button class="main" form="lines" name="what" value="send">It is sent</button>' in page
    [line] = unsent.lines.all()
    sent = {"what": "send", "send-sent_on": "2026-05-27", "send-number": "B 9"} | typed(line, "6", "8 EUR")
    for _ in range(2):  # a double tap says the same again
        assert engineer.post(at("order", unsent.pk), sent).status_code == 302
    unsent.refresh_from_db()
    [line] = unsent.lines.all()
    assert (line.quantity, line.each, unsent.words, unsent.number) == (6, 8, "call first", "B 9")
    assert unsent.sent_on == TODAY - timedelta(1)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"quantity": "many"}, "How many oil: found “many”"),
        ({"quantity": ""}, "wanted at least one part"),
        ({"each": "12 euro"}, "wanted a price such as 12.50"),
        ({"sent_on": "2026-05-29"}, "Sent on: wanted a day up to today"),
        ({"expected_on": "soon"}, "To be here on: wanted a day"),
    ],
)
def test_what_cannot_go_out_so_is_said_at_its_field_and_neither_is_kept(cast, unsent, engineer, more, told):
    [line] = unsent.lines.all()
    sent = {"what": "send", "send-sent_on": "2026-05-27", "send-number": "B 9"}
    sent |= typed(line, more.get("quantity", "6"), more.get("each", "8 EUR"))
    sent |= {f"send-{name}": text for name, text in more.items() if name.endswith("_on")}
    answer = engineer.post(at("order", unsent.pk), sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert 'value="B 9"' in answer.content.decode()
    assert f'value="{more.get("quantity", "6")}"' in answer.content.decode() or more.get("quantity") == ""
    unsent.refresh_from_db()
    assert (unsent.sent_on, unsent.words, unsent.lines.get().quantity) == (None, "", 4)


def test_lines_changed_after_somebody_else_sent_it_are_refused_and_the_page_says_so(cast, unsent, engineer):
    [line] = unsent.lines.all()
    actions.send_order(unsent, sent_on=TODAY, today=TODAY)
    sent = {"what": "send", "send-sent_on": "2026-05-27"} | typed(line, "6", "")
    answer = engineer.post(at("order", unsent.pk), sent)
    assert answer.status_code == 422
    assert "it is sent; wanted another order for what is wanted beside" in said(answer)
    assert unsent.lines.get().quantity == 4


def test_keeping_the_lines_keeps_what_was_typed_of_its_sending_on_the_page(unsent, engineer):
    [line] = unsent.lines.all()
    sent = {"what": "lines", "send-sent_on": "2026-05-27", "send-number": "B 9"} | typed(line, "6", "")
    answer = engineer.post(at("order", unsent.pk), sent, follow=True)
    assert "The lines are kept" in said(answer)
    assert 'value="B 9"' in answer.content.decode()
    wrong = engineer.post(at("order", unsent.pk), sent | typed(line, "many", ""))
    assert wrong.status_code == 422
    assert 'value="B 9"' in wrong.content.decode()


def test_what_came_is_named_with_its_shelf_and_what_is_more_than_ordered_or_ran_out(cast, unsent, engineer):
    [line] = unsent.lines.all()
    sent = {"what": "receive", "client_id": "tap", "came-day": "2026-05-28"}
    sent |= {f"came-quantity-{line.pk}": "40", f"came-place-{line.pk}": str(cast.place["store"].pk)}
    sent |= {f"came-mark-{line.pk}": "L 7", f"came-expires_on-{line.pk}": "2020-01-31"}
    for _ in range(2):  # told the same again where it is tapped twice
        text = said(engineer.post(at("order", unsent.pk), sent, follow=True))
        assert "40 l oil put on Store. oil: 36 l more than ordered." in text
        assert "oil: ran out on Fri 31 Jan 2020: it does not count as stock." in text


def test_what_came_as_ordered_is_named_and_nothing_is_said_beside(cast, unsent, engineer):
    [line] = unsent.lines.all()
    sent = {"what": "receive", "came-day": "2026-05-28", f"came-expires_on-{line.pk}": "2026-05-28"}
    sent |= {f"came-quantity-{line.pk}": "4", f"came-place-{line.pk}": str(cast.place["store"].pk)}
    text = said(engineer.post(at("order", unsent.pk), sent, follow=True))
    assert "4 l oil put on Store." in text
    assert "more than ordered" not in text
    assert "ran out" not in text  # it is good on its last day still


def test_where_nobody_knows_its_shelf_none_is_chosen_and_one_must_be(cast, engineer):
    make.PlaceFactory(base=cast.base, code="a0", name="A0, old numbers", sort="shelf")
    belt = make.SpareFactory(code="belt", name="Drive belt")
    order = actions.make_order(cast.base, "Chandlery", [Wanted(belt, D(2))], at=NOW)
    [line] = order.lines.all()
    page = html(engineer, at("order", order.pk))
    place = re.search(rf'<select name="came-place-{line.pk}".*?</select>', page, re.DOTALL)[0]
    assert re.search(r'<option value="" selected>choose a shelf', place)
    sent = {"what": "receive", "all": "yes", "came-day": "2026-05-28", f"came-place-{line.pk}": ""}
    answer = engineer.post(at("order", order.pk), sent)
    assert "Shelf for Drive belt: wanted a shelf to put it on" in said(answer)


def test_a_new_order_says_what_was_written(cast, engineer):
    sent = {"supplier": "", "whom": "Quay", "other0-part": "gas bottle", "other0-quantity": "2"}
    sent |= {"other1-part": "oil", "other1-quantity": "4,5"}
    text = said(engineer.post(at("new-order"), sent, follow=True))
    assert "Written: 2 gas bottle, 4.5 l oil. The order of Quay is to be sent still." in text


def test_a_superseded_part_is_offered_by_its_newest_number_at_that_ones_price(cast, engineer):
    newer = make.SpareFactory(code="oil-2", name="Oil", part_number="0042-B")
    Spare.objects.filter(code="oil").update(superseded_by=newer)
    for spare, each in ((cast.spare["oil"], "9"), (newer, "11")):
        Price.objects.create(spare=spare, from_on=TODAY, each=D(each), currency="EUR")
    page = html(engineer, at("new-order"), part=cast.spare["oil"].pk)
    assert "Ordered by its newest number, 0042-B" in page
    assert "11.00 EUR each" in page
    assert "9.00 EUR" not in page


def test_what_is_written_down_and_not_sent_is_not_offered_in_full_again(cast, engineer):
    use_spare(cast.spare["gas bottle"], cast.place["store"], quantity=D(3), day=TODAY, at=NOW)
    order = actions.make_order(cast.base, "Gas depot", [Wanted(cast.spare["gas bottle"], D(2))], at=NOW)
    page = html(engineer, at("new-order"))
    field = re.search(rf'<input[^>]*name="quantity-{cast.spare["gas bottle"].pk}"[^>]*>', page)[0]
    assert 'value="1"' in field
    assert "2 written in an order not sent yet." in page
    assert "2 written in an order not sent yet." in html(engineer, at("spares"))
    actions.change_order(order, [Wanted(cast.spare["gas bottle"], D(3))])
    assert f'name="quantity-{cast.spare["gas bottle"].pk}"' not in html(engineer, at("new-order"))
    asked = html(engineer, at("new-order"), part=cast.spare["gas bottle"].pk)
    assert "Nothing more is missing: 3 written in an order not sent yet." in asked
    actions.close_order(order, on=TODAY, why="made no more")
    assert "not sent yet" not in html(engineer, at("new-order"))
