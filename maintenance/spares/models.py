"""Spares, how many should lie where, and every move of them."""

from typing import Any, ClassVar

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.boats.models import Kind, Place
from fleet.ledger import Ledger

QUANTITY: dict[str, Any] = {"max_digits": 10, "decimal_places": 3}


class Spare(models.Model):
    """A part as it is bought and held; numbers of parts are text and keep their zeros."""

    code = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    part_number = models.CharField(max_length=80, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    kind = models.ForeignKey(Kind, models.PROTECT, null=True, blank=True, related_name="spares")
    supplier = models.CharField(max_length=120, blank=True)
    lead_days = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.name


class StockMove(Ledger):
    """So much of a spare from one place to another; on hand is the sum of these."""

    class Why(models.TextChoices):
        RECEIVED = "received"
        USED = "used"
        MOVED = "moved"
        COUNTED = "counted"
        SCRAPPED = "scrapped"

    spare = models.ForeignKey(Spare, models.PROTECT, related_name="moves")
    from_place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="moves_out")
    to_place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="moves_in")
    quantity = models.DecimalField(**QUANTITY)
    why = models.CharField(max_length=8, choices=Why.choices)
    day = models.DateField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="move_quantity"),
            models.CheckConstraint(
                condition=Q(from_place__isnull=False) | Q(to_place__isnull=False), name="move_place"
            ),
        ]


class Allowance(models.Model):
    """How many of a spare should lie at a place, or aboard every boat of a design, from a day on."""

    place = models.ForeignKey(Place, models.CASCADE, null=True, blank=True, related_name="allowances")
    design = models.CharField(max_length=120, blank=True)
    spare = models.ForeignKey(Spare, models.CASCADE, related_name="allowances")
    quantity = models.DecimalField(validators=[MinValueValidator(0)], **QUANTITY)
    from_on = models.DateField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["place", "design", "spare", "from_on"], name="allowance_once")
        ]
