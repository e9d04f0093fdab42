"""Spares, what they fit and stand for, how many should lie where, and every move of them."""

from decimal import Decimal
from typing import Any, ClassVar

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from fleet.boats.dates import spoken
from fleet.boats.models import Kind, Place
from fleet.ledger import Ledger

MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 4}
QUANTITY: dict[str, Any] = {"max_digits": 10, "decimal_places": 3}
ADDED_UP = ("spare", "lot", "day", "quantity", "void")
SAID_OF_FIT = ("maker", "model", "serial_from", "serial_to")
LEAST = MinValueValidator(Decimal("0.001"))
CURRENCY = RegexValidator(r"^[A-Z]{3}\Z", "wanted three capital letters such as EUR")


class Spare(models.Model):
    """A part as it is bought and held; numbers of parts are text and keep their zeros.

    `pack_of` is how many come in a packet, which can be opened: quantities count what is inside.
    An exchange part is one whose worn-out fellow, the core, goes back to who sold it.
    """

    code = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    part_number = models.CharField(max_length=80, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    kind = models.ForeignKey(Kind, models.PROTECT, null=True, blank=True, related_name="spares")
    supplier = models.CharField(max_length=120, blank=True)
    lead_days = models.PositiveIntegerField(null=True, blank=True)
    pack_of = models.DecimalField(default=Decimal(1), validators=[LEAST], **QUANTITY)
    exchange = models.BooleanField(default=False, help_text="the worn-out one goes back to the supplier")
    superseded_by = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="supersedes"
    )

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.name


class Instead(models.Model):
    """That another part may be used in place of one, in the base's or the maker's own words."""

    spare = models.ForeignKey(Spare, models.CASCADE, related_name="instead")
    other = models.ForeignKey(Spare, models.CASCADE, related_name="instead_of")
    words = models.CharField(max_length=200, blank=True, help_text="what to mind, and who says so")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["spare", "other"], name="instead_once"),
            models.CheckConstraint(condition=~Q(spare=models.F("other")), name="instead_of_itself"),
        ]


class SpareFit(models.Model):
    """What a part fits: things of a kind, of a maker, a model, with a serial number from one to
    another; what is blank is not asked. Each is the maker's word or the base's, and says whose."""

    spare = models.ForeignKey(Spare, models.CASCADE, related_name="fits")
    kind = models.ForeignKey(Kind, models.CASCADE, null=True, blank=True, related_name="fitted_by")
    maker = models.CharField(max_length=80, blank=True)
    model = models.CharField(max_length=80, blank=True)
    serial_from = models.CharField(max_length=80, blank=True)
    serial_to = models.CharField(max_length=80, blank=True)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["spare", "kind", *SAID_OF_FIT], name="fit_once"),
            models.UniqueConstraint(
                fields=["spare", *SAID_OF_FIT], condition=Q(kind__isnull=True), name="fit_once_of_any_kind"
            ),
            models.CheckConstraint(
                condition=Q(kind__isnull=False) | ~Q(maker="") | ~Q(model=""), name="fit_says_what"
            ),
        ]


class Price(models.Model):
    """What one of a part costs from a day on, for who buys at least so many; without tax."""

    spare = models.ForeignKey(Spare, models.CASCADE, related_name="prices")
    supplier = models.CharField(max_length=120, blank=True)
    from_on = models.DateField()
    least = models.DecimalField(default=Decimal(1), validators=[LEAST], **QUANTITY)
    each = models.DecimalField(validators=[MinValueValidator(0)], **MONEY)
    currency = models.CharField(max_length=3, validators=[CURRENCY])

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["spare", "supplier", "from_on", "least"], name="price_once")
        ]


class Lot(models.Model):
    """Parts of one delivery that must be told apart: a lot's mark, the number of the one unit, the
    last day they are good."""

    spare = models.ForeignKey(Spare, models.PROTECT, related_name="lots")
    mark = models.CharField(max_length=80, blank=True)
    serial = models.CharField(max_length=80, blank=True, help_text="of a single unit")
    expires_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["expires_on", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["spare", "mark", "serial", "expires_on"], name="lot_once"),
            models.UniqueConstraint(
                fields=["spare", "mark", "serial"],
                condition=Q(expires_on__isnull=True),
                name="lot_once_without_day",
            ),
            models.CheckConstraint(
                condition=~Q(mark="") | ~Q(serial="") | Q(expires_on__isnull=False), name="lot_says_what"
            ),
        ]

    def __str__(self) -> str:
        """As it is told apart on a shelf."""
        good = f"good to {spoken(self.expires_on)}" if self.expires_on else ""
        marked = (self.mark and f"lot {self.mark}", self.serial and f"no. {self.serial}")
        return ", ".join(filter(None, (*marked, good)))


class StockMove(Ledger):
    """So much of a spare from one place to another; on hand is the sum of these."""

    class Why(models.TextChoices):
        RECEIVED = "received"
        USED = "used"
        MOVED = "moved"
        COUNTED = "counted"
        SCRAPPED = "scrapped"
        SENT_BACK = "sent back"

    spare = models.ForeignKey(Spare, models.PROTECT, related_name="moves")
    from_place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="moves_out")
    to_place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="moves_in")
    quantity = models.DecimalField(**QUANTITY)
    why = models.CharField(max_length=9, choices=Why.choices)
    day = models.DateField()
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="moves")
    words = models.CharField(max_length=300, blank=True, help_text="how a difference is explained")

    class Meta:
        # All that a sum by place and a list of what was used want, so that they read the index alone.
        indexes: ClassVar = [
            models.Index(fields=["to_place", *ADDED_UP], name="move_came"),
            models.Index(fields=["from_place", *ADDED_UP, "why"], name="move_went"),
        ]
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


class CoreBack(Ledger):
    """That so many worn-out units of an exchange part went back to who sold them."""

    base = models.ForeignKey("fleet.Base", models.PROTECT, related_name="cores_back")
    spare = models.ForeignKey(Spare, models.PROTECT, related_name="cores_back")
    quantity = models.DecimalField(validators=[LEAST], **QUANTITY)
    day = models.DateField()
    words = models.CharField(max_length=200, blank=True, help_text="to whom, by which paper")


class KitSeal(Ledger):
    """The number of the seal that closes a box of a boat's kit since a day; blank: none was put on."""

    place = models.ForeignKey(Place, models.PROTECT, related_name="seals")
    number = models.CharField(max_length=40, blank=True)
    day = models.DateField()
    who = models.CharField(max_length=120, blank=True)
