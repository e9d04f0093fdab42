"""The kit of one boat, counted and sealed: what the book has aboard, what should be there, what was found."""

import uuid
from collections import defaultdict
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Place
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import line_field
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.fields import quantity_field, sent_id
from maintenance.spares.counting import BookMoved, Line
from maintenance.spares.kits import KitLine, Sealed, count_kit, kit_lines
from maintenance.spares.sealing import SealRefused, seals_of

NONE = Decimal(0)
MOST_NUMBER = 40
NOTHING = "Counted: wanted a number beside at least one of them, or the number of the new seal"
BOTH = "Number of the new seal: wanted none, where the box stays open"


class KitForm(forms.Form):
    """One number for each part at each of her places; a blank was not counted. And the new seal's."""

    number = line_field("Number of the new seal", "as it is stamped", most=MOST_NUMBER)
    opened = forms.BooleanField(label="The box stays open, no seal is on it", required=False)

    def __init__(self, lines: list[KitLine], data: Any, *, filled: bool = False) -> None:
        super().__init__(data)
        self.fields["number"].required = False
        self.rows = [self._row(line, filled) for line in lines]

    def _row(self, line: KitLine, filled: bool) -> dict[str, Any]:
        lot = f"-{line.lot.pk}" if line.lot else ""
        name = f"kit-{line.spare.pk}-{line.place.pk}{lot}"
        label = f"{line.spare.name}, {line.place.name}" + (f", {line.lot}" if line.lot else "")
        self.fields[name] = quantity_field(label)
        if filled and line.as_it_should_be is not None:
            self.initial[name] = f"{line.as_it_should_be.normalize():f}"
        row = {"line": line, "place": line.place, "name": name, "field": self[name]}
        return row | {"book": self.data.get(f"book-{name}") or f"{line.held.normalize():f}"}

    def clean(self) -> None:
        given = self.cleaned_data
        counted = any(given.get(row["name"]) is not None for row in self.rows)
        wrong = any(row["name"] in self.errors for row in self.rows)
        if given.get("number") and given.get("opened"):
            self.add_error("number", BOTH)
        if not (counted or wrong or given.get("number") or given.get("opened") or "number" in self.errors):
            self.add_error(None, NOTHING)

    def counted(self) -> dict[Place, list[Line]]:
        """What was counted at each place, beside what the book said when the page was opened."""
        found: dict[Place, list[Line]] = defaultdict(list)
        for row in self.rows:
            if (number := self.cleaned_data[row["name"]]) is not None:
                line = row["line"]
                book = _number(row["book"], line.held)
                found[line.place].append(Line(line.spare, number, book, line.lot))
        return dict(found)


def _number(text: str, otherwise: Decimal) -> Decimal:
    plain = text.removeprefix("-").replace(".", "", 1)
    return Decimal(text) if plain.isdecimal() and plain.isascii() and len(text) <= 16 else otherwise


@at_base("see", post="count stock")
def kit(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """What should lie aboard and what the book has; what is counted is what lies there."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    lines = kit_lines(ship, on=desk.today)
    filled = request.method == "GET" and "as-it-should-be" in request.GET
    form = KitForm(lines, request.POST if request.method == "POST" else None, filled=filled)
    if form.is_bound and form.is_valid() and (sealed := _kept(form, ship, desk, request)) is not None:
        messages.success(request, _told(ship, sealed, form))
        return redirect("kit", base=desk.base.code, boat=ship.pk)
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "form": form,
        "filled": filled,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "seal": seals_of([ship.pk]).get(ship.pk),
        "lacks": [line for line in _wanting(lines) if line["lacks"] > 0],
        "may_fill_in": any(line.as_it_should_be is not None for line in lines),
        "may_count": desk.may("count stock"),
    }
    return render(request, "maintenance/kit.html", context, status=422 if form.is_bound else 200)


def _kept(form: KitForm, ship: Boat, desk: Desk, request: HttpRequest) -> Sealed | None:
    """Counts and seals; None where the form says what is wanted."""
    given = form.cleaned_data
    said: dict[str, Any] = {"number": given["number"], "opened": given["opened"], "who": desk.person.name}
    said |= {"day": desk.today, "at": desk.now, "by": desk.person, "client_id": sent_id(request.POST)}
    try:
        return count_kit(ship, form.counted(), **said)
    except BookMoved:
        _say_moved(form)
    except SealRefused as refused:
        form.add_error("number", f"Number of the new seal: {refused.wanted}")
    except Refused as refused:
        form.add_error(None, f"Counted: {refused.wanted}")
    return None


def _say_moved(form: KitForm) -> None:
    """Somebody used, moved or counted a part since the page was opened: each is named, and from now on
    the page rests on what the book says now."""
    for row in form.rows:
        held = f"{row['line'].held.normalize():f}"
        if _number(row["book"], row["line"].held) != row["line"].held:
            now = wording.quantity(row["line"].held)
            form.add_error(row["name"], f"{row['field'].label}: the book says {now} by now; look again")
        row["book"] = held


def _told(ship: Boat, sealed: Sealed, form: KitForm) -> str:
    parts = [f"{wording.many(sealed.counted, 'line')} of the kit counted"] if sealed.counted else []
    if form.cleaned_data["number"] and sealed.seal is not None:
        parts.append(f"seal {sealed.seal.number} is on the box")
    if form.cleaned_data["opened"]:
        parts.append("no seal is on the box")
    return f"{ship.name}: {', '.join(parts)}."


def _wanting(lines: list[KitLine]) -> list[dict[str, Any]]:
    """What each part lacks where it should lie, all its lots together."""
    there: dict[tuple[Any, Any], Decimal] = defaultdict(Decimal)
    wanted: dict[tuple[Any, Any], Decimal] = {}
    for line in lines:
        there[line.spare, line.place] += line.held
        wanted[line.spare, line.place] = line.wanted or NONE
    return [
        {"spare": spare, "place": place, "lacks": wanted[spare, place] - max(number, NONE)}
        for (spare, place), number in there.items()
    ]
