"""The harbour bases boats leave from and people work at."""

from datetime import date, datetime
from functools import cache
from typing import ClassVar
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models

WORKDAY_MINUTES = 480  # common practice, no source: eight hours a person
BOAT_MINUTES = 75  # common practice, no source: check-out, check-in and the round of one boat

DEFERRED_AT_ONCE = 5  # one operator's published cap of open deferred items; the base changes it


@cache
def _timezones() -> frozenset[str]:
    """Every name there is on this machine; to look for them takes longer than to load a boat."""
    return frozenset(available_timezones())


def is_timezone(name: str) -> None:
    """Refuses what is not a name of the IANA time zone database."""
    if name not in _timezones():
        raise ValidationError("wanted a time zone such as Europe/Lisbon")


class Base(models.Model):
    """One base; its minutes say what a person has in a day and what each boat takes of it anyway."""

    code = models.CharField(
        max_length=64, unique=True, validators=[RegexValidator(r"^[\w.-]+$", "letters, digits, . _ -")]
    )
    name = models.CharField(max_length=120)
    timezone = models.CharField(max_length=64, validators=[is_timezone])
    phone = models.CharField(max_length=40, blank=True)
    workday_minutes = models.PositiveIntegerField(
        default=WORKDAY_MINUTES, validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    boat_minutes = models.PositiveIntegerField(default=BOAT_MINUTES, validators=[MaxValueValidator(1440)])
    deferred_at_once = models.PositiveIntegerField(
        default=DEFERRED_AT_ONCE,
        validators=[MaxValueValidator(99)],
        help_text="most defects of one boat that may be deferred together",
    )
    currency = models.CharField(
        max_length=3,
        default="EUR",
        validators=[RegexValidator(r"^[A-Z]{3}\Z", "wanted three capital letters such as EUR")],
    )
    missed_saturday = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="what a part missing on a Saturday costs, in the base's currency; blank: not said",
    )
    order_cost = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="what one order costs beside its parts: freight, the hour at the desk; blank: not said",
    )
    holding_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="what a year on the shelf costs of a part's price; blank: not said",
    )

    class Meta:
        ordering: ClassVar = ["code"]

    def __str__(self) -> str:
        return self.name

    def day_of(self, moment: datetime) -> date:
        """The base's own calendar day at an instant."""
        return moment.astimezone(ZoneInfo(self.timezone)).date()
