"""Starting to count tasks nobody ever recorded, for one or for a whole boat."""

import uuid

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.actions import Task, WorkRefused, start_counting
from maintenance.jobs.models import Job
from maintenance.pages.fields import day_field, sent_id
from maintenance.pages.work import Ticked, ticked
from maintenance.servicing.models import Due


class CountingForm(forms.Form):
    """The day from which to count."""

    from_on = day_field("Start counting from", "the due days then follow as if it had been done that day")


@at_base("record work")
def counting(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Every never-recorded task of a boat, ticked; the day asked for; no work is claimed."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    never = _never(ship)
    every = request.POST.get("which") == "all"
    chosen = [t.line for t in never] if every else (request.POST or request.GET).getlist("line")
    form = CountingForm(request.POST or None, initial={"from_on": desk.today})
    if request.method == "POST" and form.is_valid():
        tasks = [Task(t.component, t.interval) for t in never if t.line in chosen]
        if job := _start(form, ship, tasks, desk, sent_id(request.POST)):
            return redirect("job", base=desk.base.code, job=job.pk)
    context = {
        "desk": desk,
        "here": "week",
        "heading": f"{ship.name}: never recorded",
        "form": form,
        "tasks": never,
        "chosen": chosen,
        "send": "Count those ticked" if never else "",
        "send_all": "Count all of them",
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "lede": "Nobody wrote down when these were last done. Counting can start from a day you choose; "
        "it is kept as that, not as work done. Where you are not sure, do the work.",
    }
    return render(request, "maintenance/counting.html", context, status=422 if form.is_bound else 200)


def _never(boat: Boat) -> list[Ticked]:
    rows = Due.objects.filter(boat=boat, recorded=False).exclude(governs="expiry").order_by("sort_on", "pk")
    lines = [f"{c}-{i}" for c, i in rows.values_list("component_id", "interval_id")]
    found = {task.line: task for task in ticked(boat, lines)}
    return [found[line] for line in lines]


def _start(
    form: CountingForm, boat: Boat, tasks: list[Task], desk: Desk, client_id: str | None
) -> Job | None:
    try:
        return start_counting(
            boat,
            tasks,
            from_on=form.cleaned_data["from_on"],
            at=desk.now,
            by=desk.person,
            client_id=client_id,
        )
    except WorkRefused as refused:
        field = "from_on" if refused.field == "done_on" else None
        form.add_error(field, str(refused))
        return None
