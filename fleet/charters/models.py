"""Who has a boat, from when to when."""

from datetime import date
from typing import ClassVar, Self

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models

from fleet.boats.models import Boat
from fleet.ledger import Ledger


class CharterQuerySet(models.QuerySet["Charter"]):
    def booked(self) -> Self:
        """Those not cancelled: a cancelled charter does not count anywhere."""
        return self.filter(cancelled_at__isnull=True)

    def next_from(self, on: date) -> Self:
        """Those that go out on a day or later, the next one first."""
        return self.booked().filter(starts_on__gte=on).order_by("starts_on", "pk")


class Charter(models.Model):
    """One hire; `boat` is the boat it has now, CharterBoat keeps which it had before."""

    class Sort(models.TextChoices):
        HIRE = "hire"
        OWNER = "owner"
        DELIVERY = "delivery"

    code = models.CharField(max_length=64, unique=True)
    sort = models.CharField(max_length=8, choices=Sort.choices, default=Sort.HIRE)
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="charters")
    starts_on = models.DateField()
    leaves_at = models.TimeField(null=True, blank=True)
    ends_on = models.DateField()
    back_at = models.TimeField(null=True, blank=True)
    berth = models.CharField(max_length=20, blank=True)
    persons = models.PositiveIntegerField(null=True, blank=True)
    skipper = models.CharField(max_length=120, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)

    objects = CharterQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["starts_on", "code"]
        indexes: ClassVar = [models.Index(fields=["boat", "starts_on"])]

    def __str__(self) -> str:
        return self.code

    def clean(self) -> None:
        if self.ends_on <= self.starts_on:
            raise ValidationError({"ends_on": "wanted a day after the charter starts"})


class CharterBoat(Ledger):
    """The boat a charter has from a local day on: one row a boat, once it was ever changed."""

    charter = models.ForeignKey(Charter, models.PROTECT, related_name="boats")
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="+")
    from_on = models.DateField()
    from_at = models.DateTimeField()
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat"])]


class Link(models.Model):
    """A skipper's way in for one charter; only the digest of its secret is kept."""

    charter = models.ForeignKey(Charter, models.CASCADE, related_name="links")
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    ends_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-made_at", "-pk"]
