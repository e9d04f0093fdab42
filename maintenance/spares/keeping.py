"""What can be done with the list of spares and with how many should lie where."""

from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Place
from fleet.refused import Refused, Taken
from maintenance.spares.actions import set_allowance, set_class_allowance
from maintenance.spares.fits import Says, wrong_line
from maintenance.spares.models import Allowance, Instead, Price, Spare, SpareFit
from maintenance.spares.stand_ins import superseding
from maintenance.spares.successors import makes_a_ring


class SpareRefused(Refused):
    """What is said of a part that cannot be; `field` names what to put right."""


class AllowanceRefused(Refused):
    """A word on how many should lie at a place that was given already."""


@transaction.atomic
def keep_spare(spare: Spare) -> Spare:
    """Keeps a spare, new or changed; Taken where another has its code, SpareRefused where it would come
    to supersede itself."""
    take_turn()
    if Spare.objects.filter(code=spare.code).exclude(pk=spare.pk).exists():
        raise Taken("code", spare.code)
    by = superseding()
    if spare.superseded_by_id and spare.pk and makes_a_ring(spare.pk, spare.superseded_by_id, by):
        raise SpareRefused(f"superseded_by: wanted a newer part: {_why_no_ring(spare)}")
    spare.full_clean()
    spare.save()
    return spare


def _why_no_ring(spare: Spare) -> str:
    """Why its newer number cannot be that one."""
    other = spare.superseded_by
    if other is None or other.pk == spare.pk:
        return "no part replaces itself"
    called = other.part_number or other.name
    return f"{called} is already replaced by this one, so it cannot replace it"


@transaction.atomic
def add_allowance(spare: Spare, place: Place, *, quantity: Decimal, from_on: date) -> Allowance:
    """Says how many should lie at a place from a day on; AllowanceRefused where that was said for
    the day already."""
    take_turn()
    said = Allowance.objects.filter(spare=spare, place=place, design="", from_on=from_on)
    _refuse_said(said)
    set_allowance(spare, place, quantity=quantity, from_on=from_on)
    return said.get()


@transaction.atomic
def add_class_allowance(spare: Spare, design: str, *, quantity: Decimal, from_on: date) -> Allowance:
    """Says how many should lie in the kit of every boat of a class from a day on; AllowanceRefused
    where that was said for the day already."""
    take_turn()
    _refuse_said(Allowance.objects.filter(spare=spare, place=None, design=design, from_on=from_on))
    return say_class_allowance(spare, design, quantity=quantity, from_on=from_on)


def _refuse_said(said: QuerySet[Allowance]) -> None:
    if (other := said.first()) is not None:
        raise AllowanceRefused(
            f"from_on: wanted another day, or a change of row {other.pk}, which holds then"
        )


@transaction.atomic
def say_class_allowance(spare: Spare, design: str, *, quantity: Decimal, from_on: date) -> Allowance:
    """Says how many should lie in the kit of every boat of a class from a day on; said of that day before,
    it is changed. AllowanceRefused where no boat is of that class, or for fewer than none."""
    take_turn()
    if not design or not Boat.objects.filter(design=design).exists():
        raise AllowanceRefused(f"design: found “{design}”, wanted the class of a boat of ours")
    if quantity < 0:
        raise AllowanceRefused("quantity: wanted how many, 0 or more")
    set_class_allowance(spare, design, quantity=quantity, from_on=from_on)
    return Allowance.objects.get(spare=spare, place=None, design=design, from_on=from_on)


@transaction.atomic
def drop_allowance(allowance: Allowance) -> None:
    """Takes one word back: the one before it counts again."""
    take_turn()
    Allowance.objects.filter(pk=allowance.pk).delete()


@transaction.atomic
def keep_fit(fit: SpareFit) -> SpareFit:
    """Keeps what a part fits, new or changed; SpareRefused where nothing is said of what, or the
    serial numbers run backwards, or it is said already."""
    take_turn()
    says = Says(fit.kind_id, fit.maker, fit.model, fit.serial_from, fit.serial_to)
    if (wrong := wrong_line(says)) is not None:
        raise SpareRefused("{}: wanted {}".format(*wrong))
    said = {
        name: getattr(fit, name) for name in ("spare", "kind", "maker", "model", "serial_from", "serial_to")
    }
    if SpareFit.objects.filter(**said).exclude(pk=fit.pk).exists():
        raise SpareRefused("model: this is said already")
    fit.full_clean()
    fit.save()
    return fit


@transaction.atomic
def keep_instead(spare: Spare, other: Spare, *, words: str = "") -> Instead:
    """Says that another part may be used instead of one, in other words where it was said before."""
    take_turn()
    if spare == other:
        raise SpareRefused("other: wanted another part")
    row, _ = Instead.objects.update_or_create(spare=spare, other=other, defaults={"words": words})
    return row


@transaction.atomic
def keep_price(price: Price) -> Price:
    """Keeps what a part costs, new or changed; SpareRefused where that was said for the day already."""
    take_turn()
    said = Price.objects.filter(
        spare=price.spare, supplier=price.supplier, from_on=price.from_on, least=price.least
    )
    if (other := said.exclude(pk=price.pk).first()) is not None:
        raise SpareRefused(f"from_on: wanted another day, or a change of row {other.pk}, which holds then")
    price.full_clean()
    price.save()
    return price


@transaction.atomic
def drop(row: SpareFit | Instead | Price) -> None:
    """Takes one word back."""
    take_turn()
    type(row).objects.filter(pk=row.pk).delete()
