"""What holds a boat, as the base's rules say, and who said that she may go."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import Ledger
from maintenance.release.rule_list import CODES, VERDICTS


class HoldRule(models.Model):
    """What a base changed of a rule that holds boats; a rule without a row is as the list has it."""

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="hold_rules")
    code = models.CharField(max_length=20, choices=[(c, c) for c in CODES])
    on = models.BooleanField(default=True)
    names_needed = models.PositiveSmallIntegerField(default=1)
    paper_needed = models.CharField(max_length=120, blank=True, help_text="which paper a release wants")
    source = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["base", "code"], name="hold_rule_once")]


class Hold(Ledger):
    """A boat kept in by a named person for a reason of theirs; `lifted` says why it holds no more."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="holds")
    why = models.CharField(max_length=500)
    by = models.CharField(max_length=120, help_text="who holds her, by name")
    lifted = models.CharField(max_length=500, blank=True)
    lifted_by = models.CharField(max_length=120, blank=True)


class Release(Ledger):
    """That a boat may go out for one charter, or may not: fit, fit with limits, held.

    `reasons` are the keys of what held her when it was said and was let be by a named decision;
    `limits` is what the skipper is told. It falls when something new holds her.
    """

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="releases")
    charter = models.ForeignKey(Charter, models.PROTECT, related_name="releases")
    verdict = models.CharField(max_length=16, choices=[(v, v) for v in VERDICTS])
    limits = models.CharField(max_length=1000, blank=True)
    reasons = models.JSONField(
        default=list, blank=True, help_text="what held her and was let be, each with its words"
    )
    why = models.CharField(max_length=500, blank=True, help_text="why what held her was let be")
    names_needed = models.PositiveSmallIntegerField(default=1)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "charter"])]


class ReleaseName(Ledger):
    """One name under a release: who, how, what was read out; a later one confirms one by telephone."""

    class How(models.TextChoices):
        DID_THE_WORK = "did the work"
        LOOKED = "looked at it"
        BY_TELEPHONE = "by telephone"
        CONFIRMED = "confirmed"
        SEEN = "seen afterwards"

    release = models.ForeignKey(Release, models.PROTECT, related_name="names")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    name = models.CharField(max_length=120)
    how = models.CharField(max_length=16, choices=How.choices)
    at = models.DateTimeField(help_text="when it was said")
    read_out = models.CharField(max_length=1000, blank=True, help_text="what was read out on the telephone")
    confirms = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="confirmed_by"
    )


class FittingOut(Ledger):
    """That a boat was made ready for the season, signed by name."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="fittings_out")
    signed_on = models.DateField()
    who = models.CharField(max_length=120)
    words = models.CharField(max_length=1000, blank=True)
