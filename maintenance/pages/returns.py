"""Taking a boat back: the return's form, what followed from it, and the ways back."""

import uuid
from datetime import date, timedelta
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.boats.models import Boat, Meter
from fleet.charters.models import Charter, CharterBoat
from fleet.ledger import latest
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.pages import wording
from maintenance.pages.answers import moved_group, stock_groups, wrong_day
from maintenance.pages.dials import add_dials, answered, asking, dials, name_of
from maintenance.pages.fields import day_field
from maintenance.pages.parts import PartsForm
from maintenance.spares.models import StockMove
from maintenance.turnaround.actions import (
    DialRead,
    Report,
    ReturnRefused,
    file_return,
    take_back_part,
    take_back_return,
)
from maintenance.turnaround.facts import returned_charters
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import BY_CODE, QUESTIONS

LATELY = 14  # days after which a charter without a return is no longer asked for
PARTS = {"reading": Reading, "defect": Defect, "move": StockMove}


class ReturnForm(PartsForm):
    """The whole return; one thing a line in the fields for words."""

    blank_rows, shown_blank, more_parts = 5, 1, "More parts"

    filed_by = forms.ChoiceField(label="Filed by", choices=Return.FiledBy.choices)
    day = day_field("Back on")
    reporter = forms.CharField(label="Name of who says so", max_length=120, required=False)
    defects = forms.CharField(
        label="What is wrong",
        help_text="in their own words, one thing a line",
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    lost = forms.CharField(
        label="Lost or broken",
        help_text="one thing a line",
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, boat: Boat, meters: list[Meter], desk: Desk, initial: dict, data: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.meters = meters
        add_dials(self, meters, desk.today)
        for meter in meters:
            self.fields[f"new-{meter.pk}"] = forms.BooleanField(required=False)
        for question in QUESTIONS:
            choices = [("yes", "Yes"), ("no", "No")]
            self.fields[f"ask-{question.code}"] = forms.ChoiceField(
                label=question.asks, choices=choices, required=False
            )
        self.add_parts(boat, desk.today)

    @property
    def first(self) -> list[Any]:
        return [self["filed_by"], self["day"], self["reporter"]]

    @property
    def words(self) -> list[Any]:
        return [self["defects"], self["lost"]]

    @property
    def meters_shown(self) -> list[dict[str, Any]]:
        return [{"dial": self[name_of(m)], "new": self[f"new-{m.pk}"]} for m in self.meters]

    @property
    def questions(self) -> list[dict[str, Any]]:
        names = [(q, f"ask-{q.code}") for q in QUESTIONS]
        return [{"asks": q.asks, "name": name, "value": self[name].value()} for q, name in names]

    def is_new(self) -> dict[Meter, bool]:
        return {m: self.cleaned_data[f"new-{m.pk}"] for m in self.meters}

    def report(self) -> Report:
        data, new = self.cleaned_data, self.is_new()
        said = {"yes": True, "no": False}
        return Report(
            filed_by=data["filed_by"],
            day=data["day"],
            dials=[DialRead(m, d, new_meter=new[m]) for m, d in dials(self, self.meters).items()],
            defects=_lines(data["defects"]),
            lost=_lines(data["lost"]),
            used=self.used(),
            answers={q.code: said.get(data[f"ask-{q.code}"]) for q in QUESTIONS},
            reporter=data["reporter"],
        )


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


@at_base("see")
def returns(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Boats that are out or came back without a return, and what was filed lately."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    filed = Return.objects.standing().filter(boat__in=boats).select_related("boat", "charter")
    context = {
        "desk": desk,
        "here": "returns",
        "waiting": _awaited(boats, desk.today),
        "filed": filed.order_by("-day", "-pk")[:30],
        "may_file": desk.may("record a return"),
    }
    return render(request, "maintenance/returns.html", context)


def _awaited(boats: QuerySet, on: date) -> list[Charter]:
    """Each boat's last charter that went out before a day, where it has no return yet."""
    out = Charter.objects.booked().filter(boat__in=boats, starts_on__lt=on)
    last: dict[int, Charter] = {}
    for charter in out.filter(ends_on__gte=on - timedelta(days=LATELY)).select_related("boat"):
        last[charter.boat_id] = charter
    seen = returned_charters(boats)
    waiting = [charter for charter in last.values() if charter.pk not in seen]
    return sorted(waiting, key=lambda c: (c.ends_on, c.boat.name))


@at_base("record a return")
def take_back_boat(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """The return's form for one boat; dials that cannot be right are asked about before saving."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    charter = _charter(ship, desk, request.GET.get("charter"))
    sent = answered(request.POST) if request.method == "POST" else None
    back_on = min(charter.ends_on, desk.today) if charter else desk.today
    initial = {"filed_by": "base", "day": back_on, "reporter": desk.person.name}
    form = ReturnForm(ship, list(ship.meters.all()), desk, initial, sent)
    asks = None
    if sent is not None and form.is_valid():
        day, given = form.cleaned_data["day"], dials(form, form.meters)
        asks = asking(sent).doubts(ship, day, given, form.is_new(), noted=False)
        if not asks and (filed := _file(form, ship, charter, desk, client_id(sent))):
            return redirect("filed", base=desk.base.code, filed=filed.pk)
    context = {
        "desk": desk,
        "here": "returns",
        "boat": ship,
        "charter": charter,
        "form": form,
        "asks": asks,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/return.html", context, status=422 if sent is not None else 200)


def _charter(boat: Boat, desk: Desk, code: str | None) -> Charter | None:
    """The charter named, or else the last that went out before today, or today."""
    had = CharterBoat.objects.standing().filter(boat=boat, from_on__lte=desk.today).values("charter")
    hers = Charter.objects.booked().filter(Q(boat=boat) | Q(pk__in=had))
    booked = hers.filter(starts_on__lte=desk.today).order_by("-starts_on")
    if code:
        return get_object_or_404(booked, code=code)
    return booked.filter(starts_on__lt=desk.today).first() or booked.first()


def _file(
    form: ReturnForm, boat: Boat, charter: Charter | None, desk: Desk, client_id: str | None
) -> Return | None:
    inspected_by = desk.person if form.cleaned_data["filed_by"] == "base" else None
    try:
        return file_return(
            boat,
            charter,
            form.report(),
            at=desk.now,
            by=desk.person,
            client_id=client_id,
            inspected_by=inspected_by,
        )
    except ReturnRefused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, str(refused))
        return None


@at_base("see", post="record a return")
def filed(request: HttpRequest, desk: Desk, filed: int) -> HttpResponse:
    """What followed from a return; each thing has its way back, today."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(
        Return.objects.select_related("boat", "charter", "recorded_by"), pk=filed, boat__in=boats
    )
    if request.method == "POST":
        try:
            _take_back(row, request.POST.get("what", ""), desk)
        except TooLateToTakeBack as late:
            return wrong_day(request, desk, str(late))
        except ReturnRefused as not_of_it:
            raise Http404 from not_of_it
        return redirect("filed", base=desk.base.code, filed=row.pk)
    return render(request, "maintenance/answer.html", _answer(row, desk))


def _take_back(row: Return, what: str, desk: Desk) -> None:
    if what == "all":
        take_back_return(row, at=desk.now, by=desk.person)
        return
    sort, _, number = what.partition(":")
    if sort not in PARTS or not number.isdecimal():
        raise Http404
    part = get_object_or_404(PARTS[sort], pk=int(number))
    take_back_part(row, part, at=desk.now, by=desk.person)


def _answer(row: Return, desk: Desk) -> dict[str, Any]:
    address = reverse("filed", args=[desk.base.code, row.pk])
    undone = latest(row).void
    may_undo = not undone and desk.may("record a return") and desk.is_today(row.recorded_at)
    groups = _kept(row, address if may_undo else None, desk)
    if not undone:
        groups += moved_group(row.followed, desk.today) + stock_groups(row.followed) + _unanswered(row)
    cautions = [BY_CODE[code].caution for code, said in row.answers.items() if said and code in BY_CODE]
    return {
        "desk": desk,
        "here": "returns",
        "heading": f"Return of {row.boat.name} undone" if undone else f"{row.boat.name} is back",
        "lede": ("Nothing of this counts any more. " if undone else "") + _by_whom(row, desk),
        "cautions": [] if undone else cautions,
        "groups": groups,
        "undo": address if may_undo else None,
        "undo_text": "Undo the whole return",
    }


def _by_whom(row: Return, desk: Desk) -> str:
    text = f"Filed by {row.get_filed_by_display()}" + (f", {row.reporter}" if row.reporter else "")
    text += f"; recorded {wording.moment(row.recorded_at, desk.base.timezone)}"
    return text + (f" by {row.recorded_by.name}." if row.recorded_by else ".")


def _unanswered(row: Return) -> list[dict[str, Any]]:
    items = [{"text": BY_CODE[c].asks} for c, said in row.answers.items() if said is None and c in BY_CODE]
    return [{"title": "Not answered", "items": items}] if items else []


def _kept(row: Return, address: str | None, desk: Desk) -> list[dict[str, Any]]:
    """The readings, defects and spares of a return as they stand now."""
    readings = [
        _reading(link.reading, address, desk) for link in row.readings.select_related("reading__meter")
    ]
    defects = [
        _part(link.defect, "defect", _told(link.defect), address)
        for link in row.defects.select_related("defect")
    ]
    moves = [
        _part(
            link.move,
            "move",
            f"{wording.quantity(link.move.quantity)} {link.move.spare}, {link.move.from_place}",
            address,
        )
        for link in row.moves.select_related("move__spare", "move__from_place__parent")
    ]
    titled = (("Readings", readings), ("Defects opened", defects), ("Spares used", moves))
    return [{"title": title, "items": items} for title, items in titled if items]


def _told(defect: Defect) -> str:
    lost = defect.asked == Defect.Asked.LOST
    return f"Lost or broken: {defect.words}" if lost else defect.words


def _reading(reading: Reading, address: str | None, desk: Desk) -> dict[str, Any]:
    last = latest(reading)
    item = _part(reading, "reading", f"{reading.meter.name}: {wording.hours(last.dial)} h", address)
    if last.standing == Reading.Standing.DOUBTFUL and not last.void:
        week = reverse("week", args=[desk.base.code])
        item |= {
            "why": "in doubt: moves no due day until settled",
            "link": f"{week}#reading-{last.pk}",
            "link_text": "Settle it",
        }
    elif last.standing == Reading.Standing.SET_ASIDE:
        item["why"] = "set aside"
    elif last.dial != reading.dial:
        item["why"] = f"first read as {wording.hours(reading.dial)} h, settled since"
    return item


def _part(row: Any, sort: str, text: str, address: str | None) -> dict[str, Any]:
    if latest(row).void:
        return {"text": text, "why": "undone"}
    return {"text": text} if address is None else {"text": text, "back": address, "what": f"{sort}:{row.pk}"}
