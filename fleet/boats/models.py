"""Boats, their places and meters, and the parts fitted to them."""

from datetime import date
from typing import Any, ClassVar, Self

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import OuterRef, Q, Subquery

from fleet.ledger import Ledger

DIAL: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}
SINCE_EVER = date(1900, 1, 1)


class BoatQuerySet(models.QuerySet["Boat"]):
    def base_by_boat(self, on: date) -> dict[int, int]:
        """The base whose terms are in force on a day, by boat."""
        rows = self.annotate(base_now=_base_on(on)).filter(base_now__isnull=False)
        return dict(rows.values_list("pk", "base_now"))

    def of_base(self, base: int, on: date) -> Self:
        """The boats a base looks after on a day; only those it ever had are looked at."""
        ever = BoatTerms.objects.standing().filter(base=base).values("boat")
        return self.filter(pk__in=ever).alias(base_now=_base_on(on)).filter(base_now=base)


def _base_on(day: date) -> Subquery:
    terms = BoatTerms.objects.standing().filter(boat=OuterRef("pk"), from_on__lte=day)
    return Subquery(terms.order_by("-from_on", "-pk").values("base")[:1])


class Boat(models.Model):
    code = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=120)
    design = models.CharField(max_length=120, blank=True)
    built = models.PositiveIntegerField(null=True, blank=True, help_text="year")
    hull_no = models.CharField(max_length=40, blank=True)
    fuel_l = models.PositiveIntegerField(null=True, blank=True, help_text="litres")
    water_l = models.PositiveIntegerField(null=True, blank=True, help_text="litres")

    objects = BoatQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.name


class BoatTerms(Ledger):
    """From a day on: whose boat she is, where she may sail, how many she carries."""

    class State(models.TextChoices):
        IN_USE = "in use"
        LAY_UP = "lay-up"
        FITTING_OUT = "fitting-out"

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="terms")
    from_on = models.DateField(default=SINCE_EVER)
    base = models.ForeignKey("fleet.Base", models.PROTECT, related_name="+")
    flag = models.CharField(max_length=40, blank=True)
    area = models.CharField(max_length=40, blank=True)
    persons = models.PositiveIntegerField(null=True, blank=True)
    cabins = models.PositiveIntegerField(null=True, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.IN_USE)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "from_on"])]


class Place(models.Model):
    """Where a thing lies: in a base's store or aboard a boat, down to the shelf or locker."""

    class Sort(models.TextChoices):
        STORE = "store"
        SHELF = "shelf"
        LOCKER = "locker"
        ABOARD = "aboard"
        ASTRAY = "astray"  # where a base's book has what is not where it should be

    base = models.ForeignKey("fleet.Base", models.PROTECT, null=True, blank=True, related_name="places")
    boat = models.ForeignKey(Boat, models.PROTECT, null=True, blank=True, related_name="places")
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="inside")
    code = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    sort = models.CharField(max_length=8, choices=Sort.choices)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(base__isnull=True, boat__isnull=False) | Q(base__isnull=False, boat__isnull=True),
                name="place_base_or_boat",
            ),
            models.UniqueConstraint(fields=["base", "parent", "code"], name="place_once_in_base"),
            models.UniqueConstraint(fields=["boat", "parent", "code"], name="place_once_aboard"),
            models.UniqueConstraint(
                fields=["base", "code"], condition=Q(parent__isnull=True), name="place_top_in_base"
            ),
            models.UniqueConstraint(
                fields=["boat", "code"], condition=Q(parent__isnull=True), name="place_top_aboard"
            ),
        ]

    def __str__(self) -> str:
        return self.name if self.parent is None else f"{self.parent.name}, {self.name}"


class Kind(models.Model):
    """A sort of component: impeller, drive belt, life raft."""

    code = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=120)
    system = models.CharField(max_length=60)
    function = models.CharField(max_length=60, blank=True)
    date_required = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.name


class KindDate(models.Model):
    """One of the dates a kind of thing carries: a life raft's service, its release unit, its test."""

    kind = models.ForeignKey(Kind, models.CASCADE, related_name="dates")
    what = models.CharField(max_length=40)

    class Meta:
        ordering: ClassVar = ["what"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["kind", "what"], name="kind_date_once")]

    def __str__(self) -> str:
        return self.what


class Component(models.Model):
    """One thing with a history; where it is stands in its fittings."""

    code = models.CharField(max_length=64, unique=True)
    kind = models.ForeignKey(Kind, models.PROTECT, related_name="components")
    maker = models.CharField(max_length=80, blank=True)
    model = models.CharField(max_length=80, blank=True)
    serial = models.CharField(max_length=80, blank=True)
    date_code = models.CharField(max_length=40, blank=True)
    made_on = models.DateField(null=True, blank=True)
    quantity = models.DecimalField(max_digits=9, decimal_places=3, default=1)
    unit = models.CharField(max_length=20, blank=True)
    inside = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="holds")

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.code


class Meter(models.Model):
    """An hour meter aboard. It stands here, below its readings, because fittings point to it."""

    class Counts(models.TextChoices):
        RUNNING = "running"
        KEY_ON = "key on"
        UNKNOWN = "unknown"

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="meters")
    name = models.CharField(max_length=64)
    counts = models.CharField(max_length=8, choices=Counts.choices, default=Counts.UNKNOWN)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["boat", "name"], name="meter_once")]

    def __str__(self) -> str:
        return self.name


class Fitting(Ledger):
    """One stay of a component at one place; a row with `removed_on` replaces the open one."""

    component = models.ForeignKey(Component, models.PROTECT, related_name="fittings")
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="fittings")
    meter = models.ForeignKey(Meter, models.PROTECT, null=True, blank=True, related_name="fittings")
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="+")
    position = models.CharField(max_length=60, blank=True)
    fitted_on = models.DateField()
    dial = models.DecimalField(null=True, blank=True, help_text="hours shown when fitted", **DIAL)
    removed_on = models.DateField(null=True, blank=True)
    dial_removed = models.DecimalField(null=True, blank=True, help_text="hours shown when removed", **DIAL)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "removed_on"])]

    def clean(self) -> None:
        if self.removed_on is not None and self.removed_on < self.fitted_on:
            raise ValidationError({"removed_on": "wanted a day on or after the fitting"})
        if self.meter is not None and self.meter.boat_id != self.boat_id:
            raise ValidationError({"meter": "wanted a meter of the boat it is fitted to"})


class PrintedDate(Ledger):
    """A date printed on a thing or its certificate, as written and as it is understood."""

    class State(models.TextChoices):
        READ = "read"
        ILLEGIBLE = "illegible"
        NONE = "none"

    component = models.ForeignKey(Component, models.PROTECT, related_name="printed_dates")
    what = models.CharField(max_length=40, default="expiry")
    as_written = models.CharField(max_length=60, blank=True)
    good_through = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.READ)
    paper = models.ForeignKey("fleet.Paper", models.PROTECT, null=True, blank=True, related_name="+")
