"""Which other parts may stand for one: its newer and older numbers, and what the base says may be used
instead; and whether a part fits a thing aboard. Rows in, words out."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q

from fleet.boats.models import Component
from maintenance.spares.fits import Fit, Says, Thing, fits
from maintenance.spares.models import Instead, Spare, SpareFit
from maintenance.spares.successors import By, newer, older


@dataclass(frozen=True, slots=True)
class StandIn:
    """A part that may be used for another, and why."""

    spare: Spare
    why: str


def superseding() -> By:
    """Every part that was superseded, and by which; one query."""
    rows = Spare.objects.filter(superseded_by__isnull=False).order_by()
    return dict(rows.values_list("pk", "superseded_by"))


def stand_ins(spares: Collection[int]) -> dict[int, tuple[StandIn, ...]]:
    """What may stand for each of these parts: what the base says first, then the newest number, then
    the older ones; three queries."""
    by, words = superseding(), _instead(spares)
    found = {key: dict([*words.get(key, ()), *_by_number(key, by)]) for key in spares}
    rows = Spare.objects.in_bulk({other for of in found.values() for other in of})
    return {
        key: tuple(StandIn(rows[other], why) for other, why in of.items()) for key, of in found.items() if of
    }


def _by_number(part: int, by: By) -> list[tuple[int, str]]:
    later = [*newer(part, by)][::-1]
    return [(other, "its newer number") for other in later] + [
        (other, "its older number") for other in older(part, by)
    ]


def _instead(spares: Collection[int]) -> dict[int, list[tuple[int, str]]]:
    found: dict[int, list[tuple[int, str]]] = defaultdict(list)
    rows = Instead.objects.filter(spare__in=spares).order_by("pk")
    for spare, other, words in rows.values_list("spare_id", "other_id", "words"):
        found[spare].append((other, f"instead: {words}" if words else "instead"))
    return dict(found)


def thing_of(component: Component) -> Thing:
    """Its plate as it was written down."""
    return Thing(component.kind_id, component.maker, component.model, component.serial)


def says_of(spares: Collection[int]) -> dict[int, list[Says]]:
    """What is said of each part's fit; one query."""
    found: dict[int, list[Says]] = defaultdict(list)
    rows = SpareFit.objects.filter(spare__in=spares).order_by("pk")
    for row in rows:
        says = Says(row.kind_id, row.maker, row.model, row.serial_from, row.serial_to)
        found[row.spare_id].append(says)
    return dict(found)


def parts_for(component: Component) -> list[tuple[Spare, Fit]]:
    """The parts that are said to fit a thing, or may; those that do first. Three queries."""
    found = parts_for_each([component])[component.pk]
    return [(spare, word) for spare, word in found if word is not None]


def parts_for_each(components: Collection[Component]) -> dict[int, list[tuple[Spare, Fit | None]]]:
    """The parts that are said to fit each of these things, or may; those that do first, and last those of
    its kind of which nothing is said. Three queries, whatever their number."""
    kinds = {component.kind_id for component in components}
    of_kind = Q(kind__in=kinds)
    keys = set(SpareFit.objects.filter(of_kind | Q(kind=None)).values_list("spare", flat=True))
    spares = {spare.pk: spare for spare in Spare.objects.filter(of_kind | Q(pk__in=keys))}
    says = says_of(spares)
    found = {}
    for component in components:
        thing = thing_of(component)
        words = {key: fits(says.get(key, ()), thing) for key in spares}
        told = [(spare, words[key]) for key, spare in spares.items() if _is_for(spare, words[key], thing)]
        found[component.pk] = sorted(told, key=_fit_first)
    return found


def _is_for(spare: Spare, word: Fit | None, thing: Thing) -> bool:
    return word in (Fit.YES, Fit.MAY) or (word is None and spare.kind_id == thing.kind)


def _fit_first(one: tuple[Spare, Fit | None]) -> tuple[int, str, str]:
    spare, word = one
    return ([Fit.YES, Fit.MAY, None].index(word), spare.name, spare.code)
