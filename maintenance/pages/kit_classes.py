"""What should lie in the kit of every boat of a class: said by the manager, part by part, from a day on."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.fields import day_field, quantity_field, row_number
from maintenance.pages.part_typed import PartField
from maintenance.spares.keeping import drop_allowance, say_class_allowance
from maintenance.spares.models import Allowance


class ClassForm(forms.Form):
    """So many of a part for a class of boats, from a day on."""

    spare = PartField(label="Part")
    from_on = day_field("From", "the day from which it should be aboard")

    field_order = ("design", "spare", "quantity", "from_on")

    def __init__(self, designs: list[str], data: Any, initial: dict[str, Any]) -> None:
        super().__init__(data, initial=initial)
        wanted = f"Class: wanted one of {', '.join(designs) or 'the boats’ classes, and none is known yet'}"
        self.fields["design"] = forms.ChoiceField(
            label="Class",
            choices=[("", "choose a class"), *((design, design) for design in designs)],
            error_messages={"required": wanted, "invalid_choice": wanted},
        )
        self.fields["quantity"] = quantity_field("How many", required=True)
        self.fields["spare"].error_messages["required"] = "Part: wanted its code, its number or its name"
        self.order_fields(self.field_order)


@at_base("see", post="change intervals")
def kit_classes(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The list by class, with what counts today; said anew, changed or taken back."""
    designs = _designs(desk)
    rows = _rows(designs)
    if request.POST.get("what", "").startswith("back:"):
        return _take_back(request, desk, rows)
    form = ClassForm(
        designs, request.POST if request.method == "POST" else None, _initial(request, desk, rows)
    )
    if form.is_bound and form.is_valid() and _said(form, request):
        return redirect("kit-classes", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "rows": _shown(rows, desk),
        "designs": designs,
        "may_say": desk.may("change intervals"),
    }
    return render(request, "maintenance/kit_classes.html", context, status=422 if form.is_bound else 200)


def _designs(desk: Desk) -> list[str]:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).exclude(design="")
    return sorted(set(boats.values_list("design", flat=True)), key=str.casefold)


def _rows(designs: list[str]) -> list[Allowance]:
    said = Allowance.objects.filter(place__isnull=True, design__in=designs).select_related("spare")
    return list(said.order_by("design", "spare__name", "spare__code", "from_on", "pk"))


def _shown(rows: list[Allowance], desk: Desk) -> list[dict[str, Any]]:
    """Each word with whether it counts now, was followed by another, or is still to come."""
    latest = {(row.design, row.spare_id): row for row in rows if row.from_on <= desk.today}
    found = []
    for row in rows:
        when = "from then on" if row.from_on > desk.today else "another counts since"
        counts = latest.get((row.design, row.spare_id)) == row
        found.append({"row": row, "counts": counts, "when": "counts now" if counts else when})
    return found


def _initial(request: HttpRequest, desk: Desk, rows: list[Allowance]) -> dict[str, Any]:
    """The row that is to be changed, filled in."""
    key = row_number(request.GET.get("row", ""))
    chosen = next((row for row in rows if row.pk == key), None)
    if chosen is None:
        return {"from_on": desk.today}
    number = f"{chosen.quantity.normalize():f}"
    return {
        "design": chosen.design,
        "spare": chosen.spare.code,
        "quantity": number,
        "from_on": chosen.from_on,
    }


def _said(form: ClassForm, request: HttpRequest) -> bool:
    given = form.cleaned_data
    spare, number = given["spare"], given["quantity"]
    try:
        say_class_allowance(spare, given["design"], quantity=number, from_on=given["from_on"])
    except Refused as refused:
        say(form, refused)
        return False
    text = (
        f"{given['design']}: {wording.quantity(number)} {spare.name} from {wording.day(given['from_on'])} on."
    )
    messages.success(request, text)
    return True


def _take_back(request: HttpRequest, desk: Desk, rows: list[Allowance]) -> HttpResponse:
    key = row_number(request.POST["what"].removeprefix("back:"))
    row = next((row for row in rows if row.pk == key), None)
    if row is None:
        raise Http404
    drop_allowance(row)
    messages.success(request, f"{row.design}: what was said of {row.spare.name} is taken back.")
    return redirect("kit-classes", base=desk.base.code)
