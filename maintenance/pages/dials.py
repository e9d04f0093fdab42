"""Dials typed into a form: one field a meter, asked about before they are kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext

from fleet.boats.models import Boat, Meter
from fleet.meters.facts import dials_by_meter
from fleet.meters.rules import Dial, in_order
from maintenance.pages.fields import hours_field
from maintenance.pages.phone import local
from maintenance.pages.phone.known import aboard
from maintenance.turnaround.doubts import Doubts, doubts_of


def name_of(meter: Meter) -> str:
    return f"dial-{meter.pk}"


def add_dials(form: forms.Form, meters: Sequence[Meter], on: date) -> None:
    """One field for each meter, with what it last showed beside it."""
    known = dials_by_meter([meter.pk for meter in meters], on)
    for meter in meters:
        last = in_order(known.get(meter.pk, []))[-1:]
        said = _last_said(last[0], on) if last else gettext("no reading yet")
        field = form.fields[name_of(meter)] = hours_field(label_of(meter), said)
        field.widget.attrs |= {"data-dial": meter.pk, "data-name": meter.name}
        if last:  # so that a phone without a net can ask about a slip too
            field.widget.attrs |= {"data-last": last[0].hours, "data-day": last[0].day.isoformat()}


def label_of(meter: Meter) -> str:
    """Hour meter, port; the only one of a boat is often called main and needs no name."""
    if meter.name == "main":
        return gettext("Hour meter")
    return gettext("Hour meter, %(meter)s") % {"meter": aboard(meter.name)}


def _last_said(last: Dial, on: date) -> str:
    said = {"hours": local.hours(last.hours), "day": local.day(last.day, on)}
    return gettext("last %(hours)s h on %(day)s") % said


def dials(form: forms.Form, meters: Sequence[Meter]) -> dict[Meter, Decimal]:
    """The dials given, by meter."""
    found = {meter: form.cleaned_data.get(name_of(meter)) for meter in meters}
    return {meter: dial for meter, dial in found.items() if dial is not None}


def answered(data: QueryDict) -> QueryDict:
    """The form as sent, with the one-tap answer (what was meant, or two swapped) put in."""
    data = data.copy()
    meant = data.get("meant", "")
    which, _, rest = meant.partition(":")
    if which == "swap" and ":" in rest:
        one, _, other = rest.partition(":")
        first, second = data.get(f"dial-{one}", ""), data.get(f"dial-{other}", "")
        data[f"dial-{one}"], data[f"dial-{other}"] = second, first
    elif which.isdigit() and _is_number(rest):
        data[f"dial-{which}"] = rest
    return data


def _is_number(text: str) -> bool:
    try:
        return Decimal(text).is_finite()
    except InvalidOperation:
        return False


@dataclass(frozen=True, slots=True)
class Asking:
    """Whether dials are to be asked about before they are kept."""

    as_read: bool

    def doubts(
        self, boat: Boat, day: date, given: Mapping[Meter, Decimal], new: Mapping[Meter, bool], noted: bool
    ) -> Doubts:
        """What to ask; nothing where the person said to keep them as read."""
        if self.as_read:
            return Doubts(())
        dials = {m: Dial(day, hours, bool(new.get(m)), noted) for m, hours in given.items()}
        return doubts_of(boat, dials, on=day)


def asking(data: Mapping[str, Any]) -> Asking:
    return Asking(data.get("as_read") == "yes")
