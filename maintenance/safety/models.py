"""What a list of gear asks to be carried, and which boats go by which list."""

from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models

from fleet.boats.models import Boat, Kind
from fleet.ledger import Ledger


class Requirement(models.Model):
    """One clause of a list: so many of a kind of thing, for a boat or for each person aboard.

    The list is the base's own data and defers to the flag's code, named in `source`.
    """

    class Per(models.TextChoices):
        BOAT = "boat"
        PERSON = "person"

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="requirements")
    list = models.CharField(max_length=60, help_text="the list's name, such as coastal")
    clause = models.CharField(max_length=40, blank=True)
    source = models.CharField(max_length=300, blank=True)
    kind = models.ForeignKey(Kind, models.PROTECT, related_name="requirements")
    number = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    per = models.CharField(max_length=6, choices=Per.choices, default=Per.BOAT)
    properties = models.CharField(max_length=120, blank=True, help_text="what it must be, in words")
    from_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["list", "clause", "pk"]


class Adoption(Ledger):
    """That a boat goes by a list from a day on: then what is short of it holds her."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="adoptions")
    list = models.CharField(max_length=60)
    from_on = models.DateField()
    until_on = models.DateField(null=True, blank=True)
