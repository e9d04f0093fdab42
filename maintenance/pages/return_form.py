"""The return's form: hours, five questions, what is wrong, what was lost, what was used."""

from typing import Any

from django import forms

from fleet.boats.models import Boat, Meter
from fleet.pages.desk import Desk
from maintenance.pages.dials import add_dials, dials, name_of
from maintenance.pages.fields import day_field
from maintenance.pages.parts import PartsForm
from maintenance.turnaround.actions import DialRead, Report
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import QUESTIONS


class ReturnForm(PartsForm):
    """The whole return; one thing a line in the fields for words."""

    blank_rows, shown_blank, kit_first, more_parts = 5, 1, True, "More parts"

    filed_by = forms.ChoiceField(label="Filed by", choices=Return.FiledBy.choices)
    day = day_field("Back on")
    reporter = forms.CharField(
        label="Reported by", help_text="the skipper's name, or yours", max_length=120, required=False
    )
    defects = forms.CharField(
        label="What is wrong",
        help_text="in their own words, one thing a line",
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    lost = forms.CharField(
        label="Lost or broken",
        help_text="one thing a line",
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, boat: Boat, meters: list[Meter], desk: Desk, initial: dict, data: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.meters = meters
        add_dials(self, meters, desk.today)
        for meter in meters:
            self.fields[f"new-{meter.pk}"] = forms.BooleanField(required=False)
        for question in QUESTIONS:
            choices = [("yes", "Yes"), ("no", "No")]
            self.fields[f"ask-{question.code}"] = forms.ChoiceField(
                label=question.asks, choices=choices, required=False
            )
        self.add_parts(boat, desk.today)

    @property
    def first(self) -> list[Any]:
        return [self["filed_by"], self["day"], self["reporter"]]

    @property
    def words(self) -> list[Any]:
        return [self["defects"], self["lost"]]

    @property
    def meters_shown(self) -> list[dict[str, Any]]:
        return [{"dial": self[name_of(m)], "new": self[f"new-{m.pk}"]} for m in self.meters]

    @property
    def questions(self) -> list[dict[str, Any]]:
        names = [(q, f"ask-{q.code}") for q in QUESTIONS]
        return [{"asks": q.asks, "name": name, "value": self[name].value()} for q, name in names]

    def clean(self) -> dict[str, Any]:
        """A return that says nothing at all is a slip of the thumb."""
        cleaned = super().clean()
        for meter in self.meters:
            if cleaned.get(f"new-{meter.pk}") and cleaned.get(name_of(meter)) is None:
                self.add_error(name_of(meter), f"{meter.name}: wanted what the new meter shows")
        said = [cleaned.get(name) for name in self._says_something()]
        if not self.errors and all(value is None or value is False or value == "" for value in said):
            self.add_error(None, "Nothing was said: wanted hours, an answer, a word or a part")
        return cleaned

    def _says_something(self) -> list[str]:
        beside = ("filed_by", "day", "reporter")
        places = [name for name in self.fields if name.endswith("-place")]
        return [name for name in self.fields if name not in (*beside, *places)]

    def is_new(self) -> dict[Meter, bool]:
        return {m: self.cleaned_data[f"new-{m.pk}"] for m in self.meters}

    def report(self, reporter: str) -> Report:
        data, new = self.cleaned_data, self.is_new()
        said = {"yes": True, "no": False}
        return Report(
            filed_by=data["filed_by"],
            day=data["day"],
            dials=[DialRead(m, d, new_meter=new[m]) for m, d in dials(self, self.meters).items()],
            defects=lines(data["defects"]),
            lost=lines(data["lost"]),
            used=self.used(),
            answers={q.code: said.get(data[f"ask-{q.code}"]) for q in QUESTIONS},
            reporter=reporter,
        )


def lines(text: str) -> list[str]:
    """One thing a line, blank ones left out."""
    return [line.strip() for line in text.splitlines() if line.strip()]
