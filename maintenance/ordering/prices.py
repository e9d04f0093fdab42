"""What parts cost, as suppliers asked and as orders paid: rows in, prices out."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal

from maintenance.ordering.models import OrderLine
from maintenance.ordering.money import Asks, Money, price_of
from maintenance.spares.models import Price

ONE = Decimal(1)


def prices_of(spares: Collection[int] | None, *, base: int) -> dict[int, list[Asks]]:
    """What was asked for each of these parts, or of all, and what the base's orders paid, from the day
    they were sent, for as many as that price is asked for; two queries."""
    found: dict[int, list[Asks]] = defaultdict(list)
    columns = ("spare_id", "from_on", "least", "each", "currency", "supplier")
    of = {} if spares is None else {"spare__in": spares}
    rows = Price.objects.filter(**of).order_by("pk").values_list(*columns)
    for spare, from_on, least, amount, currency, supplier in rows:
        found[spare].append(Asks(from_on, least, Money(amount, currency), supplier))
    paid = OrderLine.objects.filter(**of, order__base=base, each__isnull=False)
    for line in paid.exclude(order__sent_on=None).select_related("order").order_by("pk"):
        if line.each is not None and line.order.sent_on is not None:
            each = Money(line.each, line.currency)
            supplier, sent_on = line.order.supplier, line.order.sent_on
            least = _least(found[line.spare_id], supplier, line.quantity)
            found[line.spare_id].append(Asks(sent_on, least, each, supplier))
    return dict(found)


def _least(asks: Sequence[Asks], supplier: str, bought: Decimal) -> Decimal:
    """How many one has to buy for a price that was paid: those of the break it was bought at, or else
    what is paid for eight hundred would be what one costs."""
    reached = (one.least for one in asks if one.supplier == supplier and one.least <= bought)
    return max(reached, default=ONE)


def asked_by(supplier: str, asks: Sequence[Asks], *, on: date, quantity: Decimal) -> Money | None:
    """What one costs of so many at a supplier on a day: what that one asks, or else what is written
    down for nobody in particular; None where neither is known."""
    own = price_of(asks, on=on, quantity=quantity, supplier=supplier)
    return own or price_of(asks, on=on, quantity=quantity, supplier="")
