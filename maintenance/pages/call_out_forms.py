"""The forms of a call-out's page: promise, on the way or there, done, not needed, parts booked later."""

from typing import Any

from django import forms

from fleet.pages.desk import Desk
from fleet.pages.typed import line_field
from maintenance.defects.models import Defect
from maintenance.jobs.models import CallOutStep
from maintenance.jobs.under_way import UnderWay, ended_of, spares_for
from maintenance.pages.moments import moment_field
from maintenance.pages.parts import PartsForm

Step = CallOutStep.Step
MOST = 500


def _who(label: str) -> forms.CharField:
    return line_field(label, "a name", most=120, list="engineers")


def _words(label: str, help_text: str = "") -> forms.CharField:
    field = line_field(label, "a few words", most=500, help_text=help_text)
    field.required = False
    return field


def _named(u: UnderWay, desk: Desk) -> str:
    """Who goes, as it was said last; else who is signed in."""
    return u.last.who if u.last else desk.person.name


class PromiseForm(forms.Form):
    """Promised for when, who goes, what goes along from the van."""

    promised_at = moment_field("Promised for", "the day and hour it was promised for")
    who = _who("Who goes")
    takes = _words("What goes along from the van")
    words = _words("Anything else", "where she is now, if she moved")

    def __init__(self, u: UnderWay, desk: Desk, data: Any = None) -> None:
        initial = {"who": _named(u, desk), "takes": u.takes, "promised_at": u.promised_at}
        super().__init__(data, initial=initial, auto_id="promise-%s")
        found = spares_for(u.defects, desk.base)
        self.names = {str(spare.pk): spare.name for spare, _ in found}
        stock = [(str(spare.pk), f"{spare.name}, {place}") for spare, place in found]
        if stock:
            self.fields["spares"] = forms.MultipleChoiceField(
                label="In stock for it: ticked goes along",
                choices=stock,
                required=False,
                widget=forms.CheckboxSelectMultiple,
                error_messages={"invalid_choice": "In stock: wanted those of the list"},
            )

    def clean(self) -> dict[str, Any]:
        """The spares ticked stand in words with the rest: what is said to go along, not a stock move."""
        cleaned = super().clean() or {}
        ticked = [self.names[pk] for pk in cleaned.get("spares") or ()]
        takes = "; ".join(text for text in (cleaned.get("takes", ""), *dict.fromkeys(ticked)) if text)
        if len(takes) > MOST:
            self.add_error("takes", f"What goes along from the van: wanted at most {MOST} letters")
        return cleaned | {"takes": takes[:MOST]}


class GoingForm(forms.Form):
    """One tap: on the way, or there."""

    who = _who("Who")
    step = forms.ChoiceField(
        choices=[(s.value, s.value) for s in (Step.ON_THE_WAY, Step.THERE)],
        error_messages={
            "required": "Step: wanted on the way, or there",
            "invalid_choice": "Step: wanted on the way, or there",
        },
    )

    def __init__(self, u: UnderWay, desk: Desk, data: Any = None) -> None:
        super().__init__(data, initial={"who": _named(u, desk)}, auto_id="going-%s")


class DoneForm(PartsForm):
    """What was done there; which defects are put right and which parts it took, where one may say so."""

    blank_rows = 2
    more_parts = "Parts used"
    who = _who("Who did it")
    words = _words("What was done")

    def __init__(self, u: UnderWay, desk: Desk, data: Any = None) -> None:
        super().__init__(data, initial={"who": _named(u, desk)}, auto_id="done-%s")
        gone = ended_of(u.defects)
        left = [defect.pk for defect in u.defects if defect.case not in gone]
        if left and desk.may("put a defect right"):
            self.fields["put_right"] = forms.ModelMultipleChoiceField(
                Defect.objects.filter(pk__in=left).order_by("pk"),
                label="Put right",
                help_text="what is not ticked stays open",
                required=False,
                widget=forms.CheckboxSelectMultiple,
                error_messages={"invalid_choice": "Put right: wanted defects that are open still"},
            )
        self._open_parts(u, desk)

    def _open_parts(self, u: UnderWay, desk: Desk) -> None:
        self.with_parts = desk.may("record work")
        if not self.with_parts:
            self.blank_rows = 0
        self.add_parts(u.call_out.boat, desk.today)


class NotNeededForm(forms.Form):
    """Nobody need go any more, and why."""

    who = _who("Who says so")
    words = line_field("Why nobody need go", "a few words", most=500)

    def __init__(self, u: UnderWay, desk: Desk, data: Any = None) -> None:
        super().__init__(data, initial={"who": desk.person.name}, auto_id="not-%s")


class PartsLaterForm(PartsForm):
    """Parts used in the field, booked when somebody is back at the desk."""

    blank_rows = 3
    shown_blank = 1
    who = _who("Who used them")

    def __init__(self, u: UnderWay, desk: Desk, data: Any = None) -> None:
        super().__init__(data, initial={"who": _named(u, desk)}, auto_id="parts-%s")
        self.may = desk.may("record work")
        self.add_parts(u.call_out.boat, desk.today)

    def clean(self) -> dict[str, Any]:
        if not self.may:
            raise forms.ValidationError("Parts: wanted an engineer or the manager to book them")
        return super().clean()


FORMS: dict[str, Any] = {
    "promised": PromiseForm,
    "going": GoingForm,
    "done": DoneForm,
    "not needed": NotNeededForm,
    "parts": PartsLaterForm,
}
