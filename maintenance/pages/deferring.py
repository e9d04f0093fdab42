"""Letting a graded defect wait, or longer once: until when, what the next skipper is told, who decides."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from maintenance.defects.deferring import defer_defect, extend_deferral, waiting
from maintenance.defects.models import Defect, Deferral
from maintenance.defects.rules import UNSAFE
from maintenance.defects.until import Until, after_charters, counted_days, days_offered, next_turnaround
from maintenance.pages import wording
from maintenance.pages.defect_rows import act_page, end_of, kept_once, row_of, short, who_field
from maintenance.pages.defect_words import until
from maintenance.pages.fields import day_field, sent_id
from maintenance.pages.tiles import tiles_field
from maintenance.turnaround.at_sea import under_way

CHOICES = [
    ("turnaround", "Next turnaround"),
    ("day", "A day"),
    ("days", "So many days"),
    ("charters", "So many charters"),
    ("lay-up", "Lay-up"),
]
BEFORE = "to be settled or extended before that handover"
MOST_COMING = 30  # charters looked at: more than the longest number of days offered holds
NEEDS = {"day": "until_on", "days": "days", "charters": "max_charters"}


class UntilForm(forms.Form):
    """Until when, and who decides; what it hangs on is said by `about`."""

    until = tiles_field("Until", CHOICES, "the next turnaround, a day, days, charters or the lay-up")
    until_on = day_field("Day", "for “A day”: it ends with this day", required=False)
    days = forms.TypedChoiceField(label="Days", required=False, coerce=int, empty_value=None)
    max_charters = forms.IntegerField(
        label="Charters",
        required=False,
        min_value=1,
        max_value=50,
        help_text="for “So many charters”: how many more she may go out for with it",
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), "Charters: wanted a number from 1 to 50"
        ),
    )

    def about(self, found_on: date, on: date, *, out: bool, coming: Sequence[Charter] = ()) -> None:
        """Says the days to choose from, counted from discovery, which of them end inside a coming charter,
        and what the next turnaround is."""
        days: Any = self.fields["days"]
        offered = [
            (str(n), f"{wording.many(n, 'day')}: to {wording.day(d, on)}{ends_inside(d, coming)}")
            for n, d in days_offered(found_on, on)
        ]
        if coming:
            self.fields["until_on"].help_text += f". {_next(coming[0], on)}"
        days.choices = [("", "Choose"), *offered]
        days.error_messages["invalid_choice"] = "Days: wanted one of those in the list; name the day instead"
        found = wording.day(found_on, on)
        days.help_text = f"for “So many days”: counted from discovery, {found}, which is left out"
        means = (
            "after this charter, before she goes out again" if out else "after the charter that comes next"
        )
        self.fields["until"].widget.means = {"turnaround": means}

    def clean(self) -> dict[str, Any]:
        """The choice that needs a number or a day has it."""
        cleaned = super().clean() or {}
        needed = NEEDS.get(cleaned.get("until", ""))
        if needed and cleaned.get(needed) is None and needed not in self.errors:
            label = self.fields[needed].label
            self.add_error(needed, f"{label}: wanted, for it is to wait until then")
        return cleaned

    def chosen(self, found_on: date, *, out: bool, left_today: bool) -> Until:
        data = self.cleaned_data
        if data["until"] == "day":
            return Until(day=data["until_on"])
        if data["until"] == "days":
            return counted_days(found_on, data["days"])
        if data["until"] == "charters":
            return after_charters(data["max_charters"], left_today=left_today)
        return Until(layup=True) if data["until"] == "lay-up" else next_turnaround(out=out)


class DeferForm(UntilForm):
    """A first deferral: with the limit, and how the thing was made inoperative."""

    limit_text = forms.CharField(
        label="Limit for the next skipper",
        max_length=500,
        required=False,
        help_text="in plain words, such as “Navigate by day only”; it is printed at handover",
        widget=forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
        error_messages={"max_length": "Limit for the next skipper: wanted up to 500 letters"},
    )
    dangerous = tiles_field("Would using it be dangerous?", [("no", "No"), ("yes", "Yes")], "yes or no")
    made_inoperative = forms.CharField(
        label="Made inoperative",
        max_length=300,
        required=False,
        help_text="with a yes: how nobody can use it, such as “fuse drawn and tagged”",
        error_messages={"max_length": "Made inoperative: wanted up to 300 letters"},
    )
    who = who_field("Who decides")
    why = forms.CharField(label="Why it waits", max_length=500, required=False, help_text="may stay blank")


class ExtendForm(UntilForm):
    """The one extension, with its reason."""

    why = forms.CharField(
        label="Why it waits longer",
        max_length=500,
        error_messages={"required": "Why it waits longer: wanted the reason"},
    )
    who = who_field("Who decides")


def _coming(row: Defect, on: date) -> list[Charter]:
    """The charters that the boat goes out for in the months a deferral may last."""
    return list(Charter.objects.next_from(on).filter(boat=row.boat_id)[:MOST_COMING])


def ends_inside(day: date, coming: Sequence[Charter]) -> str:
    """That a day is one of a coming charter, before she is back from it; blank for any other."""
    codes = [c.code for c in coming if c.starts_on <= day < c.ends_on]
    return f", ends inside charter {codes[0]}: {BEFORE}" if codes else ""


def _next(charter: Charter, on: date) -> str:
    first, back = wording.day(charter.starts_on, on), wording.day(charter.ends_on, on)
    return f"Charter {charter.code} is from {first} to {back}; what ends inside it is {BEFORE}"


@at_base("grade and defer")
def defer(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Defers it, or extends its deferral once; says why not where neither can be."""
    row = row_of(defect, desk)
    if request.method == "POST" and _sent_before(request, row):
        return redirect("defect", base=desk.base.code, defect=row.pk)
    if no := _why_not(row, desk):
        return act_page(request, row, desk, None, heading=f"Defer: {row.boat.name}", cautions=[no])
    out = under_way(row.boat, desk.base, desk.now)
    found_on = desk.base.day_of(row.found_at)
    kind = ExtendForm if row.deferral else DeferForm
    form = kind(request.POST or None, initial={"who": desk.person.name, "until": "turnaround"})
    coming = _coming(row, desk.today)
    form.about(found_on, desk.today, out=out is not None, coming=coming)
    if request.method == "POST" and form.is_valid():
        left = out is not None and out.starts_on == desk.today
        end = form.chosen(found_on, out=out is not None, left_today=left)
        if _keep(request, row, form, end, desk) is not None:
            now = row_of(row.pk, desk)
            inside = ends_inside(end.day, coming) if end.day is not None else ""
            said = f"{row.boat.name}: “{short(row.words)}” is {until(now.waits, desk.today)}{inside}."
            messages.success(request, said)
            return redirect("defect", base=desk.base.code, defect=row.pk)
    more = {
        "heading": f"{'Extend once' if row.deferral else 'Defer'}: {row.boat.name}",
        "send": "Extend it, this once" if row.deferral else "Defer it",
        "lede": _lede(row, desk),
    }
    return act_page(request, row, desk, form, **more)


