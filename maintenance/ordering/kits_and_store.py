"""Whether a part of a base's would be missing less if the store and the boats' kits shared it otherwise."""

from collections.abc import Collection

from fleet.boats.models import Fitting
from maintenance.ordering.chances import Rate
from maintenance.ordering.known import Known
from maintenance.ordering.shelf import Shelf
from maintenance.ordering.together import Together, together
from maintenance.spares.fits import Fit, fits
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import says_of, thing_of


def split_of(shelf: Shelf, known: Known, rate: Rate, boats: Collection[int]) -> Together | None:
    """The number held now, shared otherwise; None where it pays nothing, where kits are not alike, or
    nothing will be used. `rate` is of uses beyond plan in a boat-day."""
    alike = _kits(shelf.spare, known, boats)
    out = known.out.between(known.on, known.until(shelf.days))
    if alike is None or not out:
        return None
    kits, each = alike
    a_day = rate.mean * out / shelf.days / kits
    beyond = int(shelf.hold.quantity - known.planned_in(shelf.spare.pk, shelf.days))
    found = together(kits=kits, store=beyond, kit=each, rate=a_day, supplier=float(shelf.days))
    return found if found is not None and found.pays else None


def _kits(spare: Spare, known: Known, boats: Collection[int]) -> tuple[int, int] | None:
    """How many kits should hold it and how many each, or how many boats have what it fits where none
    does; None where kits differ or there is none."""
    should = [
        number for place, number in known.should.get(spare.pk, {}).items() if place in known.aboard and number
    ]
    if len(set(should)) > 1 or any(number % 1 for number in should):
        return None
    kits = len(should) or len(_boats_for(spare, boats))
    return (kits, int(should[0]) if should else 0) if kits else None


def _boats_for(spare: Spare, boats: Collection[int]) -> set[int]:
    """The boats that have what it is said to fit, or its kind where nothing is said of its fit."""
    says = says_of([spare.pk]).get(spare.pk, ())
    fitted = Fitting.objects.standing().filter(boat__in=boats, removed_on__isnull=True)
    rows = fitted.select_related("component").order_by("pk")
    return {row.boat_id for row in rows if _is_for(spare, fits(says, thing_of(row.component)), row)}


def _is_for(spare: Spare, word: Fit | None, row: Fitting) -> bool:
    return word is Fit.YES or (word is None and spare.kind_id == row.component.kind_id)
