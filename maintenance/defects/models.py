"""What was reported wrong, in the reporter's words, and how it stands."""

from typing import ClassVar, Self

from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce

from fleet.boats.models import Boat, Component, Place
from fleet.charters.models import Charter
from fleet.ledger import Ledger, LedgerQuerySet
from maintenance.defects.rules import GRADES, HULL_PLACES, OPENED

ENDINGS = ("put right", "no fault found")
GRADE_LENGTH, PLACE_LENGTH = 12, 24


def _steps_of(outer: str = "pk") -> LedgerQuerySet:
    """Steps of a report, which stay with the row it first came in as through its corrections."""
    found: LedgerQuerySet = DefectStep.objects.standing().filter(
        defect=Coalesce(OuterRef("first"), OuterRef("pk"))
    )
    return found


class DefectQuerySet(LedgerQuerySet):
    def open(self) -> Self:
        """Those nobody has put right, or found no fault in; one joined to another goes with it."""
        ended = _steps_of().filter(step__in=ENDINGS)
        return self.standing().filter(same_as__isnull=True).exclude(Exists(ended))

    def judged(self) -> Self:
        """Adds the `grade` and `graded_by` that hold now (blank: nobody graded it), the `function`
        it touches, whether an alarm was raised and nobody `looked` since."""
        graded = _steps_of().filter(step=DefectStep.Step.GRADED).order_by("-pk")
        function = Coalesce(
            Subquery(graded.exclude(function="").values("function")[:1]),
            F("component__kind__function"),
            Value(""),
        )
        looked = _steps_of().filter(step=DefectStep.Step.LOOKED).order_by("-pk")
        again = _steps_of().filter(step=DefectStep.Step.HAPPENING).order_by("-pk")
        return self.annotate(
            grade=Coalesce(Subquery(graded.values("grade")[:1]), Value("")),
            graded_by=Coalesce(Subquery(graded.values("by")[:1]), Value("")),
            graded_step=Subquery(graded.values("pk")[:1]),
            function=function,
            looked_step=Subquery(looked.values("pk")[:1]),
            happening_step=Subquery(again.values("pk")[:1]),
        )

    def alarmed(self) -> Self:
        """Those an alarm was raised by: a word of alarm, danger now, or that it is happening."""
        happening = _steps_of().filter(step=DefectStep.Step.HAPPENING)
        return self.filter(~Q(alarm="") | Q(risk_now=True) | Exists(happening))

    def not_looked_at(self) -> Self:
        """Of the open ones, those an alarm was raised by and nobody has looked at since."""
        rows = self.open().alarmed().judged()
        return rows.filter(Q(looked_step__isnull=True) | Q(happening_step__gt=F("looked_step")))


class Defect(Ledger):
    """One thing reported; the words are kept as they were written.

    A correction names in `first` the report as it first came in: steps, deferrals and photos stay
    with that one. `alarm` is the word of the base's list that raised the alarm.
    """

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
    hull = models.CharField(max_length=PLACE_LENGTH, choices=[(h, h) for h in HULL_PLACES], blank=True)
    words = models.TextField(max_length=20_000)
    language = models.CharField(max_length=12, blank=True)
    found_at = models.DateTimeField()
    risk_now = models.BooleanField(null=True, blank=True)
    works = models.CharField(max_length=9, choices=Works.choices, blank=True)
    alarm = models.CharField(max_length=60, blank=True)
    reporter = models.CharField(max_length=120, blank=True)
    asked = models.CharField(max_length=14, choices=Asked.choices, default=Asked.OWN_WORDS)
    same_as = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="doubles")
    first = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="as_corrected")

    objects: ClassVar = DefectQuerySet.as_manager()

    class Meta:
        indexes: ClassVar = [models.Index(fields=["boat", "found_at"])]

    def __str__(self) -> str:
        return self.words

    @property
    def case(self) -> int:
        """The key of the report as it first came in, which steps, deferrals and photos name."""
        return self.first_id or self.pk


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
    the one who reported it, in `why`, and leaves the defect open.

    `grade` and `function` go with `graded`; `opened` is what was taken apart to put it right, whose
    release wants a paper.
    """

    class Step(models.TextChoices):
        GRADED = "graded"
        LOOKED = "looked at"
        HAPPENING = "happening now"
        STOPPED = "not any more"
        PUT_RIGHT = "put right"
        NO_FAULT_FOUND = "no fault found"
        ANSWERED = "answered"
        SEEN = "seen"

    defect = models.ForeignKey(Defect, models.PROTECT, related_name="steps")
    step = models.CharField(max_length=14, choices=[(step.value, step.value) for step in Step])
    by = models.CharField(max_length=120, help_text="who did it, by name")
    why = models.CharField(max_length=500, blank=True)
    grade = models.CharField(max_length=GRADE_LENGTH, choices=[(g, g) for g in GRADES], blank=True)
    function = models.CharField(max_length=60, blank=True, help_text="charging, bilge, radio ...")
    opened = models.CharField(max_length=PLACE_LENGTH, choices=[(o, o) for o in OPENED], blank=True)


class StepPaper(models.Model):
    """A photo or certificate of what was done about a defect."""

    step = models.ForeignKey(DefectStep, models.PROTECT, related_name="papers")
    paper = models.ForeignKey("fleet.Paper", models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["step", "paper"], name="step_paper_once")]


class Deferral(Ledger):
    """That a defect waits, until when, and what is told to who sails with it.

    It ends at the first of: the end of `until_on`, after `max_charters` more charters went out
    (0: before she goes out again), and at lay-up. `extends` is the one it lengthens.
    """

    defect = models.ForeignKey(Defect, models.PROTECT, related_name="deferrals")
    decided_on = models.DateField()
    until_on = models.DateField(null=True, blank=True)
    max_charters = models.PositiveIntegerField(null=True, blank=True)
    at_layup = models.BooleanField(default=False)
    limit_text = models.CharField(max_length=500, blank=True, help_text="what the next skipper is told")
    made_inoperative = models.CharField(max_length=300, blank=True)
    extends = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="extended_by")
    by = models.CharField(max_length=120, help_text="who decided it, by name")
    why = models.CharField(max_length=500, blank=True)


class AlarmWord(models.Model):
    """A base's own word: one that raises the alarm, or one that is harmless in spite of the list."""

    class Sort(models.TextChoices):
        ALARM = "alarm"
        HARMLESS = "harmless"

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="alarm_words")
    language = models.CharField(max_length=12, blank=True)
    phrase = models.CharField(max_length=60)
    sort = models.CharField(max_length=8, choices=Sort.choices, default=Sort.ALARM)

    class Meta:
        ordering: ClassVar = ["phrase"]
        constraints: ClassVar = [models.UniqueConstraint(fields=["base", "phrase"], name="alarm_word_once")]
