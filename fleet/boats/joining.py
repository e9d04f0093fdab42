"""What can be done with boats: one joins a base, her terms change from a day on or are put right."""

from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.models import SINCE_EVER, Boat, BoatTerms
from fleet.ledger import correction, enter, take_back
from fleet.people.models import Person
from fleet.refused import Refused, Taken

STAYS = ("base", "flag", "area", "persons", "cabins", "state")


class TermsRefused(Refused):
    """Terms that a boat cannot have."""


@transaction.atomic
def add_boat(boat: Boat, base: Base, *, at: datetime, by: Person | None = None) -> Boat:
    """Keeps a new boat that is a base's since ever, as one loaded from a file is; Taken where
    another has her code."""
    take_turn()
    if Boat.objects.filter(code=boat.code).exists():
        raise Taken("code", boat.code)
    boat.full_clean()
    boat.save()
    enter(BoatTerms(boat=boat, base=base), at=at, by=by)
    return boat


@transaction.atomic
def add_terms(
    boat: Boat, *, at: datetime, by: Person | None = None, client_id: str | None = None, **says: Any
) -> BoatTerms:
    """Keeps what holds of a boat from a day on; what is left out stays as it was before that day.
    TermsRefused where other terms begin that day."""
    take_turn()
    before = BoatTerms.objects.standing().filter(boat=boat, from_on__lte=says["from_on"])
    last = before.order_by("from_on", "pk").last()
    stays = {name: getattr(last, name) for name in STAYS} if last is not None else {}
    terms = BoatTerms(boat=boat, **stays | says)
    _refuse_second(terms)
    return enter(terms, at=at, by=by, client_id=client_id)


@transaction.atomic
def correct_terms(
    row: BoatTerms,
    *,
    void: bool = False,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
    **changed: Any,
) -> BoatTerms:
    """Puts other terms in place of some, or takes them back; TermsRefused where the boat would be
    nobody's on a day, or under two terms from one day on."""
    take_turn()
    when: dict[str, Any] = {"at": at, "by": by, "client_id": client_id}
    kept: BoatTerms = take_back(row, **when) if void else correction(row, **when, **changed)
    if not kept.void:
        _refuse_second(kept)
    if not BoatTerms.objects.standing().filter(boat=row.boat_id, from_on__lte=SINCE_EVER).exists():
        raise TermsRefused(
            f"{'void' if void else 'from_on'}: wanted terms from {SINCE_EVER} on to stand, so that she is "
            "a base's on every day"
        )
    return kept


def _refuse_second(terms: BoatTerms) -> None:
    same = BoatTerms.objects.standing().filter(boat=terms.boat_id, from_on=terms.from_on)
    if (other := same.exclude(pk=terms.pk).first()) is not None:
        raise TermsRefused(
            f"from_on: wanted another day, or a correction of row {other.pk}, which begins then"
        )
