"""The manager's page: which printed dates hold, for any day, by boat or by kind, and as CSV."""

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.pages import date_wording, wording
from maintenance.pages.date_told import anchor, undo_offered
from maintenance.pages.dates_csv import as_csv
from maintenance.pages.fields import day_field, row_number
from maintenance.pages.gear_asked import asked_rows, printed_lines
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import EXPIRED, IN_DATE, RUNS_OUT, Audit, Group, Line

EARLIEST, LATEST = date(2000, 1, 1), date(2099, 12, 31)
PRINTS = ((20, "large"), (45, "small"), (10**6, "tiny"))  # lines that fit on one page in each print
FLARES = (
    "Expired flares are explosives: keep them apart, never fire them, hand them in as the local rules say."
)


class DayForm(forms.Form):
    """The day asked about; today where it stays blank."""

    on = day_field("Day", required=False)

    def clean_on(self) -> date | None:
        on: date | None = self.cleaned_data["on"]
        if on is not None and not EARLIEST <= on <= LATEST:
            raise forms.ValidationError("Day: wanted one from 2000 to 2099")
        return on


@at_base("see")
def safety(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every date that should be recorded, worst first, through each boat's next charter."""
    form, on = _day(request, desk)
    audit = audit_of(desk.base, on=on, now=desk.now)
    if request.GET.get("format") == "csv" and form.is_valid():
        return as_csv(audit, desk)
    by = "kind" if request.GET.get("by") == "kind" else "boat"
    line = row_number(request.GET.get("line", ""))
    groups = audit.by_kind() if by == "kind" else audit.by_boat()
    context = _said(audit, desk) | {
        "heading": date_wording.heading(audit, "Safety dates", desk.today),
        "form": form,
        "by": by,
        "others": {key: _address(desk, on, key) for key in ("boat", "kind")},
        "csv": _address(desk, on, by, format="csv"),
        "groups": [_group(group, audit, by, desk, line) for group in groups],
        "undo": undo_offered(request, desk, {_anchor(line) for line in audit.lines}),
        "may_change": desk.may("change intervals"),
    }
    return render(request, "maintenance/safety.html", context, status=200 if form.is_valid() else 422)


@at_base("see")
def boat_dates(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """The dates of one boat on one sheet of paper, to be signed."""
    form, on = _day(request, desk)
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    audit = audit_of(desk.base, on=on, now=desk.now, boat=ship.pk)
    through, lists = audit.through.get(ship.pk), asked_rows(ship, desk, on)
    context = _said(audit, desk) | {
        "heading": date_wording.heading(audit, f"Dates of {ship.name}", None),
        "form": form,
        "boat": ship,
        "until": date_wording.until(through, on) if through else "not a boat of this base on that day",
        "rows": [_row(line, audit, "boat", desk) for line in audit.lines],
        "lists": lists,
        "size": next(size for most, size in PRINTS if len(audit.lines) + printed_lines(lists) <= most),
        "printed": wording.moment(desk.now, desk.base.timezone),
    }
    return render(request, "maintenance/boat_dates.html", context, status=200 if form.is_valid() else 422)


def _day(request: HttpRequest, desk: Desk) -> tuple[DayForm, date]:
    form = DayForm({"on": request.GET.get("on", "")} if request.GET.get("on") else {"on": desk.today})
    return form, (form.cleaned_data["on"] or desk.today) if form.is_valid() else desk.today


def _said(audit: Audit, desk: Desk) -> dict[str, Any]:
    flares = [x for x in audit.lines if x.state == EXPIRED and "flare" in x.thing.kind_name.casefold()]
    return {
        "desk": desk,
        "here": "safety",
        "on": audit.on,
        "past": audit.on < desk.today,
        "coming": audit.on > desk.today,
        "recorded": date_wording.recorded(audit),
        "disclaims": date_wording.DISCLAIMS,
        "caution": FLARES if flares else "",
        "may_read": desk.may("read a printed date"),
        "may_work": desk.may("record work"),
    }


def _address(desk: Desk, on: date, by: str, **more: str) -> str:
    asked = {"by": by} | ({} if on == desk.today else {"on": on.isoformat()}) | more
    return f"{reverse('safety', args=[desk.base.code])}?{urlencode(asked)}"


def _group(group: Group, audit: Audit, by: str, desk: Desk, line: int | None) -> dict[str, Any]:
    good = [_row(x, audit, by, desk) for x in group.good]
    return {
        "key": group.key,
        "name": group.name,
        "until": date_wording.until(audit.through[group.key], audit.on) if by == "boat" else "",
        "sums": wording.sentence(date_wording.sums(group.counts)),
        "wrong": [_row(x, audit, by, desk) for x in group.wrong],
        "good": good,
        "good_said": f"{len(good)} in date, the first until {good[0]['date']}" if good else "",
        "open": any(x.thing.component == line for x in group.good),
    }


def _row(line: Line, audit: Audit, by: str, desk: Desk) -> dict[str, Any]:
    printed, what = line.printed, line.expected.what
    return {
        "component": line.thing.component,
        "anchor": _anchor(line),
        "thing": date_wording.thing(line, with_boat=by == "kind"),
        "what": what,
        "serial": line.thing.serial,
        "state": line.state,
        "bad": line.state in (EXPIRED, RUNS_OUT),
        "good": line.state == IN_DATE,
        "date": date_wording.date_said(line, audit.on),
        "why": date_wording.why(line, desk.today, desk.base.day_of),
        "rests": date_wording.rests_on(line, desk.base.day_of),
        "paper": printed.paper if printed else "",
        "paper_said": "photo" if printed and printed.mime.startswith("image/") else "certificate",
        "away": line.expected.elsewhere is not None,
        "asks": urlencode({"what": what, "by": by}),
    }


def _anchor(line: Line) -> str:
    return anchor(line.thing.component, line.expected.what)
