"""The kits to be filled, boat by boat in the order they leave: a slip to walk the store with, and one tap
that says it went aboard."""

import uuid
from collections import defaultdict
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.ordering.filling import KitToFill, Waits, kits_to_fill
from maintenance.ordering.orders import Coming
from maintenance.pages import wording
from maintenance.pages.fields import quantity_field, row_number, sent_id
from maintenance.pages.move_words import amount
from maintenance.spares.models import StockMove
from maintenance.spares.restocking import Fill, fill_kits

NONE = Decimal(0)


class FillForm(forms.Form):
    """A tick and a number for each thing that can be put aboard; ticked with what the kit lacks."""

    def __init__(self, kits: list[KitToFill], data: Any) -> None:
        super().__init__(data)
        self._lacks = _lacks(kits)
        self.rows: dict[str, dict[str, Any]] = {}
        for fill in (fill for kit in kits for fill in kit.fills):
            self._add(fill)

    def _add(self, fill: Fill) -> None:
        name = _name(fill)
        label = f"{fill.spare.name} for {fill.boat.name}"
        self.fields[f"tick-{name}"] = forms.BooleanField(
            required=False, initial=not fill.to_count, label=f"Take {label}"
        )
        self.fields[f"quantity-{name}"] = quantity_field(label)
        self.initial[f"quantity-{name}"] = f"{fill.can.normalize():f}"
        self.rows[name] = {
            "fill": fill,
            "name": name,
            "tick": self[f"tick-{name}"],
            "quantity": self[f"quantity-{name}"],
            "seen": f"{fill.lacks.normalize():f}",
        }

    def clean(self) -> None:
        ticked = {name for name in self.rows if self.cleaned_data.get(f"tick-{name}")}
        for name in ticked:
            field, label = f"quantity-{name}", self.rows[name]["quantity"].label
            if field not in self.errors and not self.cleaned_data.get(field):
                self.add_error(field, f"{label}: wanted how many, above 0, or no tick")
            seen = self.data.get(f"seen-{name}", self.rows[name]["seen"])
            if seen != self.rows[name]["seen"]:
                self.add_error(field, f"{label}: somebody filled or counted it meanwhile; look again")
        self._check_lacks(ticked)
        for name, value in self.data.items():
            if name.startswith("tick-") and value and name.removeprefix("tick-") not in self.rows:
                self.add_error(None, _gone(self.data, name))
        if not ticked and not self.errors:
            self.add_error(None, "Put aboard: wanted a tick beside at least one of them")

    def _check_lacks(self, ticked: set[str]) -> None:
        """No more of a part for a kit than it lacks, from all shelves together."""
        put: dict[tuple[int, int], Decimal] = defaultdict(Decimal)
        for name in (name for name in self.rows if name in ticked):
            field, where = f"quantity-{name}", _where(self.rows[name]["fill"])
            put[where] += self.cleaned_data.get(field) or NONE
            if put[where] > self._lacks[where] and field not in self.errors:
                label, most = self.rows[name]["quantity"].label, wording.quantity(self._lacks[where])
                self.add_error(field, f"{label}: wanted up to {most}, as many as it lacks")

    def taken(self) -> list[tuple[Fill, Decimal]]:
        given = self.cleaned_data
        return [
            (row["fill"], given[f"quantity-{name}"])
            for name, row in self.rows.items()
            if given[f"tick-{name}"]
        ]


def _gone(data: Any, tick: str) -> str:
    said = data.get(tick.replace("tick-", "said-", 1), "")[:200] or "One of those ticked"
    return f"{said}: it lacks none from that shelf any more; look again"


def _lacks(kits: list[KitToFill]) -> dict[tuple[int, int], Decimal]:
    """How many of each part each kit lacks, what no store has for it among them."""
    found: dict[tuple[int, int], Decimal] = defaultdict(Decimal)
    for kit in kits:
        for fill in (*kit.fills, *(wait.fill for wait in kit.waits)):
            found[_where(fill)] += fill.lacks
    return found


def _where(fill: Fill) -> tuple[int, int]:
    return (fill.spare.pk, fill.place.pk)


