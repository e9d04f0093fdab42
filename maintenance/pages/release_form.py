"""The forms of a release: what is let be and the limit, who says so; that she is held; a name later."""

from collections.abc import Sequence
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from fleet.pages.desk import Desk
from maintenance.pages.worded import name_field, words_field
from maintenance.release.actions import Name
from maintenance.release.models import ReleaseName

How = ReleaseName.How
FIRST = [(How.DID_THE_WORK.value, "Did the work"), (How.LOOKED.value, "Looked at it")]
SECOND = [(How.BY_TELEPHONE.value, "By telephone"), *FIRST]


def how_field(label: str, choices: Sequence[tuple[str, str]], *, required: bool = True) -> forms.ChoiceField:
    said = f"{label}: wanted one of {', '.join(words.lower() for _, words in choices)}"
    return forms.ChoiceField(
        label=label,
        choices=choices,
        required=required,
        widget=forms.RadioSelect,
        error_messages={"required": said, "invalid_choice": said},
    )


def time_field(label: str) -> forms.TimeField:
    return forms.TimeField(
        label=label,
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": f"{label}: wanted a time such as 16:40"},
    )


class OtherName(forms.Form):
    """One other person: here, or on the telephone; when, and what was read out."""

    other = name_field("Who else")
    other_how = how_field("They", SECOND, required=False)
    spoken_at = time_field("Telephoned at")
    read_out = words_field("Read out on the telephone", most=1000, rows=5, required=False)

    def __init__(self, *args: Any, desk: Desk, optional: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        self.desk = desk
        self.fields["other"].required = not optional

    def clean_spoken_at(self) -> datetime:
        """The moment, today by the base's clock; now where no time was given."""
        given: time | None = self.cleaned_data["spoken_at"]
        if given is None:
            return self.desk.now
        at = datetime.combine(self.desk.today, given, ZoneInfo(self.desk.base.timezone))
        if at > self.desk.now:
            raise forms.ValidationError("Telephoned at: wanted a time up to now, today")
        return at

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        if said.get("other") and not said.get("other_how"):
            self.add_error("other_how", f"They: wanted how {said['other']} knows: by telephone, or here")
        by_telephone = said.get("other_how") == How.BY_TELEPHONE
        if said.get("other") and by_telephone and not said.get("read_out"):
            self.add_error("read_out", "Read out on the telephone: wanted what was read out")
        return said

    def second(self) -> Name | None:
        """The other name as a release keeps it; what goes with the telephone is left out where they
        stand beside her."""
        said = self.cleaned_data
        if not said["other"]:
            return None
        if said["other_how"] != How.BY_TELEPHONE:
            return Name(said["other"], said["other_how"], at=self.desk.now)
        return Name(said["other"], said["other_how"], at=said["spoken_at"], read_out=said["read_out"])


class ReleaseForm(OtherName):
    """A release: what holds her and is let be, the limit she goes to, and in whose names."""

    let_be = forms.MultipleChoiceField(
        required=False,
        error_messages={"invalid_choice": "What holds her: it changed meanwhile; read it again"},
    )
    limits = words_field("Limit for the skipper", most=1000, rows=3, required=False)
    why = words_field("Why it is let be", rows=2, required=False)
    who = name_field("Who says so")
    how = how_field("You", FIRST)

    field_order = ("let_be", "limits", "why", "who", "how", "other", "other_how", "spoken_at", "read_out")

    def __init__(self, *args: Any, keys: Sequence[str], desk: Desk, **more: Any) -> None:
        super().__init__(*args, desk=desk, optional=True, **more)
        self.fields["let_be"].choices = [(key, key) for key in keys]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        if said.get("other") and _same(said["other"], said.get("who", "")):
            self.add_error("other", f"Who else: wanted another person than {said['who']}, or nobody")
        return said

    def names(self) -> list[Name]:
        said, second = self.cleaned_data, self.second()
        by = self.desk.person if _same(said["who"], self.desk.person.name) else None
        first = Name(said["who"], said["how"], person=by, at=self.desk.now)
        return [first, *([second] if second else [])]


class HeldForm(forms.Form):
    """That she does not go, and why."""

    held_why = words_field("Why she does not go", "the reason", rows=2)
    held_who = name_field("Who says so")


def _same(one: str, other: str) -> bool:
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())
