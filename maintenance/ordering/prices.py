"""What parts cost, as suppliers asked and as orders paid: rows in, prices out."""

from collections import defaultdict
from collections.abc import Collection
from decimal import Decimal

from maintenance.ordering.models import OrderLine
from maintenance.ordering.money import Asks, Money
from maintenance.spares.models import Price

ONE = Decimal(1)


def prices_of(spares: Collection[int], *, base: int) -> dict[int, list[Asks]]:
    """What was asked for each part, and what the base's orders paid, from the day they were sent;
    two queries."""
    found: dict[int, list[Asks]] = defaultdict(list)
    for row in Price.objects.filter(spare__in=spares).order_by("pk"):
        each = Money(row.each, row.currency)
        found[row.spare_id].append(Asks(row.from_on, row.least, each, row.supplier))
    paid = OrderLine.objects.filter(spare__in=spares, order__base=base, each__isnull=False)
    for line in paid.exclude(order__sent_on=None).select_related("order").order_by("pk"):
        if line.each is not None and line.order.sent_on is not None:
            each = Money(line.each, line.currency)
            found[line.spare_id].append(Asks(line.order.sent_on, ONE, each, line.order.supplier))
    return dict(found)
