"""What a base says of its money: its currency, what a missing part costs, what orders and shelves do."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn


@dataclass(frozen=True, slots=True)
class SaidOfMoney:
    """In the base's currency; None: not said. `holding_percent` is of a part's price, in a year."""

    currency: str
    missed_saturday: Decimal | None = None
    order_cost: Decimal | None = None
    holding_percent: Decimal | None = None


@transaction.atomic
def say_money(base: Base, said: SaidOfMoney) -> bool:
    """Keeps what a base says of its money; whether anything changed. ValidationError names each field
    that is wrong."""
    take_turn()
    base = Base.objects.get(pk=base.pk)
    was = SaidOfMoney(base.currency, base.missed_saturday, base.order_cost, base.holding_percent)
    if was == said:
        return False
    base.currency, base.missed_saturday = said.currency, said.missed_saturday
    base.order_cost, base.holding_percent = said.order_cost, said.holding_percent
    base.full_clean()
    base.save()
    return True
