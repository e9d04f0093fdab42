"""The base's own round: which checks, in which order, for which boats, until when."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import day_field
from maintenance.defects.rules import FUNCTIONS
from maintenance.pages import wording
from maintenance.pages.fields import row_number
from maintenance.pages.worded import words_field
from maintenance.turnaround.models import RoundItem
from maintenance.turnaround.round import RoundRefused, add_item, change_item, move_item, start_with_usual
from maintenance.turnaround.usual_round import SOURCE, USUAL_ROUND

ALL_BOATS, NONE = "All boats", "Nothing that holds a boat"


def _choice(label: str, choices: list[tuple[str, str]], help_text: str = "") -> forms.ChoiceField:
    wanted = {"invalid_choice": f"{label}: wanted one of those listed"}
    return forms.ChoiceField(
        label=label, choices=choices, required=False, help_text=help_text, error_messages=wanted
    )


def _after(last: int) -> forms.IntegerField:
    wanted = f"After which check: wanted its number, 0 to {last}, or blank for the end"
    return forms.IntegerField(
        label="After which check",
        help_text="its number above; 0 for first, blank for the end",
        required=False,
        min_value=0,
        max_value=last,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), wanted),
    )


class ItemForm(forms.Form):
    """One check: its words, its caution, what it touches, whose it is, until when."""

    words = words_field("Check", "what is checked, such as Bilge dry", most=200)
    caution = words_field("Caution", most=300, rows=2, required=False)
    until_on = day_field("Asked up to", "blank for always; it is kept in the rounds walked", required=False)

    def __init__(self, designs: list[str], data: Any, item: RoundItem | None = None, last: int = 0) -> None:
        said = ("words", "caution", "function", "design", "until_on")
        initial = {name: getattr(item, name) for name in said} if item else {}
        super().__init__(data, initial=initial, prefix=f"check{item.pk}" if item else "new")
        self.item = item
        functions = [("", NONE), *((f, wording.sentence(f)) for f in FUNCTIONS)]
        self.fields["function"] = _choice(
            "It touches", functions, "two of these failing together hold a boat"
        )
        self.fields["design"] = _choice("For", [("", ALL_BOATS), *((d, d) for d in designs)])
        if item is None:
            asks = [("in order", "In order, fails, not aboard"), ("seal", "A seal: intact, broken, no box")]
            self.fields["asks"] = _choice("Answers", asks)
            self.fields["after"] = _after(last)
        self.order_fields(["words", "after", "caution", "function", "design", "asks", "until_on"])


@at_base("change the base's rules")
def round_items(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every check of the base's round; each is worded, moved or ended, and none is deleted."""
    what, _, number = request.POST.get("what", "").partition(":")
    items = list(RoundItem.objects.filter(base=desk.base))
    item = get_object_or_404(RoundItem, pk=row_number(number), base=desk.base) if number else None
    if request.method == "POST" and (said := _quick(what, item, desk)) is not None:
        messages.success(request, said)
        return redirect("round-items", base=desk.base.code)
    designs = _designs(desk, items)
    forms_of = [ItemForm(designs, request.POST if i == item and what == "item" else None, i) for i in items]
    new = ItemForm(designs, request.POST if what == "new" else None, last=len(items))
    sent = next((form for form in [*forms_of, new] if form.is_bound), None)
    if sent is not None and sent.is_valid() and _keep(sent, desk, request):
        return redirect("round-items", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "people",
        "forms": forms_of,
        "new": new,
        "usual": len(USUAL_ROUND),
        "source": SOURCE,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "maintenance/round_items.html", context, status=status)


def _quick(what: str, item: RoundItem | None, desk: Desk) -> str | None:
    """What one tap did; None where it was another button."""
    if what == "usual":
        return f"{wording.sentence(wording.many(len(start_with_usual(desk.base)), 'check'))} to begin with."
    if what in ("up", "down") and item is not None:
        move_item(item, earlier=what == "up")
        return f"{item.words}: moved {what}."
    return None


def _keep(form: ItemForm, desk: Desk, request: HttpRequest) -> bool:
    given = dict(form.cleaned_data)
    try:
        if form.item is not None:
            row = change_item(form.item, **given)
        else:
            given["asks"] = given["asks"] or RoundItem.Asks.IN_ORDER
            row = add_item(desk.base, **given)
    except RoundRefused as refused:
        known = form.fields.get(refused.field)
        said = f"{known.label}: {refused.wanted}" if known else wording.sentence(refused.wanted)
        form.add_error(refused.field if known else None, said)
        return False
    messages.success(request, f"{row.words}: kept.")
    return True


def _designs(desk: Desk, items: list[RoundItem]) -> list[str]:
    """The classes of boat there are at the base, and those checks name already."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).exclude(design="")
    return sorted({*boats.values_list("design", flat=True), *(i.design for i in items if i.design)})
