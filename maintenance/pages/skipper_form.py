"""The skipper's forms: what is wrong, and the return's few questions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext, gettext_lazy, ngettext

from fleet.boats.models import Boat, Meter, Place
from fleet.pages.fields import PhotosField
from maintenance.defects.models import Defect
from maintenance.pages.dials import add_dials, dials, name_of
from maintenance.pages.fields import quantity_field
from maintenance.pages.phone.known import aboard, in_catalog
from maintenance.pages.phone.language import now_spoken
from maintenance.pages.return_form import lines
from maintenance.pages.whereabouts import Where, wheres
from maintenance.pages.words_field import WordsField
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare
from maintenance.turnaround.actions import DialRead, Report
from maintenance.turnaround.by_link import Told
from maintenance.turnaround.let_in import MOST_LINES, MOST_PHOTOS, MOST_WORDS
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import QUESTIONS

MOST_USED_WORDS, MOST_NAME = 300, 120
MOST_OWN_WORDS = MOST_WORDS - 1_000  # what has no column of its own stands below them


@dataclass(frozen=True, slots=True)
class KitRow:
    """A spare that lies aboard, as the form shows it."""

    spare: Spare
    place: Place
    aboard: Decimal
    field: BoundField

    @property
    def place_said(self) -> str:
        return aboard(self.place.name)


class AboutForm(forms.Form):
    """A form about one boat of the charter, with her own kit to take from."""

    def __init__(self, boat: Boat, boats: Sequence[Boat], today: date, *more: Any, **given: Any) -> None:
        super().__init__(*more, **given)
        self.boat, self.boats = boat, boats
        self.fields["about"] = forms.ChoiceField(
            label=gettext("Which boat"),
            required=False,
            choices=[(str(one.pk), one.name) for one in boats],
            error_messages={"invalid_choice": gettext("Which boat: wanted one your charter had")},
        )
        self._add_kit(today)

    def _add_kit(self, today: date) -> None:
        places = Place.objects.filter(boat=self.boat).select_related("parent").in_bulk()
        held, should = hands(places.keys()), allowances(on=today, places=places.keys())
        there = {where for where, many in {**should, **held}.items() if many > 0 or where in should}
        spares = Spare.objects.in_bulk({spare for spare, _ in there})
        ordered = sorted(there, key=lambda w: (spares[w[0]].name, str(places[w[1]]), w))
        self._kit = [(spares[s], places[p], held.get((s, p), Decimal(0))) for s, p in ordered]
        for spare, place, _ in self._kit:
            self.fields[_kit_name(spare, place)] = quantity_field(
                gettext("How many %(spare)s") % {"spare": spare.name}
            )

    @property
    def kit(self) -> list[KitRow]:
        return [KitRow(s, p, max(many, Decimal(0)), self[_kit_name(s, p)]) for s, p, many in self._kit]

    @property
    def kit_open(self) -> bool:
        names = [_kit_name(spare, place) for spare, place, _ in self._kit] + ["used_words"]
        return self.is_bound and any(self[n].value() or self[n].errors for n in names if n in self.fields)

    def used(self) -> list[SpareUsed]:
        """The spares used, by the cleaned form."""
        given = [(s, p, self.cleaned_data.get(_kit_name(s, p))) for s, p, _ in self._kit]
        return [SpareUsed(spare, place, many) for spare, place, many in given if many]


def _kit_name(spare: Spare, place: Place) -> str:
    return f"kit-{spare.pk}-{place.pk}"


class ReportForm(AboutForm):
    """What is wrong: where, what happens, whether it works, whether anybody is in danger."""

    words = WordsField(gettext_lazy("What happens"), MOST_OWN_WORDS, rows=5, required=True)
    works = forms.ChoiceField(
        label=gettext_lazy("Does it work now"),
        required=False,
        choices=[
            ("no", gettext_lazy("No")),
            ("sometimes", gettext_lazy("Sometimes")),
            ("yes", gettext_lazy("Yes")),
        ],
        error_messages={"invalid_choice": gettext_lazy("Does it work now: wanted no, sometimes or yes")},
    )
    danger = forms.ChoiceField(
        label=gettext_lazy("Danger now"),
        required=False,
        choices=[("yes", gettext_lazy("Yes")), ("no", gettext_lazy("No"))],
        error_messages={"invalid_choice": gettext_lazy("Danger now: wanted yes or no")},
    )
    photos = PhotosField(gettext_lazy("Photos"), most=MOST_PHOTOS)
    used_words = WordsField(gettext_lazy("Something else used"), MOST_USED_WORDS)
    reporter = WordsField(gettext_lazy("Your name"), MOST_NAME)

    def __init__(self, boat: Boat, boats: Sequence[Boat], today: date, *more: Any, **given: Any) -> None:
        super().__init__(boat, boats, today, *more, **given)
        self.fields["photos"].widget.attrs["accept"] = "image/*"  # with more, phones offer no camera
        self._wheres = {where.value: where for where in wheres(boat)}
        self.fields["where"] = forms.ChoiceField(
            label=gettext("Where"),
            required=False,
            choices=[(value, where.name) for value, where in self._wheres.items()],
            error_messages={
                "invalid_choice": gettext("Where: wanted a place aboard %(boat)s, or “Not sure”")
                % {"boat": boat.name}
            },
        )

    @property
    def where_choices(self) -> list[tuple[Where, bool]]:
        chosen = self["where"].value()
        return [(where, value == chosen) for value, where in self._wheres.items()]

    def _beside(self) -> str:
        """What has no column of its own: the system chosen, and what was used beside the kit."""
        data = self.cleaned_data
        where = self._wheres.get(data.get("where") or "")
        used = data.get("used_words")
        notes = [where.note if where else "", f"Used: {used}" if used else ""]
        return "\n\n".join(note for note in notes if note)

    def told(self) -> Told:
        data = self.cleaned_data
        where = self._wheres.get(data["where"])
        return Told(
            words=data["words"],
            beside=self._beside(),
            works=Defect.Works(data["works"]) if data["works"] else "",
            risk_now={"yes": True, "no": False}.get(data["danger"]),
            place=where.place if where else None,
            component=where.component if where else None,
            photos=data["photos"],
            used=self.used(),
            reporter=data["reporter"],
            language=now_spoken(),
        )


class SkipperReturnForm(AboutForm):
    """The return by the skipper: hours, five questions, what was lost or used; one thing a line."""

    lost = WordsField(
        gettext_lazy("Lost or broken"), MOST_WORDS, rows=2, help_text=gettext_lazy("one thing a line")
    )
    defects = WordsField(
        gettext_lazy("Anything else wrong"),
        MOST_WORDS,
        rows=3,
        help_text=gettext_lazy("not reported yet; one thing a line"),
    )
    reporter = WordsField(gettext_lazy("Your name"), MOST_NAME)

    def __init__(self, boat: Boat, boats: Sequence[Boat], today: date, *more: Any, **given: Any) -> None:
        super().__init__(boat, boats, today, *more, **given)
        self.meters: list[Meter] = list(boat.meters.all())
        add_dials(self, self.meters, today)
        for question in QUESTIONS:
            self.fields[f"ask-{question.code}"] = forms.ChoiceField(
                label=in_catalog(question.asks),
                choices=[("yes", gettext("Yes")), ("no", gettext("No"))],
                required=False,
            )

    def clean_lost(self) -> str:
        return self._few("lost")

    def clean_defects(self) -> str:
        return self._few("defects")

    def _few(self, name: str) -> str:
        text: str = self.cleaned_data[name]
        if (found := len(lines(text))) > MOST_LINES:
            said = ngettext(
                "%(label)s: wanted at most %(most)d line, found %(found)d",
                "%(label)s: wanted at most %(most)d lines, found %(found)d",
                MOST_LINES,
            )
            label = self.fields[name].label
            raise forms.ValidationError(said % {"label": label, "most": MOST_LINES, "found": found})
        return text

    @property
    def meters_shown(self) -> list[BoundField]:
        return [self[name_of(meter)] for meter in self.meters]

    @property
    def questions(self) -> list[dict[str, Any]]:
        names = [(q, f"ask-{q.code}") for q in QUESTIONS]
        return [{"asks": in_catalog(q.asks), "name": name, "value": self[name].value()} for q, name in names]

    def clean(self) -> dict[str, Any]:
        """A return that says nothing at all is a slip of the thumb."""
        cleaned = super().clean() or {}
        beside = ("about", "reporter")
        said = [cleaned.get(name) for name in self.fields if name not in beside]
        if not self.errors and all(value in (None, "") for value in said):
            self.add_error(None, gettext("Nothing was said: wanted hours, an answer, a word or a spare"))
        return cleaned

    def dials(self) -> dict[Meter, Decimal]:
        return dials(self, self.meters)

    def report(self, day: date, skipper: str) -> Report:
        data = self.cleaned_data
        said = {"yes": True, "no": False}
        return Report(
            filed_by=Return.FiledBy.SKIPPER,
            day=day,
            dials=[DialRead(meter, dial) for meter, dial in self.dials().items()],
            defects=lines(data["defects"]),
            lost=lines(data["lost"]),
            used=self.used(),
            answers={q.code: said.get(data[f"ask-{q.code}"]) for q in QUESTIONS},
            reporter=data["reporter"] or skipper,
        )
