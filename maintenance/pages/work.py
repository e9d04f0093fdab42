"""Recording work: tasks ticked off together, the dial, the parts, and the way back."""

import uuid
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat, Component, Fitting, Meter
from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.actions import Task, TooLateToTakeBack, Work, WorkRefused, record_work, take_back_job
from maintenance.jobs.models import Job
from maintenance.pages import wording
from maintenance.pages.answers import moved_group, stock_groups, wrong_day
from maintenance.pages.dials import add_dials, answered, asking, dials, name_of
from maintenance.pages.fields import PrintedDateField, day_field, row_number, sent_id
from maintenance.pages.parts import PartsForm
from maintenance.planning.taking import Take, takes
from maintenance.servicing.models import Due, ServiceInterval
from maintenance.turnaround.facts import returned_charters

CAUTIONS = {
    "gas": "Shut off at the bottle, air the boat, no flame and no switch; leak test after. "
    "Fixed gas work is for a licensed fitter.",
    "rig": "Nobody goes aloft alone or on one halyard; a rigger decides what holds.",
}


@dataclass(frozen=True, slots=True)
class Ticked:
    """A task on the form: its line, and what the page calls it."""

    component: Component
    interval: ServiceInterval
    thing: str

    @property
    def line(self) -> str:
        return f"{self.component.pk}-{self.interval.pk}"

    @property
    def caution(self) -> str:
        return CAUTIONS.get(self.component.kind.system, "")


class WorkForm(PartsForm):
    """When, what the meters showed, the new printed dates, the parts."""

    done_on = day_field("Done on")
    minutes = forms.IntegerField(
        label="Minutes it took",
        required=False,
        min_value=1,
        max_value=6000,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        help_text="may stay blank",
    )
    who = forms.CharField(label="Who did it", max_length=120, required=False)

    def __init__(
        self, boat: Boat, tasks: list[Ticked], meters: list[Meter], desk: Desk, data: Any = None
    ) -> None:
        super().__init__(data, initial={"done_on": desk.today, "who": desk.person.name})
        self.tasks, self.meters = tasks, meters
        add_dials(self, meters, desk.today)
        for task in tasks:
            if task.interval.on_expiry:
                self.fields[f"printed-{task.component.pk}"] = PrintedDateField(
                    label=f"New date printed on it: {task.thing}",
                    max_length=60,
                    required=False,
                    help_text="as printed; without it the old date stays and the line stays due",
                )
        self.add_parts(boat, desk.today, _summed(boat, tasks, desk.today))

    @property
    def plain(self) -> list[Any]:
        """The fields shown one under the other, in the order they are asked."""
        printed = [name for name in self.fields if name.startswith("printed-")]
        names = ["done_on", *(name_of(m) for m in self.meters), *printed, "minutes", "who"]
        return [self[name] for name in names]

    def work(self) -> Work:
        printed = {t.component: self.cleaned_data.get(f"printed-{t.component.pk}") for t in self.tasks}
        return Work(
            done_on=self.cleaned_data["done_on"],
            tasks=[Task(t.component, t.interval) for t in self.tasks],
            dials=dials(self, self.meters),
            used=self.used(),
            printed={component: text for component, text in printed.items() if text},
            minutes=self.cleaned_data["minutes"],
            who=self.cleaned_data["who"],
        )


