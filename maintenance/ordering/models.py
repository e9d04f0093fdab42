"""What was ordered of whom, and which moves of stock brought it."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from maintenance.spares.models import CURRENCY, LEAST, MONEY, QUANTITY, Spare, StockMove


class Order(models.Model):
    """One order of a base to one supplier; how it stands follows from its days and from what came."""

    base = models.ForeignKey("fleet.Base", models.PROTECT, related_name="orders")
    supplier = models.CharField(max_length=120)
    number = models.CharField(max_length=60, blank=True, help_text="the supplier's or the base's own")
    words = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    client_id = models.CharField(max_length=64, null=True, blank=True, unique=True)
    sent_on = models.DateField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True, help_text="as the supplier said")
    closed_on = models.DateField(null=True, blank=True, help_text="nothing more is waited for")
    closed_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.supplier} {self.number}".rstrip()


class OrderLine(models.Model):
    """So much of a part in an order, and what one of them costs there, where that is known."""

    order = models.ForeignKey(Order, models.CASCADE, related_name="lines")
    spare = models.ForeignKey(Spare, models.PROTECT, related_name="order_lines")
    quantity = models.DecimalField(validators=[LEAST], **QUANTITY)
    each = models.DecimalField(null=True, blank=True, **MONEY)
    currency = models.CharField(max_length=3, blank=True, validators=[CURRENCY])

    class Meta:
        ordering: ClassVar = ["pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "spare"], name="order_line_once"),
            models.CheckConstraint(
                condition=models.Q(each__isnull=True) | ~models.Q(currency=""), name="order_price_currency"
            ),
        ]


class OrderMove(models.Model):
    """A move of stock that brought some of what a line ordered."""

    line = models.ForeignKey(OrderLine, models.PROTECT, related_name="moves")
    move = models.OneToOneField(StockMove, models.PROTECT, related_name="order")
