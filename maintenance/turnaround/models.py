"""The boat back: what its crew or the base said of it, and what that changed."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from fleet.boats.models import Boat
from fleet.charters.models import Charter, Link
from fleet.ledger import Ledger
from fleet.meters.models import Reading
from maintenance.defects.models import Defect
from maintenance.spares.models import StockMove


class Return(Ledger):
    """One report of a boat back, by the base at check-out or by the skipper; each adds to the other."""

    class FiledBy(models.TextChoices):
        BASE = "base", "the base, at check-out"
        SKIPPER = "skipper", "the skipper"

    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="returns")
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="returns")
    day = models.DateField()
    filed_by = models.CharField(max_length=7, choices=FiledBy.choices)
    reporter = models.CharField(max_length=120, blank=True)
    answers = models.JSONField(default=dict, help_text="question: true, false, or null for not answered")
    inspected_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    followed = models.JSONField(default=dict, help_text="what was answered when it was filed")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "day"])]


class ReturnReading(models.Model):
    filed = models.ForeignKey(Return, models.CASCADE, related_name="readings")
    reading = models.OneToOneField(Reading, models.PROTECT, related_name="filed_with")


class ReturnDefect(models.Model):
    filed = models.ForeignKey(Return, models.CASCADE, related_name="defects")
    defect = models.OneToOneField(Defect, models.PROTECT, related_name="filed_with")


class ReturnMove(models.Model):
    filed = models.ForeignKey(Return, models.CASCADE, related_name="moves")
    move = models.OneToOneField(StockMove, models.PROTECT, related_name="filed_with")


class LinkDefect(models.Model):
    """A report that came by a skipper's link."""

    link = models.ForeignKey(Link, models.PROTECT, related_name="defects")
    defect = models.OneToOneField(Defect, models.PROTECT, related_name="came_by")


class LinkDefectMove(models.Model):
    """A spare the skipper used for what was reported."""

    defect = models.ForeignKey(LinkDefect, models.CASCADE, related_name="moves")
    move = models.OneToOneField(StockMove, models.PROTECT, related_name="came_by")


class LinkReturn(models.Model):
    """A return that came by a skipper's link."""

    link = models.ForeignKey(Link, models.PROTECT, related_name="returns")
    filed = models.OneToOneField(Return, models.PROTECT, related_name="came_by")
