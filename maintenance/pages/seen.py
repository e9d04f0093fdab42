"""The list of what is new, by itself for a page that asks again; seeing, joining, and undoing that."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.defects.actions import say_two_things, see_report
from maintenance.defects.correcting import part_defect, take_back_step
from maintenance.defects.models import DefectStep
from maintenance.pages.defect_rows import row_of
from maintenance.pages.joining import join_two, other_of
from maintenance.pages.new_done import SEEN_RETURN, done_of
from maintenance.pages.new_reports import new_at
from maintenance.turnaround.models import Return
from maintenance.turnaround.seeing import see_return

LISTS = ("week", "defects", "returns")  # the pages that have the list on top
OF = "X-Of"  # tells the page's script that an answer is one of these and no sign-in page or fault
UNCHANGED = 204


@never_cache
@at_base("see")
def new_reports(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The list; nothing where what the page has is still so."""
    new = new_at(desk)
    if request.GET.get("have") == new.stamp:
        return _marked(HttpResponse(status=UNCHANGED))
    return _list(request, desk, new=new, done=request.GET.get("done", ""))


@require_POST
@at_base("answer a report")
def see_defect(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """That who is signed in has read a report; or, taken back, that nobody has."""
    row = row_of(defect, desk)
    if request.POST.get("what") == "undo":
        steps = DefectStep.objects.standing().filter(defect=row.case, step=DefectStep.Step.SEEN)
        if (last := steps.order_by("pk").last()) is not None:
            take_back_step(last, at=desk.now, by=desk.person)
        return _on(request, desk, "")
    see_report(row, who=desk.person.name, at=desk.now, by=desk.person)
    return _on(request, desk, f"seen-{row.pk}", page="defect", defect=row.pk)


@require_POST
@at_base("answer a report")
def see_filed(request: HttpRequest, desk: Desk, filed: int) -> HttpResponse:
    """That who is signed in has read a return."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(Return, pk=filed, boat__in=boats)
    see_return(row, who=desk.person.name, at=desk.now, by=desk.person)
    return _on(request, desk, f"{SEEN_RETURN}-{row.pk}", page="filed", filed=row.pk)


@require_POST
@at_base("grade and defer")
def same_thing(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """One touch: the same thing as the other one, or two things; and the way back."""
    row = row_of(defect, desk)
    other = other_of(request, row, desk)
    if other is None:
        return _refused(request, desk, f"Not kept: wanted another report of {row.boat.name}.")
    try:
        done = _said(request.POST.get("what", ""), row, other, desk)
        return _on(request, desk, done, page="defect", defect=row.pk)
    except Refused as refused:
        return _refused(request, desk, f"Not joined: {refused.wanted}.")


def _said(what: str, row: Any, other: Any, desk: Desk) -> str:
    if what == "two":
        say_two_things(row, other, who=desk.person.name, at=desk.now, by=desk.person)
        return f"two-{row.pk}"
    if what == "part":
        return f"parted-{part_defect(other, at=desk.now, by=desk.person).pk}"
    return f"joined-{join_two(row, other, desk)[1]}"


def _refused(request: HttpRequest, desk: Desk, why: str) -> HttpResponse:
    if _by_script(request):
        return _list(request, desk, wrong=why)
    messages.error(request, why)
    return _back(request, desk)


def _on(request: HttpRequest, desk: Desk, done: str, *, page: str = "", **of: int) -> HttpResponse:
    """The list as it is now with what was done, or back to the page it was done on."""
    if _by_script(request) and _of(request):
        return _list(request, desk, done=done)
    if _by_script(request):
        return _marked(render(request, "maintenance/seen.html", {"desk": desk}))
    if page and not _of(request):
        if (told := done_of(done, desk)) is not None:
            messages.success(request, told["says"])
        return redirect(reverse(page, kwargs={"base": desk.base.code, **of}))
    return _back(request, desk, f"?done={done}#crews" if done else "#crews")


def _back(request: HttpRequest, desk: Desk, more: str = "") -> HttpResponse:
    return redirect(reverse(_of(request) or "week", args=[desk.base.code]) + more)


def _of(request: HttpRequest) -> str:
    """The page the list is on; blank where it was sent from elsewhere."""
    given = request.POST.get("of", "") or request.GET.get("of", "")
    return given if given in LISTS else ""


def _by_script(request: HttpRequest) -> bool:
    return request.headers.get("HX-Request") == "true"


def _list(request: HttpRequest, desk: Desk, **more: Any) -> HttpResponse:
    done = more.pop("done", "")
    new = more.pop("new", None) or new_at(desk)
    context = {"desk": desk, "new": new, "of": _of(request) or "week", "done": done_of(done, desk)}
    context |= {"may_join": desk.may("grade and defer")}
    return _marked(render(request, "maintenance/new_list.html", context | more))


def _marked(answer: HttpResponse) -> HttpResponse:
    answer[OF] = "crews"
    return answer
