"""What the hour meters showed, and how fast each base's meters run."""

from typing import ClassVar

from django.db import models

from fleet.boats.models import DIAL, Meter
from fleet.ledger import Ledger


class Reading(Ledger):
    """What a meter's dial showed on a day; `noted` marks one written down with a service."""

    class HowKnown(models.TextChoices):
        SEEN = "seen"
        PHOTO = "photo"
        ESTIMATED = "estimated"

    class Standing(models.TextChoices):
        USED = "used"
        DOUBTFUL = "doubtful"
        SET_ASIDE = "set aside"

    meter = models.ForeignKey(Meter, models.PROTECT, related_name="readings")
    day = models.DateField()
    taken_at = models.DateTimeField(null=True, blank=True)
    dial = models.DecimalField(help_text="hours", **DIAL)
    new_meter = models.BooleanField(default=False)
    noted = models.BooleanField(default=False)
    how_known = models.CharField(max_length=9, choices=HowKnown.choices, default=HowKnown.SEEN)
    standing = models.CharField(max_length=9, choices=Standing.choices, default=Standing.USED)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["meter", "day"]),
            models.Index(fields=["meter"], condition=models.Q(standing="doubtful"), name="reading_doubtful"),
        ]


class UseRate(models.Model):
    """What a base's meters run on a charter day: all their hours by all their charter days."""

    base = models.OneToOneField("fleet.Base", models.CASCADE, related_name="use_rate")
    fitted_on = models.DateField()
    hours_run = models.DecimalField(max_digits=14, decimal_places=2)
    charter_days = models.PositiveIntegerField()
    hours_per_day = models.DecimalField(max_digits=9, decimal_places=4)
