"""Work on a boat: what was done in one go, what it used, what was sent away for it, who went out to
her, which part came from another."""

from typing import ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from fleet.ledger import Ledger
from maintenance.defects.models import Defect
from maintenance.servicing.models import Service
from maintenance.spares.models import StockMove


class Job(models.Model):
    """One piece of work; ticking several tasks off together is one job."""

    class Sort(models.TextChoices):
        SERVICE = "service"
        COUNTING = "start counting"

    class State(models.TextChoices):
        DONE = "done"
        TAKEN_BACK = "taken back"

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="jobs")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="jobs")
    sort = models.CharField(max_length=14, choices=Sort.choices)
    state = models.CharField(max_length=10, choices=State.choices)
    day = models.DateField()
    minutes_planned = models.PositiveIntegerField(null=True, blank=True)
    minutes_taken = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    who = models.CharField(max_length=120, blank=True)
    client_id = models.CharField(max_length=64, null=True, blank=True, unique=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    followed = models.JSONField(default=dict, blank=True, help_text="what was said to have followed")

    class Meta:
        ordering: ClassVar = ["-recorded_at", "-pk"]


class JobService(models.Model):
    job = models.ForeignKey(Job, models.CASCADE, related_name="services")
    service = models.OneToOneField(Service, models.PROTECT, related_name="job")


class JobMove(models.Model):
    job = models.ForeignKey(Job, models.CASCADE, related_name="moves")
    move = models.OneToOneField(StockMove, models.PROTECT, related_name="job")


class JobReading(models.Model):
    job = models.ForeignKey(Job, models.CASCADE, related_name="readings")
    reading = models.OneToOneField("fleet.Reading", models.PROTECT, related_name="job")


class JobPrintedDate(models.Model):
    job = models.ForeignKey(Job, models.CASCADE, related_name="printed_dates")
    printed_date = models.OneToOneField("fleet.PrintedDate", models.PROTECT, related_name="job")


class AwayStep(Ledger):
    """One of three facts about a thing sent away for service: sent, a lent one aboard, back."""

    class Step(models.TextChoices):
        SENT = "sent away"
        LENT = "lent one aboard"
        BACK = "back with its paper"

    component = models.ForeignKey(Component, models.PROTECT, related_name="away_steps")
    boat = models.ForeignKey(Boat, models.PROTECT, related_name="+")
    step = models.CharField(max_length=20, choices=Step.choices)
    day = models.DateField()
    whom = models.CharField(max_length=120, blank=True, help_text="sent to whom, lent by whom")
    paper = models.CharField(max_length=120, blank=True, help_text="the certificate's number")
    serial = models.CharField(max_length=80, blank=True, help_text="of the lent one")
    good_through = models.DateField(null=True, blank=True, help_text="date on the lent one")
    wanted_back_on = models.DateField(null=True, blank=True)
    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="away_steps")

    class Meta:
        indexes: ClassVar = [models.Index(fields=["component"])]


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
