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


class CameByLink(models.Model):
    """What is known of how a report came: as the phone told it, and what is odd about it.

    `clock_off` is how far the phone's clock was ahead of ours when it was sent, in seconds; `odd` holds
    what the base is to look at, in the words of `by_phone.Odd`. Both are blank for one sent by a form.
    """

    clock_off = models.BigIntegerField(null=True, blank=True, help_text="seconds")
    odd = models.JSONField(default=list, blank=True)

    class Meta:
        abstract = True


class LinkDefect(CameByLink):
    """A report that came by a skipper's link."""

    link = models.ForeignKey(Link, models.PROTECT, related_name="defects")
    defect = models.OneToOneField(Defect, models.PROTECT, related_name="came_by")


class LinkDefectMove(models.Model):
    """A spare the skipper used for what was reported."""

    defect = models.ForeignKey(LinkDefect, models.CASCADE, related_name="moves")
    move = models.OneToOneField(StockMove, models.PROTECT, related_name="came_by")


class LinkReturn(CameByLink):
    """A return that came by a skipper's link."""

    link = models.ForeignKey(Link, models.PROTECT, related_name="returns")
    filed = models.OneToOneField(Return, models.PROTECT, related_name="came_by")


class PhotoToCome(models.Model):
    """A photo that a phone said belongs to what it sent; its bytes follow piece by piece.

    `paper` is blank until it is here whole; `refused` says what was wanted where it was no photo.
    """

    photo_id = models.CharField(max_length=64, help_text="made on the phone")
    number = models.PositiveSmallIntegerField()
    size = models.PositiveBigIntegerField(help_text="bytes")
    sha256 = models.CharField(max_length=64, blank=True, help_text="as the phone reckoned it")
    paper = models.ForeignKey("fleet.Paper", models.PROTECT, null=True, blank=True, related_name="+")
    refused = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        ordering: ClassVar = ["number"]


class LinkDefectPhoto(PhotoToCome):
    """A photo of what was reported."""

    came = models.ForeignKey(LinkDefect, models.CASCADE, related_name="photos")

    class Meta(PhotoToCome.Meta):
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["came", "photo_id"], name="defect_photo_once")
        ]


class LinkReturnPhoto(PhotoToCome):
    """A photo that came with a return, of a dial where `meter` says so."""

    came = models.ForeignKey(LinkReturn, models.CASCADE, related_name="photos")
    meter = models.ForeignKey("fleet.Meter", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(PhotoToCome.Meta):
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["came", "photo_id"], name="return_photo_once")
        ]


class ReturnSeen(Ledger):
    """That somebody of the base has seen a skipper's return, the first time."""

    filed = models.OneToOneField(Return, models.PROTECT, related_name="seen")
    by = models.CharField(max_length=120, help_text="who saw it, by name")


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
