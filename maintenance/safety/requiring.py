"""Lists of gear: a clause is kept, changed, ended; a boat goes by a list or leaves it."""

from copy import copy
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.ledger import correction, enter
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.safety.models import Adoption, Requirement

MOST = 500  # own choice: no boat carries more of one thing
COUNTS = ("list", "kind_id", "number", "per")  # what a change of cannot be told from the past


class ListRefused(Refused):
    """A clause or an adoption that cannot be as asked; `field` names what to put right."""


class LeftAlready(TooLate):
    """A list the boat has left already."""


@transaction.atomic
def add_requirement(clause: Requirement) -> Requirement:
    """Keeps a new clause of a base's list. ListRefused where it has no list or asks for no number."""
    take_turn()
    clause.list = named_as_known(clause.base, clause.list)
    _refuse(clause)
    clause.full_clean()
    clause.save()
    return clause


@transaction.atomic
def change_requirement(row: Requirement, /, *, on: date, **says: Any) -> Requirement:
    """Changes a clause from a day on: what it asked for before stays as it was for the days before.

    Only the words of it (clause, source, properties) are changed in place. ListRefused as of a new one.
    """
    take_turn()
    clause = copy(row)
    was = {name: getattr(clause, name) for name in COUNTS}
    for name, value in says.items():
        setattr(clause, name, value)
    clause.list = named_as_known(clause.base, clause.list)
    if was != {name: getattr(clause, name) for name in COUNTS} and _began_before(clause, on):
        end_requirement(row, last=on - timedelta(days=1))
        clause.pk, clause.from_on = None, on
        clause._state.adding = True
    _refuse(clause)
    clause.full_clean()
    clause.save()
    return clause


@transaction.atomic
def end_requirement(clause: Requirement, *, last: date) -> Requirement:
    """Says the last day on which a clause asks for something; it stays for the days before."""
    take_turn()
    clause.until_on = last
    if clause.from_on is not None and last < clause.from_on:
        clause.until_on = clause.from_on - timedelta(days=1)
    clause.save()
    return clause


@transaction.atomic
def adopt_list(
    boat: Boat,
    base: Base,
    name: str,
    *,
    from_on: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Adoption:
    """Says that a boat goes by a list of her base's from a day on: what is short of it then holds
    her. ListRefused where the base has no such list, or where she goes by it on or after that day."""
    take_turn()
    name = named_as_known(base, name)
    if not Requirement.objects.filter(base=base, list=name).exists():
        raise ListRefused(f"list: wanted a list of {base.name}")
    if not _looks_after(base, boat, from_on):
        raise ListRefused(f"from_on: wanted a day on which {base.name} looks after {boat.name}")
    goes_on = Q(until_on__isnull=True) | Q(until_on__gte=from_on)
    known = Adoption.objects.standing().filter(goes_on, boat=boat, list=name)
    if any(_looks_after(base, boat, row.from_on) for row in known):
        raise ListRefused(f"from_on: wanted a day after {boat.name} left {name}: she goes by it then")
    return enter(Adoption(boat=boat, list=name, from_on=from_on), at=at, by=by, client_id=client_id)


@transaction.atomic
def leave_list(adoption: Adoption, *, last: date, at: datetime, by: Person | None = None) -> Adoption:
    """Says the last day a boat goes by a list; before its first day, she never did. LeftAlready where
    somebody said so meanwhile."""
    take_turn()
    if adoption.void or adoption.until_on is not None or hasattr(adoption, "replaced_by"):
        raise LeftAlready("She left that list already")
    never = last < adoption.from_on
    says: dict[str, Any] = {"void": True} if never else {"until_on": last}
    row: Adoption = correction(adoption, at=at, by=by, **says)
    return row


def named_as_known(base: Base, name: str) -> str:
    """A list's name as the base has it already, where only capitals and spaces differ."""
    name = " ".join(name.split())
    known = Requirement.objects.filter(base=base).order_by().values_list("list", flat=True).distinct()
    return next((k for k in known if k.casefold() == name.casefold()), name)


def _looks_after(base: Base, boat: Boat, on: date) -> bool:
    return Boat.objects.filter(pk=boat.pk).base_by_boat(on).get(boat.pk) == base.pk


def _began_before(clause: Requirement, on: date) -> bool:
    return clause.from_on is None or clause.from_on < on


def _refuse(clause: Requirement) -> None:
    if not clause.list:
        raise ListRefused("list: wanted the list's name, such as coastal")
    if not 1 <= (clause.number or 0) <= MOST:
        raise ListRefused(f"number: wanted how many, from 1 to {MOST}")
    if clause.from_on and clause.until_on and clause.until_on < clause.from_on:
        raise ListRefused("until_on: wanted a day on or after the first")
