"""Reading a printed date on the phone: as written, with its photo; what is not clear is asked about."""

import re
import uuid
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.actions import WHAT_LENGTH
from fleet.boats.dates import AS_PRINTED, Meaning, meanings
from fleet.boats.facts import dates_of_kinds
from fleet.boats.models import Component, Fitting, PrintedDate
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import PaperField
from fleet.papers.actions import keep_paper
from fleet.papers.models import Paper
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.jobs.away import away_now
from maintenance.jobs.dating import Dated, record_date, take_back_date, undoable
from maintenance.pages import wording
from maintenance.pages.answers import wrong_day
from maintenance.pages.date_told import aboard, anchor, moved_said, named, says
from maintenance.pages.fields import row_number, sent_id

OTHER = "another"
SHA256 = re.compile("[0-9a-f]{64}")
STATES = {"record": PrintedDate.State.READ, "illegible": PrintedDate.State.ILLEGIBLE, "none": "none"}
CAUTIONS = {
    "safety": "Read only what is printed outside. Opening, firing and testing is for the maker's station "
    "and licensed people.",
    "gas": "If you smell gas: shut off at the bottle, everyone out, no switches. Fixed gas work is for a "
    "licensed fitter.",
}


class DateForm(forms.Form):
    """Which date, as it is written, and its photo."""

    what = forms.ChoiceField(label="Which date")
    other = forms.CharField(
        label="Name of another date",
        max_length=WHAT_LENGTH,
        required=False,
        help_text="such as pressure test",
    )
    as_written = forms.CharField(
        label="As written",
        max_length=60,
        required=False,
        help_text="copy it as it is printed, such as 06/2027",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    photo = PaperField("Photo or certificate", help_text="may stay blank")

    def __init__(self, whats: list[str], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        choices = [(what, wording.sentence(what)) for what in whats]
        self.fields["what"].choices = [*choices, (OTHER, "Another, named below")]  # type: ignore[attr-defined]

    def named(self) -> str:
        """Which date it is."""
        data = self.cleaned_data
        return " ".join(data["other"].split()) if data["what"] == OTHER else data["what"]

    def ask(self, read: bool) -> tuple[Meaning, ...]:
        """What is said of the whole: the meanings of what was read, or errors beside the fields."""
        if self.cleaned_data.get("what") == OTHER and not self.cleaned_data.get("other"):
            self.add_error("other", "Name of another date: wanted what it is the date of")
        if not read or "as_written" not in self.cleaned_data:
            return ()
        found = meanings(self.cleaned_data["as_written"])
        if not found:
            typed = self.cleaned_data["as_written"]
            self.add_error(
                "as_written", f"As written: found {f'“{typed}”' if typed else 'nothing'}, {AS_PRINTED}"
            )
        return found


@at_base("read a printed date")
def printed_date(request: HttpRequest, desk: Desk, component: int) -> HttpResponse:
    """One date of one thing: recorded, or said to be illegible or not there; undone the same day."""
    stay = get_object_or_404(aboard(desk).select_related("component__kind", "boat"), component__pk=component)
    if request.method == "POST" and "undo" in request.POST:
        return _undone(request, stay, desk)
    form = _form(request, stay.component)
    asked: tuple[Meaning, ...] = ()
    paper = _paper(request, form, desk) if form.is_bound else None
    if form.is_bound:
        asked = form.ask(_state(request) == PrintedDate.State.READ) if form.is_valid() else ()
        if form.is_valid() and (dated := _record(request, form, stay, asked, paper, desk)):
            return _told(request, stay, dated, desk)
    context = _context(request, stay, desk) | {
        "form": form,
        "asked": asked if form.is_bound and form.is_valid() else (),
        "paper": paper,
    }
    return render(request, "maintenance/printed_date.html", context, status=422 if form.is_bound else 200)


def _form(request: HttpRequest, component: Component) -> DateForm:
    carried = dates_of_kinds([component.kind_id]).get(component.kind_id, ())
    printed = PrintedDate.objects.standing().filter(component=component).values_list("what", flat=True)
    whats = sorted({*carried, *printed}) or ["expiry"]
    asked = request.GET.get("what", "")
    if request.method != "POST":
        return DateForm(whats, initial={"what": asked if asked in whats else whats[0]})
    return DateForm(whats, request.POST, request.FILES)


def _paper(request: HttpRequest, form: DateForm, desk: Desk) -> Paper | None:
    """The photo just sent, else the one sent before: neither is lost while a question is asked."""
    form.is_valid()
    if data := form.cleaned_data.get("photo"):
        return keep_paper(data, base=desk.base, at=desk.now, by=desk.person)
    sent = request.POST.get("paper", "")
    if not sent:
        return None
    handed_in = Paper.objects.of_bases([desk.base.pk]).filter(sha256=sent)
    known = handed_in.first() if SHA256.fullmatch(sent) else None
    if known is None:
        form.add_error("photo", "Photo or certificate: wanted one handed in at this base; take it again")
        return None
    return known


def _state(request: HttpRequest) -> str:
    return STATES.get(request.POST.get("state", ""), PrintedDate.State.READ)


def _record(
    request: HttpRequest,
    form: DateForm,
    stay: Fitting,
    asked: tuple[Meaning, ...],
    paper: Paper | None,
    desk: Desk,
) -> Dated | None:
    """Keeps it; None where it is to be asked about first."""
    state, good = _state(request), None
    if state == PrintedDate.State.READ and (good := _chosen(request, asked)) is None:
        return None
    return record_date(
        stay.component,
        what=form.named(),
        as_written=form.cleaned_data["as_written"],
        state=state,
        good=good,
        paper=paper,
        at=desk.now,
        by=desk.person,
        client_id=sent_id(request.POST),
    )


def _chosen(request: HttpRequest, asked: tuple[Meaning, ...]) -> date | None:
    """The day that was tapped, or the only one that can be meant; nothing is guessed."""
    tapped = request.POST.get("good", "")
    if not tapped:
        return asked[0].day if asked and asked[0].sure else None
    return next((meaning.day for meaning in asked if meaning.day.isoformat() == tapped), None)


def _told(request: HttpRequest, stay: Fitting, dated: Dated, desk: Desk) -> HttpResponse:
    """Back to the list at the line, with what it meant for the due list."""
    row = dated.row
    messages.success(
        request, f"{named(stay)}, {row.what}: {says(row)}. {moved_said(dated.moved, desk.today)}"
    )
    by = "kind" if request.POST.get("by") == "kind" else "boat"
    asked = urlencode({"by": by, "line": stay.component_id, "undo": row.pk})
    where = anchor(stay.component_id, row.what)
    return redirect(f"{reverse('safety', args=[desk.base.code])}?{asked}#{where}")


def _undone(request: HttpRequest, stay: Fitting, desk: Desk) -> HttpResponse:
    rows = PrintedDate.objects.filter(component=stay.component_id)
    row = get_object_or_404(rows, pk=row_number(request.POST["undo"]))
    try:
        dated = take_back_date(row, at=desk.now, by=desk.person)
    except TooLateToTakeBack as late:
        return wrong_day(request, desk, str(late))
    now = "nothing is recorded now" if dated.row.void else f"it says again: {says(dated.row)}"
    messages.success(
        request, f"Undone. {named(stay)}, {row.what}: {now}. {moved_said(dated.moved, desk.today)}"
    )
    where = reverse("printed-date", args=[desk.base.code, stay.component_id])
    return redirect(f"{where}?{urlencode({'what': row.what})}")


def _context(request: HttpRequest, stay: Fitting, desk: Desk) -> dict[str, Any]:
    may_undo = undoable(stay.component, at=desk.now)
    rows = PrintedDate.objects.standing().filter(component=stay.component).order_by("what", "pk")
    kept = [
        {"row": row, "says": says(row), "undo": may_undo[row.what].pk if row.what in may_undo else None}
        for row in rows.select_related("paper", "recorded_by")
    ]
    return {
        "desk": desk,
        "here": "safety",
        "stay": stay,
        "named": named(stay),
        "kept": kept,
        "away": away_now([stay.component_id]).get(stay.component_id),
        "caution": CAUTIONS.get(stay.component.kind.system, ""),
        "by": (request.POST or request.GET).get("by", "boat"),
        "client_id": sent_id(request.POST) or uuid.uuid4().hex,
    }
