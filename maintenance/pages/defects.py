"""One reported thing: what is known of it, what was answered, how it ends, and the way back."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat
from fleet.ledger import once, take_back
from fleet.pages.desk import Desk, at_base
from maintenance.defects.actions import DefectEnded, answer_report, end_defect
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep
from maintenance.pages import wording
from maintenance.pages.fields import sent_id
from maintenance.pages.reported import state_now, where
from maintenance.servicing.following import positions
from maintenance.turnaround.facts import came_by_link

SHORT = 90  # letters of a report in a heading: the whole of it stands below


class EndForm(forms.Form):
    """How a defect ended, who did it, what was found."""

    step = forms.ChoiceField(label="It was", choices=[(step, step) for step in ENDINGS])
    who = forms.CharField(label="Who says so", max_length=120)
    why = forms.CharField(label="What was found or done", max_length=500, required=False)


class AnswerForm(forms.Form):
    """What the one who reported it is told."""

    words = forms.CharField(
        label="Answer",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
        error_messages={
            "required": "Answer: wanted a few words",
            "max_length": "Answer: wanted up to 500 letters",
        },
    )


@at_base("see", post="put a defect right")
def defect(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """What was reported, and how it ended or is to end; what ended today can be undone."""
    row = _row(defect, desk)
    ended = _end_of(row)
    form = EndForm(request.POST or None, initial={"who": desk.person.name})
    if request.method == "POST" and ended is None and form.is_valid():
        return _end(request, row, form, desk)
    if request.method == "POST" and ended is not None and _may_undo(request, ended, desk):
        take_back(ended, at=desk.now, by=desk.person)
        messages.success(request, f"{row.boat.name}: “{_short(row.words)}” is open again.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    return _page(request, row, desk, form=form)


def _end_of(row: Defect) -> DefectStep | None:
    step: DefectStep | None = DefectStep.objects.standing().filter(defect=row, step__in=ENDINGS).last()
    return step


def _may_undo(request: HttpRequest, ended: DefectStep, desk: Desk) -> bool:
    return request.POST.get("what") == "all" and desk.is_today(ended.recorded_at)


def _end(request: HttpRequest, row: Defect, form: EndForm, desk: Desk) -> HttpResponse:
    try:
        end_defect(row, at=desk.now, by=desk.person, **form.cleaned_data)
    except DefectEnded as meanwhile:
        messages.error(request, wording.sentence(meanwhile.wanted) + ".")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    messages.success(request, f"{row.boat.name}: “{_short(row.words)}” {form.cleaned_data['step']}.")
    return redirect("week", base=desk.base.code)


@require_POST
@at_base("answer a report")
def answer(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Tells the one who reported it what the base says; sent twice it is said once."""
    row = _row(defect, desk)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        return _page(request, row, desk, reply=form)
    said = {"words": form.cleaned_data["words"], "who": desk.person.name, "at": desk.now, "by": desk.person}
    client_id = sent_id(request.POST)
    known = DefectStep.objects.filter(defect=row, client_id=client_id or "").first
    once(known, lambda: answer_report(row, client_id=client_id, **said))
    messages.success(request, "Answered.")
    return redirect("defect", base=desk.base.code, defect=row.pk)


def _row(defect: int, desk: Desk) -> Defect:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Defect.objects.standing().select_related("boat", "charter", "place", "component__kind")
    row: Defect = get_object_or_404(rows, pk=defect, boat__in=boats)
    return row


def _page(
    request: HttpRequest,
    row: Defect,
    desk: Desk,
    *,
    form: EndForm | None = None,
    reply: AnswerForm | None = None,
) -> HttpResponse:
    ended = _end_of(row)
    wrong = reply is not None or (form is not None and form.is_bound and ended is None)
    context = _said(row, desk) | {
        "form": form or EndForm(initial={"who": desk.person.name}),
        "reply": reply or AnswerForm(),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "may_answer": desk.may("answer a report"),
        "may_end": ended is None and desk.may("put a defect right"),
        "ended": ended,
        "ended_at": wording.moment(ended.recorded_at, desk.base.timezone) if ended else "",
        "undo": ended and desk.is_today(ended.recorded_at) and desk.may("put a defect right"),
    }
    return render(request, "maintenance/defect.html", context, status=422 if wrong else 200)


def _said(row: Defect, desk: Desk) -> dict[str, Any]:
    by = f" by {row.reporter}" if row.reporter else ""
    when = wording.moment(row.found_at, desk.base.timezone)
    charter = f", charter {row.charter.code}" if row.charter else ""
    whole = _history(row)
    return {
        "desk": desk,
        "here": "week",
        "defect": row,
        "heading": f"{row.boat.name}: {_short(row.words)}",
        "lede": f"Reported {when}{by}{charter}.",
        "now": ", ".join(state_now(row)),
        "where": where(row, positions([row.boat_id]).get(row.component_id or 0, "")),
        "photos": _photos(whole),
        "answers": _answers(whole, desk),
        "by_link": came_by_link(whole),
    }


def _history(row: Defect) -> list[int]:
    """A report and the ones it corrects: photos and answers stay with the one they came to."""
    rows: list[int] = []
    older: Any = row
    while older is not None:
        rows.append(older.pk)
        older = older.replaces
    return rows


def _photos(rows: list[int]) -> list[tuple[str, bool]]:
    """Each by its hash, and whether a browser shows it as a picture."""
    papers = DefectPaper.objects.filter(defect__in=rows).order_by("pk")
    found = papers.values_list("paper__sha256", "paper__mime")
    return [(sha256, mime.startswith("image/")) for sha256, mime in found]


def _answers(rows: list[int], desk: Desk) -> list[dict[str, str]]:
    steps = DefectStep.objects.standing().filter(defect__in=rows, step=DefectStep.Step.ANSWERED)
    zone = desk.base.timezone
    return [
        {"words": s.why, "who": s.by, "when": wording.moment(s.recorded_at, zone)}
        for s in steps.order_by("pk")
    ]


def _short(words: str) -> str:
    """The beginning of a report, in one line; what stands below the words is left there."""
    line = " ".join(words.split("\n\n")[0].split())
    return line if len(line) <= SHORT else line[:SHORT].rstrip() + " …"