def _name(fill: Fill) -> str:
    shelf = fill.from_place.pk if fill.from_place is not None else 0
    return f"{fill.spare.pk}-{fill.place.pk}-{shelf}"


@at_base("see", post="count stock")
def kits(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What each kit lacks, from which shelf; what is ticked and sent is aboard."""
    boats = list(Boat.objects.of_base(desk.base.pk, desk.today).values_list("pk", flat=True))
    found, one = kits_to_fill(desk.base, boats, on=desk.today), None
    if "boat" in request.GET:
        of_base = Boat.objects.of_base(desk.base.pk, desk.today)
        one = get_object_or_404(of_base, pk=row_number(request.GET["boat"]) or 0)
        found = [kit for kit in found if kit.boat == one]
    client_id = sent_id(request.POST)
    if client_id and StockMove.objects.filter(client_id=client_id).exists():
        return _here_again(desk, one)
    form = FillForm(found, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid() and (put := _put(form, desk, client_id)):
        messages.success(request, _aboard(put))
        return _here_again(desk, one)
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "one": one,
        "kits": [_kit(kit, form, desk) for kit in found],
        "can": bool(form.rows),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "may_count": desk.may("count stock"),
        "may_order": desk.may("order parts"),
        "printed": wording.moment(desk.now, desk.base.timezone),
    }
    return render(request, "maintenance/fill_kits.html", context, status=422 if form.is_bound else 200)


def _here_again(desk: Desk, boat: Boat | None) -> HttpResponse:
    where = reverse("fill-kits", args=[desk.base.code])
    return redirect(where + (f"?boat={boat.pk}" if boat is not None else ""))


def _put(form: FillForm, desk: Desk, client_id: str | None) -> list[tuple[Fill, Decimal]]:
    """Puts what is ticked aboard, once; nothing where the form says what is wanted."""
    taken = form.taken()
    said: dict[str, Any] = {"day": desk.today, "at": desk.now, "by": desk.person, "client_id": client_id}
    known = StockMove.objects.filter(client_id=client_id or "")
    try:
        once(lambda: list(known) or None, lambda: fill_kits(taken, **said))
    except Refused as refused:
        form.add_error(None, f"Put aboard: {refused.wanted}")
        return []
    return taken


def _aboard(put: list[tuple[Fill, Decimal]]) -> str:
    """Aboard Sandpiper: 2 gas bottle, 1 impeller kit. Boat by boat."""
    boats: dict[str, list[str]] = defaultdict(list)
    for fill, quantity in put:
        boats[fill.boat.name].append(f"{amount(quantity, fill.spare)} {fill.spare.name}")
    return " ".join(f"Aboard {name}: {', '.join(parts)}." for name, parts in boats.items())


def _kit(kit: KitToFill, form: FillForm, desk: Desk) -> dict[str, Any]:
    charter = kit.charter
    when = f"leaves {wording.day(charter.starts_on, desk.today)}" if charter else "no charter booked"
    if charter and charter.leaves_at:
        when += f" {wording.clock(charter.leaves_at)}"
    rows = [form.rows[_name(fill)] for fill in kit.fills]
    return {
        "boat": kit.boat,
        "when": when,
        "rows": rows,
        "waits": [_waits(w, desk) for w in kit.waits],
    }


def _waits(waits: Waits, desk: Desk) -> dict[str, Any]:
    fill = waits.fill
    short = f"{wording.quantity(fill.lacks)} {fill.spare.name}"
    promised = ""
    if fill.promised > NONE:
        verb = "goes" if fill.promised == 1 else "go"
        promised = f"the {wording.quantity(fill.promised)} ashore {verb} to boats that leave before her"
    return {
        "short": short,
        "spare": fill.spare,
        "promised": promised,
        "written": waits.written,
        "coming": [_comes(one, desk) for one in waits.coming],
    }


def _comes(one: Coming, desk: Desk) -> str:
    """Three on the way from whom, and when they should be here."""
    text = f"{wording.quantity(one.quantity)} on the way from {one.order.supplier}"
    day = one.expected_on
    if day is None:
        return f"{text}, no day was said"
    late = " and late" if day < desk.today else ""
    return f"{text}, expected {wording.day(day, desk.today)}{late}"
