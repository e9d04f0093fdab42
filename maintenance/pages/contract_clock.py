"""The hours a base's charter contract gives it to put a boat right that is away: the manager's page."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from maintenance.jobs.clock import PUBLISHED, Allowed
from maintenance.jobs.contract import ClockRefused, contract_clock, set_contract_clock

ROWS = 4
MOST_DAYS, MOST_HOURS = 365, 24 * 60


def _number(label: str, least: int, most: int) -> forms.IntegerField:
    text = f"{label}: wanted a whole number from {least} to {most}"
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=least,
        max_value=most,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": "6"}),
        error_messages={"invalid": text, "min_value": text, "max_value": text, "required": text},
    )


class ClockForm(forms.Form):
    """A row for charters of any length, and rows for longer ones."""

    def __init__(self, own: list[Allowed], data: Any = None) -> None:
        super().__init__(data)
        for n in range(ROWS):
            if n:
                self.fields[f"days{n}"] = _number(f"Over how many days, row {n + 1}", 1, MOST_DAYS)
            self.fields[f"hours{n}"] = _number(f"Hours, row {n + 1}", 1, MOST_HOURS)
        self.fields["hours0"].required = True
        for n, row in enumerate(own[:ROWS]):
            self.initial.update({f"days{n}": row.over_days, f"hours{n}": row.hours})

    @property
    def rows(self) -> list[tuple[Any, Any]]:
        return [(self[f"days{n}"] if n else None, self[f"hours{n}"]) for n in range(ROWS)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for n in range(1, ROWS):
            days, hours = (cleaned.get(f"{name}{n}") for name in ("days", "hours"))
            for name, found, other in (("days", days, hours), ("hours", hours, days)):
                if found is None and other is not None and f"{name}{n}" not in self.errors:
                    label = self.fields[f"{name}{n}"].label
                    self.add_error(f"{name}{n}", f"{label}: wanted a number beside the other one")
        return cleaned

    def allowed(self) -> list[Allowed]:
        data = self.cleaned_data
        longer = [(data[f"days{n}"], data[f"hours{n}"]) for n in range(1, ROWS)]
        return [Allowed(0, data["hours0"]), *(Allowed(*row) for row in longer if row[0] is not None)]


@at_base("change the base's rules")
def clock_of_contract(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The base's own hours, or back to the published ones."""
    own = contract_clock(desk.base)
    if request.POST.get("what") == "published":
        set_contract_clock(desk.base, [])
        messages.success(request, "The published terms hold again.")
        return redirect("contract-clock", base=desk.base.code)
    sent = request.method == "POST"
    form = ClockForm(own, request.POST if sent else None)
    if sent and form.is_valid() and _set(form, desk):
        messages.success(request, "The base's own hours hold for call-outs from now on.")
        return redirect("contract-clock", base=desk.base.code)
    context = {"desk": desk, "here": "week", "form": form, "own": own, "published": PUBLISHED}
    return render(request, "maintenance/contract_clock.html", context, status=422 if sent else 200)


def _set(form: ClockForm, desk: Desk) -> bool:
    try:
        set_contract_clock(desk.base, form.allowed())
    except ClockRefused as refused:
        say(form, refused)
        return False
    return True
