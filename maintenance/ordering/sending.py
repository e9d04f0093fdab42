"""An order that goes out as its lines were last typed, in one go."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from maintenance.ordering.actions import Wanted, change_order, send_order
from maintenance.ordering.models import Order
from maintenance.ordering.orders import Line


@transaction.atomic
def send_as_typed(
    order: Order,
    wanted: Sequence[Wanted],
    *,
    words: str,
    sent_on: date,
    expected_on: date | None = None,
    number: str = "",
    today: date,
) -> Order:
    """Keeps the lines and words as typed, then sends it; OrderRefused as either, and then neither is
    kept. Lines that say what the order says already change nothing, so that it can be said twice."""
    if not _says(order, wanted, words):
        order = change_order(order, wanted, words=words)
    return send_order(order, sent_on=sent_on, expected_on=expected_on, number=number, today=today)


def _says(order: Order, wanted: Sequence[Wanted], words: str) -> bool:
    typed = {one.spare.pk: (one.quantity, one.each) for one in wanted}
    lines = {line.spare_id: (line.quantity, Line(line).each) for line in order.lines.all()}
    return typed == lines and len(typed) == len(wanted) and words == order.words
