"""The engineer's page: what must be done before the boats leave."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from maintenance.ordering.late_parts import Late, late_parts
from maintenance.pages import may_go, wording
from maintenance.pages.dates_apart import Short, apart, short_dates
from maintenance.pages.held import held_of
from maintenance.pages.leaving import leaving
from maintenance.pages.reported import told, worst_first
from maintenance.pages.strip import Strip, draw
from maintenance.pages.to_count import counts_told
from maintenance.pages.week_rows import lent_short, line, row
from maintenance.planning.facts import DayOut, Visit, Week, week_of
from maintenance.planning.planner import total
from maintenance.release.afterwards import to_read
from maintenance.release.facts import judged_of
from maintenance.turnaround.doubts import doubtful, doubts_to_settle
from maintenance.turnaround.facts import Returned, returned_by, waiting_for_an_answer

LateBy = Mapping[int, Sequence[Late]]  # by due line, the parts that come too late
Stands = Mapping[int, dict[str, Any]]  # by boat, how she stands as a card says it
STRIPS = (("eight", 56), ("four", 28))


@at_base("see")
def week(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The week of a base, doubtful readings first."""
    found = week_of(desk.base, desk.today)
    visits = [*(v for d in found.days for v in d.visits), *found.ashore]
    boats = [v.boat.pk for v in visits]
    late = late_parts(visits, base=desk.base, on=desk.today)
    waiting = doubts_to_settle(doubtful(found.boats), on=desk.today)
    returned, short = returned_by(found.boats), short_dates(desk)
    judged = judged_of(desk.base, on=desk.today, now=desk.now)
    stands = may_go.briefs(judged)
    context = {
        "desk": desk,
        "here": "week",
        "lede": _lede(found, len(waiting)),
        "late_says": _late_says(len(late)),
        "late_first": _first_late(visits, late),
        "late": [v.boat for v in visits if any(job.due.pk in late for job in v.jobs)],
        "held": held_of(judged, boats),
        "doubts": waiting,
        "counts": counts_told(desk, found.boats),
        "days": [day_out(day, desk.today, returned, short, stands, late) for day in found.days],
        "ashore": [visit(v, desk.today, returned, short, stands, late=late) for v in found.ashore],
        "written": waiting_for_an_answer(found.boats),
        "printed": wording.moment(desk.now, desk.base.timezone),
        "to_read": _to_read(desk, found.boats),
        "may_work": desk.may("record work"),
        "may_count": desk.may("count stock"),
        "may_settle": desk.may("record a reading"),
        "empty": not boats,
    }
    return render(request, "maintenance/week.html", context)


def _to_read(desk: Desk, boats: Sequence[int]) -> str:
    """How many releases wait for the manager to read them."""
    if not desk.may("change the base's rules") or not (number := len(to_read(boats))):
        return ""
    verb = "waits" if number == 1 else "wait"
    return wording.sentence(f"{wording.many(number, 'release')} {verb} to be read or confirmed.")


def _lede(found: Week, doubts: int) -> str:
    leaving = sum(len(d.visits) for d in found.days)
    text = f"{found.on:%A} {found.on.day} {found.on:%B}. "
    if leaving:
        last = max(d.day for d in found.days)
        verb = "leaves" if leaving == 1 else "leave"
        text += wording.sentence(f"{wording.many(leaving, 'boat')} {verb} by {wording.day(last, found.on)}.")
    else:
        text += "No boat leaves in the coming week."
    if doubts:
        text += " " + wording.sentence(f"{wording.many(doubts, 'reading')} to settle first.")
    return text


def _late_says(late: int) -> str:
    its = "its" if late == 1 else "their"
    said = f"{wording.many(late, 'job')} cannot have {its} parts in time."
    return wording.sentence(said) if late else ""


def _first_late(visits: Sequence[Visit], late: LateBy) -> str:
    """The line of the first job down the page whose parts come too late."""
    rows = (line(job.due) for v in visits for job in v.jobs if job.due.pk in late)
    return next(rows, "")


def day_out(
    day: DayOut, on: date, returned: Returned, short: Short, stands: Stands, late: LateBy
) -> dict[str, Any]:
    load = day.load
    return {
        "day": day.day,
        "number": day.day.day,
        "word": f"{day.day:%a, %b}",
        "short": f"{day.day:%a} {day.day.day}",
        "load": load,
        "says": _load_says(day),
        "visits": [visit(v, on, returned, short, stands, late=late, dated=False) for v in day.visits],
    }


