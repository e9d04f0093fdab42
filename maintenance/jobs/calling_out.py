"""Going to a boat that is away: what for, promised when, who with what, against the contract's clock."""

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from fleet.ledger import Ledger
from maintenance.defects.models import Defect


class ContractClock(models.Model):
    """How long a base's charter terms give it to put a boat right that is away: hours, for charters
    of more than so many days. A base without rows goes by the published terms in `clock.py`."""

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="contract_clocks")
    over_days = models.PositiveIntegerField(validators=[MaxValueValidator(365)])
    hours = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(24 * 60)])

    class Meta:
        ordering: ClassVar = ["over_days"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["base", "over_days"], name="clock_once")]


class CallOut(Ledger):
    """One going out to a boat away; its steps stay with it. The clock runs from `told_at`."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="call_outs")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="call_outs")
    where = models.CharField(max_length=200)
    phone = models.CharField(max_length=40, blank=True)
    told_at = models.DateTimeField()
    hours = models.PositiveIntegerField(
        null=True, blank=True, help_text="the contract's, where a charter runs"
    )

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat"])]


class CallOutDefect(models.Model):
    """One of the things a boat is gone out to for."""

    call_out = models.ForeignKey(CallOut, models.CASCADE, related_name="defects")
    defect = models.ForeignKey(Defect, models.PROTECT, related_name="call_outs")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["call_out", "defect"], name="call_out_defect_once")
        ]


class CallOutStep(Ledger):
    """What was promised or done: by whom, for when, with what from the van."""

    class Step(models.TextChoices):
        PROMISED = "promised"
        ON_THE_WAY = "on the way"
        THERE = "there"
        DONE = "done"
        NOT_NEEDED = "not needed"

    call_out = models.ForeignKey(CallOut, models.PROTECT, related_name="steps")
    step = models.CharField(max_length=12, choices=Step.choices)
    who = models.CharField(max_length=120, blank=True)
    promised_at = models.DateTimeField(null=True, blank=True)
    takes = models.CharField(max_length=500, blank=True, help_text="what goes along from the van")
    words = models.CharField(max_length=500, blank=True)


class PartTaken(Ledger):
    """A part taken from one boat for another, in one go: what the donor lacks is a defect of hers."""

    component = models.ForeignKey(Component, models.PROTECT, related_name="taken")
    from_boat = models.ForeignKey(Boat, models.PROTECT, related_name="+")
    to_boat = models.ForeignKey(Boat, models.PROTECT, related_name="+")
    day = models.DateField()
    lacks = models.OneToOneField(Defect, models.PROTECT, related_name="taken", help_text="the donor's defect")
    settles = models.ForeignKey(Defect, models.PROTECT, null=True, blank=True, related_name="settled_by_part")
