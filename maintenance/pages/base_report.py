"""A defect reported by the base itself: from the pontoon, in own words, in seconds."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Component, Place
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import PhotosField
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect
from maintenance.pages.defect_rows import boats_of, kept_once, who_field
from maintenance.pages.placing import WhereForm
from maintenance.pages.tiles import tiles_field
from maintenance.pages.worded import words_field
from maintenance.turnaround.at_sea import under_way
from maintenance.turnaround.let_in import MOST_PHOTOS, MOST_WORDS

WORKS = (("no", "No"), ("sometimes", "Sometimes"), ("yes", "Yes"))
DANGER = (("yes", "Yes"), ("no", "No"))


class BaseReportForm(WhereForm):
    """What is wrong, where, whether it works, whether it is a danger now, photos, who says so."""

    words = words_field("What is wrong", most=MOST_WORDS, rows=4, help_text="in your own words")
    works = tiles_field("Does it work now?", WORKS, "no, sometimes or yes", required=False)
    danger = tiles_field("Is it a danger now?", DANGER, "yes or no", required=False)
    photos = PhotosField("Photos", most=MOST_PHOTOS)
    reporter = who_field("Who reports it")
    field_order = ("words", "at", "works", "danger", "photos", "reporter")

    def told(self) -> dict[str, Any]:
        said = self.cleaned_data
        danger = {"yes": True, "no": False}.get(said["danger"])
        beside = {"words": said["words"], "works": said["works"], "reporter": said["reporter"]}
        at = self.chosen()
        of = {
            "component": Component.objects.filter(pk=at["component_id"]).first(),
            "place": Place.objects.filter(pk=at["place_id"]).first(),
            "hull": at["hull"],
        }
        return beside | of | {"risk_now": danger}


@at_base("report a defect")
def report_here(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """The form; what raises the alarm leads on to “is it happening now?” and the look."""
    row = get_object_or_404(Boat, pk=boat, pk__in=boats_of(desk))
    sent = request.method == "POST"
    given = (request.POST, request.FILES) if sent else ()
    form = BaseReportForm(Defect(boat=row), *given, initial={"reporter": desk.person.name})
    if sent and form.is_valid() and (kept := _kept(request, row, form, desk)) is not None:
        return _on(request, kept, desk)
    context = {
        "desk": desk,
        "here": "defects",
        "boat": row,
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/base_report.html", context, status=422 if sent else 200)


def _kept(request: HttpRequest, boat: Boat, form: BaseReportForm, desk: Desk) -> Defect | None:
    told = form.told()

    def keep(client_id: str | None) -> Defect:
        papers = [
            keep_paper(p, base=desk.base, at=desk.now, by=desk.person) for p in form.cleaned_data["photos"]
        ]
        charter = under_way(boat, desk.base, desk.now)
        said = told | {"papers": papers, "charter": charter, "client_id": client_id}
        return report_defect(boat, at=desk.now, by=desk.person, **said)

    kept: Defect | None = kept_once(Defect, request, form, keep)
    return kept


def _on(request: HttpRequest, kept: Defect, desk: Desk) -> HttpResponse:
    raised = kept.alarm or kept.risk_now
    if raised:
        messages.warning(request, f"{kept.boat.name}: kept, and the alarm is up until somebody has looked.")
        return redirect("look", base=desk.base.code, defect=kept.pk)
    messages.success(request, f"{kept.boat.name}: kept. Nobody has graded it yet.")
    return redirect("defect", base=desk.base.code, defect=kept.pk)
