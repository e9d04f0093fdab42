"""What can be done with a base's round: begin with the usual list, add a check, word it, move it, end it."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction
from django.db.models import Q

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.refused import Refused
from maintenance.defects.rules import FUNCTIONS
from maintenance.turnaround.models import RoundItem
from maintenance.turnaround.usual_round import USUAL_ROUND


class RoundRefused(Refused):
    """A round, or a check of it, that cannot be kept as given; `field` names what to put right."""


def items_of(boat: Boat, base: Base, on: date) -> list[RoundItem]:
    """The checks of a boat's round on a day, in the order they are walked."""
    asked = Q(until_on__isnull=True) | Q(until_on__gte=on)
    classes = {"", boat.design}
    return list(RoundItem.objects.filter(asked, base=base, design__in=classes).order_by("number", "pk"))


@transaction.atomic
def start_with_usual(base: Base) -> list[RoundItem]:
    """Copies the usual list to a base that has no check yet; a base that has keeps its own."""
    take_turn()
    if not RoundItem.objects.filter(base=base).exists():
        for number, usual in enumerate(USUAL_ROUND, start=1):
            row = RoundItem(base=base, number=number, words=usual.words, caution=usual.caution)
            row.function, row.asks = usual.function, usual.asks
            _keep(row)
    return list(RoundItem.objects.filter(base=base))


@transaction.atomic
def add_item(
    base: Base,
    *,
    words: str,
    caution: str = "",
    function: str = "",
    design: str = "",
    asks: str = RoundItem.Asks.IN_ORDER,
    until_on: date | None = None,
    after: int | None = None,
) -> RoundItem:
    """Adds a check to a base's round, behind so many others; at its end where `after` is None.
    RoundRefused names what to put right."""
    take_turn()
    rows = list(RoundItem.objects.filter(base=base).order_by("number", "pk"))
    if after is not None and not 0 <= after <= len(rows):
        raise RoundRefused(f"after: wanted the number of a check, 0 to {len(rows)}, or none for the end")
    row = RoundItem(base=base, design=design, words=words.strip())
    row.number = max((other.number for other in rows), default=0) + 1
    row.caution, row.function, row.asks, row.until_on = caution.strip(), function, asks, until_on
    _keep(row)
    if after is not None:
        _number([*rows[:after], row, *rows[after:]])
    return row


@transaction.atomic
def change_item(
    item: RoundItem,
    *,
    words: str,
    caution: str = "",
    function: str = "",
    design: str = "",
    until_on: date | None = None,
) -> RoundItem:
    """Words a check otherwise, or says until when it is asked; rounds walked keep their words.
    RoundRefused names what to put right."""
    take_turn()
    row = RoundItem.objects.get(pk=item.pk)
    row.words, row.caution, row.function = words.strip(), caution.strip(), function
    row.design, row.until_on = design, until_on
    return _keep(row)


@transaction.atomic
def move_item(item: RoundItem, *, earlier: bool) -> None:
    """Moves a check one place earlier or later in its base's round; at the end it stays."""
    take_turn()
    rows = list(RoundItem.objects.filter(base=item.base_id).order_by("number", "pk"))
    at = next(n for n, row in enumerate(rows) if row.pk == item.pk)
    to = at - 1 if earlier else at + 1
    if 0 <= to < len(rows):
        rows[at], rows[to] = rows[to], rows[at]
    _number(rows)


def _number(rows: Iterable[RoundItem]) -> None:
    for number, row in enumerate(rows, start=1):
        if row.number != number:
            row.number = number
            row.save(update_fields=["number"])


def _keep(row: RoundItem) -> RoundItem:
    if not row.words:
        raise RoundRefused("words: wanted what is checked, such as Bilge dry")
    if row.function and row.function not in FUNCTIONS:
        raise RoundRefused(f"function: wanted {', '.join(FUNCTIONS)}, or none")
    row.full_clean()
    row.save()
    return row
