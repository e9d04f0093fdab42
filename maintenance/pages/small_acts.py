"""Small things done from the week's page: settle a reading, count a shelf, end a defect."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat, Place
from fleet.meters.actions import ReadingGoesBackwards
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.fields import faults_of, hours_field, quantity_field
from maintenance.spares.counting import BookMoved, Line, count_place
from maintenance.spares.facts import lots_at
from maintenance.spares.lots import held_of
from maintenance.spares.models import Spare
from maintenance.turnaround.doubts import earlier_reading, put_aside, settle


def _boats(desk: Desk) -> Any:
    return Boat.objects.of_base(desk.base.pk, desk.today).values("pk")


class SettleForm(forms.Form):
    """The dial meant, by one tap or typed."""

    dial = hours_field("Hours")
    other = hours_field("Hours it showed")


@require_POST
@at_base("record a reading")
def settle_reading(request: HttpRequest, desk: Desk, reading: int) -> HttpResponse:
    """Settles a doubtful reading, and says which due days moved."""
    rows = Reading.objects.standing().filter(standing=Reading.Standing.DOUBTFUL, meter__boat__in=_boats(desk))
    row = rows.select_related("meter__boat").filter(pk=reading).first()
    if row is None:
        get_object_or_404(Reading, pk=reading, meter__boat__in=_boats(desk))
        messages.info(request, "That reading is settled already.")
        return redirect("week", base=desk.base.code)
    form = SettleForm(request.POST)
    here = f"{reverse('week', args=[desk.base.code])}#reading-{row.pk}"
    if not form.is_valid():
        messages.error(request, f"{_named(row)}: not settled. {faults_of(form)}")
        return redirect(here)
    try:
        messages.success(request, _settle(row, request.POST.get("what", ""), form.cleaned_data, desk))
    except ReadingGoesBackwards as wrong:
        messages.error(request, f"{_named(row)}: not settled. {wording.sentence(str(wrong))}.")
        return redirect(here)
    return redirect("week", base=desk.base.code)


def _named(row: Reading) -> str:
    return f"{row.meter.boat.name}, {row.meter.name}"


def _settle(row: Reading, what: str, given: dict[str, Any], desk: Desk) -> str:
    name = _named(row)
    if what == "aside":
        moved = put_aside(row, at=desk.now, by=desk.person)
        return f"{name}: set aside. {_moved(len(moved))}"
    dial = given["other"] if what == "other" else given["dial"]
    if dial is None and what not in ("new meter", "before"):
        raise ReadingGoesBackwards("wanted the hours the meter showed")
    before = earlier_reading(row) if what == "before" else None
    if what == "before" and before is None:
        raise ReadingGoesBackwards("the one before was noted with a service or a fitting: correct that first")
    moved = settle(
        row, at=desk.now, by=desk.person, dial=dial, new_meter=what == "new meter", instead_of=before
    )
    return (
        f"{name}: settled at {wording.hours(dial if dial is not None else row.dial)} h. {_moved(len(moved))}"
    )


def _moved(count: int) -> str:
    return wording.sentence(f"{wording.many(count, 'due day')} moved.")


class CountForm(forms.Form):
    """What was counted of a spare at a place."""

    spare = forms.ModelChoiceField(Spare.objects.all())
    counted = quantity_field("Counted", required=True)
    book = forms.DecimalField(required=False)


@require_POST
@at_base("count stock")
def count(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Makes the book say what lies there."""
    form = CountForm(request.POST)
    places = Place.objects.filter(Q(base=desk.base) | Q(boat__in=_boats(desk)))
    form.fields["place"] = forms.ModelChoiceField(places)
    if form.is_valid():
        spare, place, counted = (form.cleaned_data[k] for k in ("spare", "place", "counted"))
        if (spare.pk, place.pk) in lots_at([place.pk]):
            messages.info(request, f"{spare}, {place}: there are lots of it, which are counted apart.")
            return redirect("shelf", base=desk.base.code, place=place.pk)
        _count(request, place, Line(spare, counted, _book(form, spare, place)), desk)
    else:
        messages.error(request, faults_of(form))
    return redirect("week", base=desk.base.code)


def _book(form: CountForm, spare: Spare, place: Place) -> Decimal:
    """What the book said to who counted; as it stands, where the form does not say."""
    said: Decimal | None = form.cleaned_data["book"]
    return held_of(spare, place, None) if said is None else said


def _count(request: HttpRequest, place: Place, line: Line, desk: Desk) -> None:
    named = f"{line.spare}, {place}"
    try:
        count_place(place, [line], day=desk.today, at=desk.now, by=desk.person)
        messages.success(request, f"{named}: {wording.quantity(line.counted)} counted.")
    except BookMoved as moved:
        now = wording.quantity(moved.now[line.key])
        messages.error(request, f"{named}: not counted, the book says {now} by now. Look again.")
