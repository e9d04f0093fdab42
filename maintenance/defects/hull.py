"""The hull's register: every time she touched, and every look at her hull, for life."""

from typing import ClassVar

from django.db import models

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import Ledger
from maintenance.defects.models import PLACE_LENGTH, Defect
from maintenance.defects.rules import BOTTOMS, FORCES, METHODS, TOUCHED


class Touch(Ledger):
    """That she touched the bottom or hit something: where on her, on what, how hard, as far as told."""

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="touches")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="touches")
    defect = models.ForeignKey(Defect, models.PROTECT, null=True, blank=True, related_name="touches")
    day = models.DateField()
    touched = models.CharField(
        max_length=PLACE_LENGTH, choices=[(t, t) for t in TOUCHED], default="not known"
    )
    bottom = models.CharField(max_length=PLACE_LENGTH, choices=[(b, b) for b in BOTTOMS], default="not known")
    force = models.CharField(max_length=PLACE_LENGTH, choices=[(f, f) for f in FORCES], default="not known")
    words = models.CharField(max_length=500, blank=True)
    reporter = models.CharField(max_length=120, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "day"])]


class HullLook(Ledger):
    """A look at the hull by a named person, by a method; of a touch, where it was for one.

    `sound` says that nothing was found that keeps her ashore; what was found becomes defects.
    """

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="hull_looks")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="+")
    touch = models.ForeignKey(Touch, models.PROTECT, null=True, blank=True, related_name="looks")
    day = models.DateField()
    who = models.CharField(max_length=120)
    method = models.CharField(max_length=PLACE_LENGTH, choices=[(m, m) for m in METHODS])
    touched = models.CharField(
        max_length=PLACE_LENGTH,
        choices=[(t, t) for t in TOUCHED],
        default="not known",
        help_text="what took the touch, as this look shows",
    )
    seen = models.CharField(max_length=1000)
    sound = models.BooleanField()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "day"])]


class HullLookPaper(models.Model):
    """A photo or report of a look at the hull."""

    look = models.ForeignKey(HullLook, models.PROTECT, related_name="papers")
    paper = models.ForeignKey("fleet.Paper", models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["look", "paper"], name="hull_look_paper_once")
        ]
