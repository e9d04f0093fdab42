"""The kit of one boat, counted: what the book has aboard, what should be there, what was found."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Place
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.fields import quantity_field
from maintenance.spares.counting import count_all
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare

NONE = Decimal(0)


class KitForm(forms.Form):
    """One number for each spare at each of her places; a blank was not counted."""

    def __init__(self, rows: list[dict[str, Any]], data: Any) -> None:
        super().__init__(data)
        for row in rows:
            label = f"{row['spare'].name}, {row['place'].name}"
            self.fields[row["name"]] = quantity_field(label)
        self.rows = [row | {"field": self[row["name"]]} for row in rows]

    def counted(self) -> dict[tuple[Spare, Place], Decimal]:
        given = {(row["spare"], row["place"]): self.cleaned_data[row["name"]] for row in self.rows}
        return {where: number for where, number in given.items() if number is not None}


@at_base("see", post="count stock")
def kit(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """What should lie aboard and what the book has; what is counted is what lies there."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    form = KitForm(_rows(ship, desk), request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        if counted := form.counted():
            number = count_all(counted, day=desk.today, at=desk.now, by=desk.person)
            messages.success(request, f"{ship.name}: {wording.many(number, 'line')} of the kit counted.")
            return redirect("kit", base=desk.base.code, boat=ship.pk)
        form.add_error(None, "Counted: wanted a number beside at least one of them")
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "form": form,
        "may_count": desk.may("count stock"),
    }
    return render(request, "maintenance/kit.html", context, status=422 if form.is_bound else 200)


def _rows(ship: Boat, desk: Desk) -> list[dict[str, Any]]:
    """Every spare that lies, or should lie, at a place of hers."""
    places = {place.pk: place for place in Place.objects.filter(boat=ship).order_by("name")}
    held, wanted = hands(places.keys()), allowances(on=desk.today, places=places.keys())
    asked = {where for where, n in [*held.items(), *wanted.items()] if n != NONE}
    spares = Spare.objects.in_bulk({spare for spare, _ in asked})
    rows = [
        {
            "name": f"kit-{spare}-{place}",
            "spare": spares[spare],
            "place": places[place],
            "held": held.get((spare, place), NONE),
            "wanted": wanted.get((spare, place)),
        }
        for spare, place in asked
    ]
    return sorted(rows, key=lambda row: (row["place"].name, row["spare"].name, row["name"]))
