"""One form for what is done with a part by hand: received, used, moved, scrapped, sent back."""

import uuid
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.dates import AS_PRINTED, KNOWN_YEARS, Meaning, meanings
from fleet.boats.models import Place
from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import move_words, wording
from maintenance.pages.fields import MOST_PARTS, NumberField, day_field, sent_id
from maintenance.pages.spare_lies import Line, lying
from maintenance.pages.stores import Stores, stores_of
from maintenance.pages.worded import words_field
from maintenance.spares.handling import Handled, handle
from maintenance.spares.lots import Marked
from maintenance.spares.models import QUANTITY, Lot, Spare, StockMove
from maintenance.spares.moving import ENDS

WHYS = [(why, wording.sentence(why)) for why in ENDS]
UNMARKED = "none"
MARKS = 80
ITS_PLACE = "wanted one of this base’s places in the list"


class MoveForm(forms.Form):
    """What was done, how many, where; what is written on what came, or which lot was taken."""

    why = forms.ChoiceField(
        label="What was done",
        choices=WHYS,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), f"What was done: wanted one of {', '.join(ENDS)}"
        ),
    )
    quantity = NumberField(
        wanted="how many, above 0, such as 2 or 4.5",
        places=QUANTITY["decimal_places"],
        most=MOST_PARTS,
        label="How many",
    )
    day = day_field("Day")
    from_place = forms.ChoiceField(label="From", required=False)
    lot = forms.ChoiceField(label="Which lot", required=False)
    to_place = forms.ChoiceField(label="To", required=False)
    mark = words_field("Lot", most=MARKS, required=False, help_text="as it is marked, where it is")
    serial = words_field("Serial number", most=MARKS, required=False, help_text="of one unit alone")
    expires = words_field(
        "Good until",
        most=60,
        required=False,
        help_text="as it is printed, such as 2027-06; a month is good to its last day",
    )
    words = words_field("Words", most=300, rows=2, required=False, help_text="why, for whom, by which paper")

    def __init__(self, spare: Spare, stores: Stores, lines: list[Line], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.spare, self.stores = spare, stores
        self.asked: tuple[Meaning, ...] = ()
        there = {str(line.place.pk): line for line in lines if not line.astray}
        self._choose("from_place", "From", _with_numbers(stores, there, spare))
        self._choose("to_place", "To", stores.choices("choose a place"))
        self.has_lots = any(line.lots for line in there.values())
        self._choose("lot", "Which lot", _lots(there.values()))

    def _choose(self, name: str, label: str, choices: list[Any]) -> None:
        field: Any = self.fields[name]
        field.choices = choices
        wanted = ITS_PLACE if name != "lot" else "wanted one in the list"
        field.error_messages["invalid_choice"] = f"{label}: {wanted}"

    def done(self, good: str) -> Handled | None:
        """What is said, only the fields that belong to it; None where a date is to be asked about."""
        given, why = self.cleaned_data, self.cleaned_data["why"]
        goes, comes = ENDS[why]
        lot = given["lot"] if goes else ""
        marked = Marked() if goes else self._marked(good)
        if marked is None:
            return None
        return Handled(
            why=why,
            quantity=given["quantity"],
            day=given["day"],
            from_place=self._place("from_place") if goes else None,
            to_place=self._place("to_place") if comes else None,
            marked=marked,
            lot=Lot.objects.filter(pk=lot, spare=self.spare).first() if lot.isdecimal() else None,
            unmarked=lot == UNMARKED,
            words=given["words"],
        )

    def _place(self, name: str) -> Place | None:
        key = self.cleaned_data[name]
        return self.stores.places[int(key)] if key else None

    def _marked(self, good: str) -> Marked | None:
        given = self.cleaned_data
        expires, sure = self._last_day(given["expires"], good)
        return Marked(given["mark"].strip(), given["serial"].strip(), expires) if sure else None

    def _last_day(self, text: str, good: str) -> tuple[date | None, bool]:
        """The last day it is good, and whether that is sure: one that could mean several is asked about,
        as is a year far off."""
        if not text:
            return None, True
        found = meanings(text)
        if not found:
            self.add_error("expires", f"Good until: found “{text}”, {AS_PRINTED}")
            return None, False
        chosen = [one.day for one in found if one.day.isoformat() == good]
        if not chosen and len(found) == 1 and found[0].day.year in KNOWN_YEARS:
            chosen = [found[0].day]
        if not chosen:
            self.asked = found
            self.add_error("expires", f"Good until: wanted which day “{text}” means, chosen below")
        return (chosen[0], True) if chosen else (None, False)


def _with_numbers(stores: Stores, there: dict[str, Line], spare: Spare) -> list[Any]:
    """Each place with what the book has there; those that have any first."""
    some = [
        (key, f"{line.path}: {move_words.amount(line.quantity, spare)}")
        for key, line in there.items()
        if line.quantity
    ]
    known = {key for key, _ in some}
    rest = [(str(one.pk), stores.path(one)) for one in stores if str(one.pk) not in known]
    groups = [("Where it lies", some)] if some else []
    return [("", "choose a place"), *groups, ("Where the book has none", rest)]


def _lots(lines: Any) -> list[Any]:
    """Each lot that lies somewhere, and where."""
    found: dict[str, list[str]] = {}
    named: dict[str, str] = {}
    for line in lines:
        for one in line.lots:
            key = str(one.lot.pk) if one.lot else UNMARKED
            named[key] = f"{one.lot}{', ran out' if one.run_out else ''}" if one.lot else "without a mark"
            found.setdefault(key, []).append(f"{line.path}: {wording.quantity(one.quantity)}")
    return [("", "choose a lot"), *((key, f"{named[key]} ({'; '.join(at)})") for key, at in found.items())]


@at_base("count stock")
def spare_move(request: HttpRequest, desk: Desk, spare: int) -> HttpResponse:
    """Writes down one move; what cannot be as said is asked for again with what was typed."""
    part = get_object_or_404(Spare, pk=spare)
    stores = stores_of(desk)
    lines = lying(part, stores, on=desk.today)
    form = MoveForm(part, stores, lines, request.POST or None, initial=_initial(request, desk))
    if request.method == "POST" and form.is_valid():
        move = _keep(request, form, part, desk)
        if move is not None:
            messages.success(request, _kept(move, stores))
            return redirect("spare", base=desk.base.code, spare=part.pk)
    context = {
        "desk": desk,
        "here": "spares",
        "spare": part,
        "form": form,
        "unit": part.unit if part.unit not in ("", "each") else "",
        "asked": form.asked,
        "client_id": sent_id(request.POST) or uuid.uuid4().hex,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "maintenance/spare_move.html", context, status=status)


def _initial(request: HttpRequest, desk: Desk) -> dict[str, Any]:
    why = request.GET.get("why", "")
    return {
        "why": why if why in ENDS else "",
        "day": desk.today,
        "from_place": request.GET.get("from", ""),
        "to_place": request.GET.get("to", ""),
    }


def _keep(request: HttpRequest, form: MoveForm, part: Spare, desk: Desk) -> StockMove | None:
    done = form.done(request.POST.get("good", ""))
    if done is None or not form.is_valid():
        return None
    client_id = sent_id(request.POST)
    mine = StockMove.objects.filter(client_id=client_id or "", spare=part)
    try:
        return once(mine.first, lambda: handle(part, done, at=desk.now, by=desk.person, client_id=client_id))
    except (Refused, ValidationError) as refused:
        say(form, refused)
        return None


def _kept(move: StockMove, stores: Stores) -> str:
    said = f"{move.spare}: {move_words.amount(move.quantity, move.spare)} {move_words.done(move, stores)}"
    lot = f", {move.lot}" if move.lot else ""
    core = " The worn-out one is to go back." if move.why == "used" and move.spare.exchange else ""
    return f"{said}{lot}.{core}"
