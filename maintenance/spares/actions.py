"""What can be done with spares: use them, count them, say how many should lie where."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.spares.facts import hands
from maintenance.spares.models import Allowance, Spare, StockMove


@transaction.atomic
def use_spare(
    spare: Spare,
    place: Place | None,
    *,
    quantity: Decimal,
    day: date,
    at: datetime,
    by: Person | None = None,
) -> StockMove:
    """Takes so much from a place. Never refused for want of stock: the book then goes below zero
    and the place is to be counted."""
    move = StockMove(spare=spare, from_place=place, quantity=quantity, why="used", day=day)
    return _keep(move, at, by)


@transaction.atomic
def count_stock(
    spare: Spare, place: Place, *, counted: Decimal, day: date, at: datetime, by: Person | None = None
) -> StockMove | None:
    """Makes the book say what was counted, by one move of the difference; None where it did."""
    difference = counted - hands([place.pk]).get((spare.pk, place.pk), Decimal(0))
    if not difference:
        return None
    where = {"to_place": place} if difference > 0 else {"from_place": place}
    move = StockMove(spare=spare, quantity=abs(difference), why="counted", day=day, **where)
    return _keep(move, at, by)


def set_allowance(spare: Spare, place: Place, *, quantity: Decimal | None, from_on: date) -> None:
    """Says how many should lie at a place from a day on; blank takes the word back."""
    if quantity is None:
        Allowance.objects.filter(spare=spare, place=place).delete()
        return
    Allowance.objects.update_or_create(
        spare=spare, place=place, design="", from_on=from_on, defaults={"quantity": quantity}
    )


def _keep(move: StockMove, at: datetime, by: Person | None) -> StockMove:
    move.recorded_at, move.recorded_by = at, by
    move.full_clean()
    move.save()
    return move
