"""What was reported wrong, in the reporter's words, and how it stands."""

from typing import ClassVar, Self

from django.db import models
from django.db.models import Exists, OuterRef

from fleet.boats.models import Boat, Component, Place
from fleet.charters.models import Charter
from fleet.ledger import Ledger, LedgerQuerySet

ENDINGS = ("put right", "no fault found")


class DefectQuerySet(LedgerQuerySet):
    def open(self) -> Self:
        """Those nobody has put right, or found no fault in."""
        ended = DefectStep.objects.standing().filter(defect=OuterRef("pk"), step__in=ENDINGS)
        return self.standing().exclude(Exists(ended))


class Defect(Ledger):
    """One thing reported; the words are kept as they were written."""

    class Asked(models.TextChoices):
        """What the words answer: the reporter's own, or one of the return's questions."""

        OWN_WORDS = "own words"
        LOST = "lost or broken"
        QUESTION = "question"

    class Works(models.TextChoices):
        """Whether the thing works now, as the reporter sees it."""

        NO = "no"
        SOMETIMES = "sometimes"
        YES = "yes"

    boat = models.ForeignKey(Boat, models.PROTECT, related_name="defects")
    charter = models.ForeignKey(Charter, models.PROTECT, null=True, blank=True, related_name="defects")
    component = models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="defects")
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="+")
    words = models.TextField(max_length=20_000)
    language = models.CharField(max_length=12, blank=True)
    found_at = models.DateTimeField()
    risk_now = models.BooleanField(null=True, blank=True)
    works = models.CharField(max_length=9, choices=Works.choices, blank=True)
    reporter = models.CharField(max_length=120, blank=True)
    asked = models.CharField(max_length=14, choices=Asked.choices, default=Asked.OWN_WORDS)
    same_as = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="doubles")

    objects: ClassVar = DefectQuerySet.as_manager()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "found_at"])]

    def __str__(self) -> str:
        return self.words


class DefectPaper(models.Model):
    """A photo that goes with what was reported."""

    defect = models.ForeignKey(Defect, models.PROTECT, related_name="papers")
    paper = models.ForeignKey("fleet.Paper", models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["defect", "paper"], name="defect_paper_once")
        ]


class DefectStep(Ledger):
    """What was decided or done about a defect, by whom and why; `answered` is what the base said to
    the one who reported it, in `why`, and leaves the defect open."""

    class Step(models.TextChoices):
        PUT_RIGHT = "put right"
        NO_FAULT_FOUND = "no fault found"
        ANSWERED = "answered"

    defect = models.ForeignKey(Defect, models.PROTECT, related_name="steps")
    step = models.CharField(max_length=14, choices=[(step.value, step.value) for step in Step])
    by = models.CharField(max_length=120, help_text="who did it, by name")
    why = models.CharField(max_length=500, blank=True)