@at_base("record work")
def work(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Tasks ticked on the week's page, recorded as one act; doubtful dials are asked about first."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    sent = answered(request.POST) if request.method == "POST" else None
    lines = (sent or request.GET).getlist("line")
    if sent is None and not lines:
        messages.error(request, "Tick at least one task first.")
        return redirect("week", base=desk.base.code)
    tasks = ticked(ship, lines)
    form = WorkForm(ship, tasks, _meters(ship, tasks), desk, sent)
    asks = None
    if sent is not None and form.is_valid():
        done = form.work()
        asks = asking(sent).doubts(ship, done.done_on, done.dials, {}, noted=True)
        if not asks and (job := _record(form, ship, done, desk, sent_id(sent))):
            return redirect("job", base=desk.base.code, job=job.pk)
    context = {
        "desk": desk,
        "here": "week",
        "boat": ship,
        "out_until": _out_until(ship, desk.today),
        "tasks": tasks,
        "form": form,
        "asks": asks,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/work.html", context, status=422 if sent is not None else 200)


def _out_until(boat: Boat, on: date) -> date | None:
    """The day she is expected back, where she is out and nobody said that she is back."""
    out = Charter.objects.booked().filter(boat=boat, starts_on__lt=on, ends_on__gt=on).first()
    if out is None or out.pk in returned_charters([boat.pk]):
        return None
    return out.ends_on


def _record(form: WorkForm, boat: Boat, done: Work, desk: Desk, client_id: str | None) -> Job | None:
    try:
        return record_work(boat, done, at=desk.now, by=desk.person, client_id=client_id)
    except WorkRefused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, str(refused))
        return None


def ticked(boat: Boat, lines: list[str]) -> list[Ticked]:
    """The tasks that lines name, each once; 404 for what is not aboard this boat."""
    pairs = {tuple(line.split("-", 1)) for line in lines if line.count("-") == 1}
    keys = {(row_number(c), row_number(i)) for c, i in pairs}
    numbers = {(c, i) for c, i in keys if c is not None and i is not None}
    fittings = Fitting.objects.standing().filter(
        boat=boat, removed_on__isnull=True, component__in={c for c, _ in numbers}
    )
    where = {f.component_id: f for f in fittings.select_related("component__kind", "meter")}
    intervals = ServiceInterval.objects.in_bulk({i for _, i in numbers})
    if any(c not in where or i not in intervals for c, i in numbers):
        raise Http404
    return [Ticked(where[c].component, intervals[i], _thing(where[c])) for c, i in sorted(numbers)]


def _thing(fitting: Fitting) -> str:
    meter = fitting.meter.name if fitting.meter and fitting.meter.name != "main" else ""
    where = fitting.position or meter
    return fitting.component.kind.name + (f", {where}" if where else "")


def _meters(boat: Boat, tasks: list[Ticked]) -> list[Meter]:
    """The meters the ticked components run on."""
    return list(
        Meter.objects.filter(
            Q(fittings__component__in=[t.component for t in tasks]),
            fittings__removed_on__isnull=True,
            fittings__replaced_by__isnull=True,
            boat=boat,
        ).distinct()
    )


def _summed(boat: Boat, tasks: list[Ticked], on: date) -> list[Take]:
    """What the tasks take together, one row a spare."""
    wanted = {(t.component.pk, t.interval.pk) for t in tasks}
    dues = [d for d in Due.objects.filter(boat=boat) if (d.component_id, d.interval_id) in wanted]
    sums: dict[int, Take] = {}
    for of in takes(dues, on=on).values():
        for take in of:
            known = sums.get(take.spare.pk)
            quantity = take.quantity + (known.quantity if known else 0)
            sums[take.spare.pk] = Take(take.spare, quantity, take.lies)
    return list(sums.values())


@at_base("see", post="record work")
def job(request: HttpRequest, desk: Desk, job: int) -> HttpResponse:
    """What followed from one act of work, and the way back."""
    done = get_object_or_404(Job.objects.select_related("boat", "recorded_by"), pk=job, boat__in=_boats(desk))
    if request.method == "POST":
        try:
            take_back_job(done, at=desk.now, by=desk.person)
        except TooLateToTakeBack as late:
            return wrong_day(request, desk, str(late))
        return redirect("job", base=desk.base.code, job=done.pk)
    return render(request, "maintenance/answer.html", _answer(done, desk))


def _boats(desk: Desk) -> Any:
    return Boat.objects.of_base(desk.base.pk, desk.today).values("pk")


def _answer(done: Job, desk: Desk) -> dict[str, Any]:
    undone = done.state == Job.State.TAKEN_BACK
    groups = _recorded(done)
    if not undone:
        groups += moved_group(done.followed, desk.today) + stock_groups(done.followed, desk)
    if done.followed.get("doubtful") and not undone:
        said = "The hour reading cannot be right. It moves no due day until it is settled on the week's page."
        groups.append({"title": "In doubt", "items": [{"text": said}]})
    may_undo = not undone and desk.may("record work") and desk.is_today(done.recorded_at)
    return {
        "desk": desk,
        "here": "week",
        "ship": done.boat,
        "heading": f"Undone on {done.boat.name}" if undone else f"Recorded on {done.boat.name}",
        "lede": ("Nothing of this counts any more. " if undone else "") + _by_whom(done, desk),
        "groups": groups,
        "undo": reverse("job", args=[desk.base.code, done.pk]) if may_undo else None,
        "undo_text": "Undo all of it",
    }


def _by_whom(done: Job, desk: Desk) -> str:
    text = f"Recorded {wording.moment(done.recorded_at, desk.base.timezone)}"
    text += f" by {done.recorded_by.name}" if done.recorded_by else ""
    return text + (f"; done by {done.who}." if done.who else ".")


def _recorded(done: Job) -> list[dict[str, Any]]:
    """The tasks, dials and spares of a job."""
    links = done.services.select_related("service__interval", "service__component__kind")
    tasks = [
        {"text": f"{s.interval.task}, {s.component.kind.name}", "why": wording.day(s.done_on)}
        for s in (link.service for link in links)
    ]
    dials = [
        {"text": f"{link.reading.meter.name}: {wording.hours(link.reading.dial)} h"}
        for link in done.readings.select_related("reading__meter")
    ]
    used = [
        {"text": f"{wording.quantity(link.move.quantity)} {link.move.spare}, {link.move.from_place}"}
        for link in done.moves.select_related("move__spare", "move__from_place__parent")
    ]
    title = "Counting starts" if done.sort == Job.Sort.COUNTING else "Done"
    groups = ((title, tasks), ("Hour meter", dials), ("Spares used", used))
    return [{"title": name, "items": items} for name, items in groups if items]
