"""What a phone says of things aboard, matched to the boat as she is now; what is gone is kept in words."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from fleet.boats.models import Boat, Meter, Place
from maintenance.pages.fields import hours_field, quantity_field
from maintenance.pages.phone.body import Said
from maintenance.pages.way_in import WayIn
from maintenance.pages.whereabouts import UNSURE, Where, wheres
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare
from maintenance.turnaround.by_phone import Odd

MOST_LABEL, MOST_USED_WORDS = 120, 300
CUT = "…"

Kit = dict[str, tuple[Spare, Place]]


@dataclass(slots=True)
class Matched:
    """A boat and what was found aboard; `notes` go below the words in the base's own language."""

    boat: Boat
    where: Where | None = None
    used: list[SpareUsed] = field(default_factory=list)
    dials: dict[Meter, Decimal] = field(default_factory=dict)
    photographed: dict[str, Meter] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    odd: list[Odd] = field(default_factory=list)

    def add(self, note: str, odd: Odd | None = None) -> None:
        self.notes.append(note)
        if odd is not None and odd not in self.odd:
            self.odd.append(odd)


def matched(given: Said, way: WayIn) -> Matched:
    """The boat a phone names and what it says of her. A boat the charter never had is not guessed at:
    the report goes to the charter's own, and the base is told."""
    by_number = {boat.pk: boat for boat in way.boats}
    boat = by_number.get(given.number("boat"))
    found = Matched(boat or way.boat)
    _match_where(given, found)
    if boat is None:
        named = given.short("boat_name", MOST_LABEL) or "none"
        found.add(f"Boat on the phone: {named}", Odd.WRONG_BOAT)
    _match_used(given, found, way.today)
    return found


def _match_where(given: Said, found: Matched) -> None:
    value = given.short("where", MOST_LABEL)
    if not value or value == UNSURE:
        return
    found.where = next((where for where in wheres(found.boat) if where.value == value), None)
    if found.where is None:
        named = given.short("where_said", MOST_LABEL) or value
        found.add(f"Where: {named}", Odd.NOT_ABOARD)
    elif found.where.note:
        found.add(found.where.note)


def _match_used(given: Said, found: Matched, today: date) -> None:
    """Spares of the boat's own kit; what is not of it, or is no number, is told in words."""
    used = given.listed("used")
    kit = _kit(found.boat, today) if used else {}
    for one in used:
        quantity, its = one.short("quantity", 30), kit.get(one.short("kit", 60))
        many = _number(quantity_field("quantity"), quantity)
        if its is not None and many:
            found.used.append(SpareUsed(*its, many))
        elif quantity.strip("0.,"):
            named = one.short("name", MOST_LABEL) or "a spare"
            found.add(f"Used: {quantity} × {named}", Odd.NO_NUMBER if many is None else Odd.NOT_ABOARD)
    if words := given.short("used_words", MOST_USED_WORDS):
        found.add(f"Used: {words}")


def _kit(boat: Boat, today: date) -> Kit:
    """What ever lay aboard or should lie there, each as `kit-4-9` for spare 4 in place 9."""
    places = Place.objects.filter(boat=boat).in_bulk()
    there = {*hands(places.keys()), *allowances(on=today, places=places.keys())}
    spares = Spare.objects.in_bulk({spare for spare, _ in there})
    return {f"kit-{spare}-{place}": (spares[spare], places[place]) for spare, place in there}


def match_dials(given: Said, found: Matched) -> None:
    """Hours by meter, and which photo is of which dial; what is no number, of no meter of hers, or
    the second of one is told in words."""
    meters = {meter.pk: meter for meter in found.boat.meters.all()}
    for one in given.listed("dials"):
        typed, meter = one.short("hours", 30), meters.get(one.number("meter"))
        if meter is not None and (photo := one.short("photo", 64)):
            found.photographed[photo] = meter
        hours = _number(hours_field("hours"), typed)
        if meter is not None and hours is not None and meter not in found.dials:
            found.dials[meter] = hours
        elif typed:
            odd = Odd.NO_NUMBER if hours is None else Odd.NOT_ABOARD
            found.add(f"Hour meter, {one.short('name', MOST_LABEL)}: {typed}", odd)


def _number(field_of: Any, text: str) -> Decimal | None:
    try:
        found: Decimal | None = field_of.clean(text)
    except ValidationError:
        return None
    return found


def in_lines(notes: Iterable[str], most: int) -> str:
    """Notes below one another; where they grow past what fits, it shows that they were cut."""
    text = "\n\n".join(notes)
    return text if len(text) <= most else text[: most - len(CUT)] + CUT
