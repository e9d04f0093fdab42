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


class RoundItem(models.Model):
    """One check of a base's round, for boats of a class (blank: for all), in the order it is walked."""

    class Asks(models.TextChoices):
        """What is ticked: that it is in order, or how the seal of the kit box is."""

        IN_ORDER = "in order"
        SEAL = "seal"

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="round_items")
    design = models.CharField(max_length=120, blank=True, help_text="the boats' design; blank for all")
    number = models.PositiveIntegerField(default=0, help_text="its place in the round")
    words = models.CharField(max_length=200)
    caution = models.CharField(max_length=300, blank=True)
    function = models.CharField(max_length=60, blank=True, help_text="charging, bilge, radio ...")
    asks = models.CharField(max_length=8, choices=Asks.choices, default=Asks.IN_ORDER)
    until_on = models.DateField(null=True, blank=True, help_text="the last day it is asked")

    class Meta:
        ordering: ClassVar = ["number", "pk"]


class Round(Ledger):
    """The fixed checks of one turnaround, walked and signed by name."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="rounds")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="rounds")
    day = models.DateField()
    signed_by = models.CharField(max_length=120, blank=True, help_text="blank while it is walked")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "day"])]


class RoundLine(Ledger):
    """What one check came to; what fails is a defect. It stays with the round as first opened."""

    class State(models.TextChoices):
        GOOD = "in order"
        FAILS = "fails"
        NOT_ABOARD = "not aboard"

    round = models.ForeignKey(Round, models.PROTECT, related_name="lines")
    item = models.ForeignKey(RoundItem, models.PROTECT, related_name="lines")
    words = models.CharField(max_length=200, help_text="the check as it was worded then")
    state = models.CharField(max_length=10, choices=State.choices)
    note = models.CharField(max_length=300, blank=True)
    defect = models.OneToOneField(Defect, models.PROTECT, null=True, blank=True, related_name="round_line")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["round"])]


class Handover(Ledger):
    """That a boat was given to a charter, and what its skipper was told, frozen as it was.

    `told` holds limits, known damage and what was deferred; `not_done` which of return inspected,
    round signed and boat released was missing when a named person opened it all the same.
    """

    charter = models.ForeignKey(Charter, models.PROTECT, related_name="handovers")
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="handovers")
    release = models.ForeignKey(
        "maintenance.Release", models.PROTECT, null=True, blank=True, related_name="handovers"
    )
    by = models.CharField(max_length=120, help_text="who handed over, by name")
    told = models.JSONField(default=dict)
    not_done = models.JSONField(default=list, blank=True)
    why = models.CharField(max_length=500, blank=True, help_text="why it was opened all the same")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["charter"])]