def _sent_before(request: HttpRequest, row: Defect) -> bool:
    """Whether this very form was kept already: the second time it would be taken for an extension."""
    return Deferral.objects.filter(defect=row.case, client_id=sent_id(request.POST) or "").exists()


def _lede(row: Any, desk: Desk) -> str:
    if row.deferral:
        return f"It is {until(row.waits, desk.today)}, as {row.deferral.by} decided. It can be extended once."
    most = desk.base.deferred_at_once
    there = waiting(row.boat_id)
    return (
        f"{row.boat.name} has {wording.many(there, 'thing')} deferred; up to {most} may wait together. "
        "It never ends at sea: what would end inside a charter is settled before she leaves."
    )


def _why_not(row: Any, desk: Desk) -> str:
    if row.same_as_id is not None:
        return "It is joined to another report: defer that one."
    if (ended := end_of(row)) is not None:
        return f"It has ended: {ended.by} said “{ended.step}”."
    if not row.grade:
        return "Grade it first: what is not graded is not deferred."
    if row.grade == UNSAFE:
        return "An unsafe defect is not deferred. Put it right, or make it inoperative and grade it again."
    if row.deferral and row.deferral.extends_id is not None:
        return "It was extended once already: put it right, or undo the deferral and decide anew."
    return ""


def _keep(request: HttpRequest, row: Any, form: forms.Form, end: Until, desk: Desk) -> Deferral | None:
    given = form.cleaned_data
    now: dict[str, Any] = {"who": given["who"], "why": given["why"], "at": desk.now, "by": desk.person}
    before = row.deferral

    def keep(client_id: str | None) -> Deferral:
        if before is not None:
            return extend_deferral(before, end, client_id=client_id, **now)
        return defer_defect(
            row,
            end,
            limit=given["limit_text"],
            inoperative=given["made_inoperative"],
            dangerous=given["dangerous"] == "yes",
            client_id=client_id,
            **now,
        )

    kept: Deferral | None = kept_once(Deferral, request, form, keep)
    return kept
