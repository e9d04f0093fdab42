"""How often a thing is done, that it was done, and when it is next due."""

from datetime import date
from typing import Any, ClassVar, Self

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, OuterRef, Q, Subquery

from fleet.boats.models import DIAL, Boat, Component, Kind
from fleet.charters.models import Charter
from fleet.ledger import Ledger

NEVER = date(9999, 12, 31)  # sorts a line without a day last
HOURS: dict[str, Any] = {
    "max_digits": 8,
    "decimal_places": 2,
    "null": True,
    "blank": True,
    "validators": [MinValueValidator(0)],
}
COUNT: dict[str, Any] = {"null": True, "blank": True, "validators": [MaxValueValidator(1200)]}


class ServiceInterval(models.Model):
    """How often one task is done on a kind of component or on one component: its limbs."""

    class CountsFrom(models.TextChoices):
        DONE = "done"
        DUE = "due"

    code = models.CharField(max_length=64, unique=True)
    kind = models.ForeignKey(Kind, models.PROTECT, null=True, blank=True, related_name="intervals")
    component = models.ForeignKey(
        Component, models.PROTECT, null=True, blank=True, related_name="own_intervals"
    )
    task = models.CharField(max_length=200)
    every_hours = models.DecimalField(**HOURS)
    every_months = models.PositiveIntegerField(**COUNT)
    first_hours = models.DecimalField(**HOURS)
    first_months = models.PositiveIntegerField(**COUNT)
    every_charters = models.PositiveIntegerField(**COUNT)
    season_opens = models.CharField(max_length=5, blank=True, help_text="MM-DD")
    season_closes = models.CharField(max_length=5, blank=True, help_text="MM-DD")
    on_expiry = models.BooleanField(default=False)
    in_lay_up = models.BooleanField(default=False, help_text="a task of the lay-up only")
    counts_from = models.CharField(max_length=4, choices=CountsFrom.choices, default=CountsFrom.DONE)
    early_hours = models.DecimalField(**HOURS)
    early_days = models.PositiveIntegerField(null=True, blank=True)
    late_hours = models.DecimalField(**HOURS)
    late_days = models.PositiveIntegerField(null=True, blank=True)
    settles = models.ManyToManyField("self", symmetrical=False, related_name="settled_by", blank=True)
    critical = models.BooleanField(default=False)
    minutes = models.PositiveIntegerField(null=True, blank=True)
    source = models.CharField(max_length=300, blank=True)
    from_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(kind__isnull=True, component__isnull=False)
                | Q(kind__isnull=False, component__isnull=True),
                name="interval_kind_or_component",
            )
        ]

    def __str__(self) -> str:
        return self.task

    @property
    def has_a_limb(self) -> bool:
        points = (self.every_hours, self.every_months, self.first_hours, self.first_months)
        return any((*points, self.every_charters, self.season_opens, self.on_expiry))

    def clean(self) -> None:
        if not self.has_a_limb:
            raise ValidationError("wanted hours, months, charters, a season or the printed date")
        if bool(self.season_opens) != bool(self.season_closes):
            raise ValidationError({"season_closes": "wanted both days of the season or neither"})


class IntervalSpare(models.Model):
    """What one service of an interval takes."""

    interval = models.ForeignKey(ServiceInterval, models.CASCADE, related_name="spares")
    spare = models.ForeignKey("maintenance.Spare", models.PROTECT, related_name="+")
    quantity = models.DecimalField(max_digits=9, decimal_places=3, validators=[MinValueValidator(0)])

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["interval", "spare"], name="interval_spare_once")
        ]


class Service(Ledger):
    """That a task was done on a component; its dial is a reading like any other.

    `counting` marks a day from which the base chose to count because nothing was recorded:
    it moves the due day as a service does and claims no work.
    """

    component = models.ForeignKey(Component, models.PROTECT, related_name="services")
    interval = models.ForeignKey(ServiceInterval, models.PROTECT, related_name="services")
    done_on = models.DateField()
    reading = models.ForeignKey("fleet.Reading", models.PROTECT, null=True, blank=True, related_name="+")
    counting = models.BooleanField(default=False)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["component", "done_on"])]


class DueQuerySet(models.QuerySet["Due"]):
    def judged(self, on: date) -> Self:
        """Adds `overdue`, `before_handover` and the next charter, worked out for a day."""
        next_charter = Charter.objects.next_from(on).filter(boat=OuterRef("boat"))
        return self.annotate(
            next_ends_on=Subquery(next_charter.values("ends_on")[:1]),
            overdue=_truth(Q(limit_on__lt=on) | Q(hours_now__gt=F("limit_hours"))),
            before_handover=_truth(Q(limit_on__lt=F("next_ends_on"))),
        )

    def in_list(self, until: date) -> Self:
        """Of the judged: what is overdue, due by a day, or before handover."""
        return self.filter(Q(overdue=True) | Q(due_on__lte=until) | Q(before_handover=True))


def _truth(condition: Q) -> models.Case:
    return models.Case(
        models.When(condition, then=models.Value(True)),
        default=models.Value(False),
        output_field=models.BooleanField(),
    )


class Due(models.Model):
    """When one task on one component falls due, for today only: the one stored derivation."""

    boat = models.ForeignKey(Boat, models.CASCADE, related_name="due")
    component = models.ForeignKey(Component, models.CASCADE, related_name="due")
    interval = models.ForeignKey(ServiceInterval, models.CASCADE, related_name="due")
    due_on = models.DateField(null=True)
    governs = models.CharField(max_length=8, null=True)
    basis = models.CharField(max_length=8, null=True)
    limit_on = models.DateField(null=True)
    due_hours = models.DecimalField(null=True, help_text="total of the present meter", **DIAL)
    hours_now = models.DecimalField(null=True, **DIAL)
    limit_hours = models.DecimalField(null=True, help_text="what it may run to", **DIAL)
    hours_a_day = models.DecimalField(null=True, max_digits=9, decimal_places=4)
    counted_from = models.DateField(help_text="the base day")
    counting = models.BooleanField(default=False, help_text="counted from a day the base chose")
    recorded = models.BooleanField()
    missing = models.CharField(max_length=40, blank=True, help_text="parted by spaces")
    sort_on = models.DateField(help_text="the due day, or one after all others")

    objects = DueQuerySet.as_manager()
    overdue: bool  # both added by judged()
    before_handover: bool

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["component", "interval"], name="due_once")]
        indexes: ClassVar = [models.Index(fields=["boat", "sort_on"]), models.Index(fields=["sort_on"])]
