"""One reported thing: how it stands, its whole history, what can be done about it, how it ends."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import PhotosField
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import DefectEnded, add_papers, answer_report, end_defect
from maintenance.defects.correcting import take_back_step
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import OPENED
from maintenance.pages import wording
from maintenance.pages.defect_rows import end_of, row_of, short
from maintenance.pages.defect_shown import context_of
from maintenance.pages.fields import row_number, sent_id

PAPER_HELP = "the licensed fitter's, surveyor's or approved service station's; may be added later"


class EndForm(forms.Form):
    """How a defect ended, who did it, what was found, what was opened, and its paper."""

    step = forms.ChoiceField(
        label="It was",
        choices=[(step, step) for step in ENDINGS],
        error_messages={"required": "It was: wanted put right or no fault found"},
    )
    who = forms.CharField(
        label="Who says so", max_length=120, error_messages={"required": "Who says so: wanted a name"}
    )
    why = forms.CharField(label="What was found or done", max_length=500, required=False)
    opened = forms.ChoiceField(
        label="What was opened for it",
        required=False,
        choices=[("", "none of these"), *((thing, thing) for thing in OPENED)],
        help_text="licensed or approved people's work; a release wants their paper",
    )
    papers = PhotosField("Photos or paper", most=6, help_text=PAPER_HELP)


class PaperForm(forms.Form):
    """A paper of what was done, brought later."""

    papers = PhotosField("Photos or paper", most=6, required=True, help_text=PAPER_HELP)


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
    row = row_of(defect, desk)
    ended = end_of(row)
    form = EndForm(request.POST or None, request.FILES or None, initial={"who": desk.person.name})
    if request.method == "POST" and row.same_as_id is not None:
        messages.error(request, "It is joined to another report: say the end of that one.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    if request.method == "POST" and ended is None and form.is_valid():
        return _end(request, row, form, desk)
    if request.method == "POST" and ended is not None and _may_undo(request, ended, desk):
        take_back_step(ended, at=desk.now, by=desk.person)
        messages.success(request, f"{row.boat.name}: “{short(row.words)}” is open again.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    return _page(request, row, desk, form=form)


def _may_undo(request: HttpRequest, ended: DefectStep, desk: Desk) -> bool:
    return request.POST.get("what") == "all" and desk.is_today(ended.recorded_at)


def _kept(papers: Any, desk: Desk) -> list[Any]:
    return [keep_paper(paper, base=desk.base, at=desk.now, by=desk.person) for paper in papers]


def _end(request: HttpRequest, row: Defect, form: EndForm, desk: Desk) -> HttpResponse:
    given = form.cleaned_data
    papers = _kept(given["papers"], desk)
    here = redirect("defect", base=desk.base.code, defect=row.pk)
    try:
        end_defect(row, at=desk.now, by=desk.person, **given | {"papers": papers})
    except DefectEnded as meanwhile:
        messages.error(request, wording.sentence(meanwhile.wanted) + ".")
        return here
    messages.success(request, f"{row.boat.name}: “{short(row.words)}” {given['step']}.")
    if given["opened"] and not papers:
        messages.warning(
            request, f"Opened: {given['opened']}. Its paper is wanted before she is released: add it here."
        )
        return here
    return redirect("week", base=desk.base.code)


@require_POST
@at_base("answer a report")
def answer(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Tells the one who reported it what the base says; sent twice it is said once."""
    row = row_of(defect, desk)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        return _page(request, row, desk, reply=form)
    said = {"words": form.cleaned_data["words"], "who": desk.person.name, "at": desk.now, "by": desk.person}
    client_id = sent_id(request.POST)
    known = DefectStep.objects.filter(defect=row.case, client_id=client_id or "").first
    once(known, lambda: answer_report(row, client_id=client_id, **said))
    messages.success(request, "Answered.")
    return redirect("defect", base=desk.base.code, defect=row.pk)


@require_POST
@at_base("put a defect right")
def paper_of_step(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Adds a paper to what was done about it."""
    row = row_of(defect, desk)
    steps = DefectStep.objects.standing().filter(defect=row.case)
    step = steps.filter(pk=row_number(request.POST.get("step", "")) or 0).first()
    if step is None:
        messages.error(request, "Not added: that step is no longer there.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    form = PaperForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, row, desk, paper=form)
    add_papers(step, _kept(form.cleaned_data["papers"], desk))
    messages.success(request, f"Added to “{step.step}”, {step.by}.")
    return redirect("defect", base=desk.base.code, defect=row.pk)


def _page(
    request: HttpRequest,
    row: Any,
    desk: Desk,
    *,
    form: EndForm | None = None,
    reply: AnswerForm | None = None,
    paper: PaperForm | None = None,
) -> HttpResponse:
    ended = end_of(row)
    wrong = reply or paper or (form is not None and form.is_bound and ended is None)
    may_end = desk.may("put a defect right")
    context = context_of(row, desk, ended) | {
        "form": form or EndForm(initial={"who": desk.person.name}),
        "reply": reply or AnswerForm(),
        "paper": paper or PaperForm(),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "may_answer": desk.may("answer a report"),
        "may_end": ended is None and row.same_as_id is None and may_end,
        "may_paper": ended is not None and row.same_as_id is None and may_end,
        "undo": ended and row.same_as_id is None and desk.is_today(ended.recorded_at) and may_end,
    }
    return render(request, "maintenance/defect.html", context, status=422 if wrong else 200)