def _load_says(day: DayOut) -> str:
    load = day.load
    work = f"{wording.minutes(load.work)} of work"
    if day.never:
        work += f" ({wording.minutes(day.never)} more of tasks never recorded)"
    if not load.people:
        return f"Nobody is down as engineer that day; {work}."
    text = (
        f"{wording.many(load.people, 'person', 'people')}, {wording.minutes(load.there)}; "
        f"{wording.many(load.boats, 'boat')} in and out {'takes' if load.boats == 1 else 'take'} "
        f"{wording.minutes(load.fixed)}; leaves {wording.minutes(load.left)} for {work}"
    )
    over = f": {wording.minutes(load.lacking)} more than there is" if load.over else ""
    return wording.sentence(f"{text}{over}.")


def visit(
    v: Visit,
    on: date,
    returned: Returned,
    short: Short,
    stands: Stands,
    *,
    late: LateBy = MappingProxyType({}),
    dated: bool = True,
) -> dict[str, Any]:
    jobs = [row(job, v, on, late.get(job.due.pk, ())) for job in v.jobs]
    never = [row(job, v, on) for job in v.never]
    return {
        "boat": v.boat,
        "charter": v.charter,
        "stand": stands.get(v.boat.pk, {}),
        "back": v.gap.back if v.gap else None,
        "leaves": v.gap.leaves if v.gap else None,
        "when": _when(v, on, returned, dated),
        "says": _visit_says(v),
        "fits": v.fits,
        "jobs": jobs,
        "never": never,
        "defects": [told(defect, on) for defect in worst_first(v.defects)],
        "away": _away_apart(v),
        "dates": apart(short.get(v.boat.pk, ()), v),
        "overdue": sum(job.due.overdue for job in (*v.jobs, *v.never)),
        "strips": _strips(v, on),
        "awaited": _awaited(v, returned),
        "leaving": leaving(v, on, returned),
    }


def _awaited(v: Visit, returned: Returned) -> Charter | None:
    """The charter that should be back by now and has no return yet."""
    last = v.last
    return last if last and last.ends_on <= v.on and last.pk not in returned.checked_out else None


def _when(v: Visit, on: date, returned: Returned, dated: bool) -> str:
    """When she is back and leaves; `dated` says the day of leaving where no heading does."""
    if v.gap is None:
        return f"out until {wording.day(v.last.ends_on, on)}" if v.out and v.last else "no charter booked"
    leaves = wording.clock(v.gap.leaves)
    leaves = f"leaves {wording.day(v.gap.leaves.date(), on)} {leaves}" if dated else f"leaves {leaves}"
    berth = f", berth {v.charter.berth}" if v.charter and v.charter.berth else ""
    if v.gap.back is None:
        return f"ashore, {leaves}{berth}"
    if v.out and v.last is not None and v.last.pk in returned.told:
        return f"is back, {leaves}{berth}"
    back = wording.clock(v.gap.back)
    if dated or v.gap.back.date() != v.gap.leaves.date():
        back = f"{wording.day(v.gap.back.date(), on)} {back}"
    return f"back {back}, {leaves}{berth}"


def _visit_says(v: Visit) -> str:
    if not v.jobs:
        return _never_says(v) or ("Nothing due before she leaves." if v.charter else "Nothing due this week.")
    text = f"{wording.many(len(v.jobs), 'job')}, {wording.minutes(v.minutes)}"
    if v.gap is not None:
        there = v.gap.minutes(v.workday)
        fits = "fits her time ashore" if v.fits else f"does not fit her {wording.minutes(there)} ashore"
        text += f"; longest {wording.minutes(v.longest)}, {fits}"
    return " ".join([wording.sentence(f"{text}."), _never_says(v)]).rstrip()


def _never_says(v: Visit) -> str:
    """That tasks fall due of which nobody wrote down when they were last done."""
    if not v.never:
        return ""
    more = total(job.due.interval.minutes for job in v.never)
    number = wording.many(len(v.never), "task") + " never recorded"
    return wording.sentence(f"{number} on top, {wording.minutes(more)}.")


def _away_apart(v: Visit) -> list[dict[str, Any]]:
    """What is away from her though none of its tasks is on the list."""
    listed = {job.due.component_id for job in (*v.jobs, *v.never)}
    ends = v.charter.ends_on if v.charter else None
    apart = [away for away in v.away if away.sent.component_id not in listed]
    return [{"away": away, "lent_short": lent_short(away, ends)} for away in apart]


def _strips(v: Visit, on: date) -> list[tuple[str, Strip]]:
    spans = [(c.starts_on, c.ends_on) for c in v.charters]
    ends = v.charter.ends_on if v.charter else on + timedelta(days=7)
    due = [
        (max(t.due_on, on), t.component.kind.name.lower(), t.limit_on is not None and t.limit_on < ends)
        for t in v.ticks
        if t.due_on is not None
    ]
    return [(size, draw(v.boat.name, on, days, spans, due)) for size, days in STRIPS]
