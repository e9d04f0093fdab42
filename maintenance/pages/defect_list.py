"""The defects of a base: what is open by boat, worst first; what ended lately, to be found again."""

from collections import defaultdict
from datetime import timedelta
from typing import Any

from django.db.models import OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.defects.facts import open_now, unlooked
from maintenance.defects.models import ENDINGS, Defect, DefectStep, Deferral
from maintenance.pages import wording
from maintenance.pages.defect_words import LOOKED_AT_AGAIN
from maintenance.pages.fields import row_number
from maintenance.pages.reported import told, worst_first
from maintenance.release.facts import Judged, judged_of

SHOWS = ("open", "deferred", "ended")
LATELY = 90  # days after which what ended is found on the defect's own page only


@at_base("see")
def defects(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Open ones by boat, those deferred alone, or those that ended lately; of one boat or of all."""
    boats = list(Boat.objects.of_base(desk.base.pk, desk.today).order_by("name"))
    chosen = row_number(request.GET.get("boat", ""))
    shown = [boat for boat in boats if chosen in (None, boat.pk)]
    show = next((s for s in SHOWS if s == request.GET.get("show")), "open")
    by_boat = _ended(shown, desk) if show == "ended" else _open(shown, desk, deferred=show == "deferred")
    ours = {boat.pk: boat for boat in shown}
    keys = list(by_boat) if show != "ended" else [pk for pk in ours if by_boat[pk]]
    rows = [{"boat": ours[pk], "defects": by_boat[pk]} for pk in keys]
    context = {
        "desk": desk,
        "here": "defects",
        "boats": boats,
        "chosen": chosen,
        "show": show,
        "rows": rows,
        "lede": _lede(rows, show),
        "may_judge": desk.may("grade and defer"),
    }
    return render(request, "maintenance/defects.html", context)


def _open(boats: list[Boat], desk: Desk, *, deferred: bool) -> dict[int, list[dict[str, Any]]]:
    """Open ones, the worst first: the boats too stand in the order of the worst on each."""
    keys = [boat.pk for boat in boats]
    judged = judged_of(desk.base, on=desk.today, now=desk.now, boats=keys)
    rows: list[Any] = worst_first(open_now(desk.base, keys, desk.today))
    rows = [row for row in rows if row.deferral is not None or not deferred]
    now = _happening(rows)
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        more = {"ends": _ends(row, judged.get(row.boat_id), desk), "grade": row.grade}
        more |= {"happening": row.case in now, "waits": _waits(row.deferral, desk)}
        found[row.boat_id].append(told(row, desk.today) | more)
    return found


def _happening(rows: list[Any]) -> set[int]:
    """Of what nobody has looked at yet, what was said to be happening and not to have ended since."""
    said = {row.case: row.happening_step for row in rows if unlooked(row) and row.happening_step}
    stopped = DefectStep.objects.standing().filter(defect__in=said, step=DefectStep.Step.STOPPED)
    over = {step.defect_id for step in stopped if step.pk > said[step.defect_id]}
    return said.keys() - over


def _waits(deferral: Deferral | None, desk: Desk) -> str:
    """The limit a deferral carries, who decided it, and whether it was extended already."""
    if deferral is None:
        return ""
    limit = deferral.limit_text or "no limit for the skipper"
    off = f"; made inoperative: {deferral.made_inoperative}" if deferral.made_inoperative else ""
    once = "extended once" if deferral.extends_id else "not extended"
    day = wording.day(deferral.decided_on, desk.today)
    return f"{wording.sentence(limit)}{off}. Decided {day} by {deferral.by}; {once}."


def _ends(row: Any, judged: Judged | None, desk: Desk) -> str:
    """That a deferral ends inside the next charter, and what to do about it before."""
    if row.waits is None or judged is None or judged.charter is None:
        return ""
    charter = judged.charter
    if row.waits.carries(charter.starts_on, charter.ends_on, judged.ship.layup_on):
        return ""
    return f"Ends before she is back on {wording.day(charter.ends_on, desk.today)}: {LOOKED_AT_AGAIN}"


def _ended(boats: list[Boat], desk: Desk) -> dict[int, list[dict[str, Any]]]:
    case = Coalesce(OuterRef("first"), OuterRef("pk"))
    ends = DefectStep.objects.standing().filter(defect=case, step__in=ENDINGS).order_by("-pk")
    said = {f"end_{name}": Subquery(ends.values(name)[:1]) for name in ("step", "by", "why", "recorded_at")}
    rows = Defect.objects.standing().filter(boat__in=[boat.pk for boat in boats], same_as__isnull=True)
    rows = rows.annotate(**said).filter(end_recorded_at__gte=desk.now - timedelta(days=LATELY))
    found: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in rows.order_by("-end_recorded_at", "-pk"):
        found[row.boat_id].append(_end_told(row, desk))
    return found


def _end_told(row: Any, desk: Desk) -> dict[str, Any]:
    day = wording.day(desk.base.day_of(row.end_recorded_at), desk.today)
    return {
        "pk": row.pk,
        "words": row.words,
        "found_at": row.found_at,
        "stands": wording.sentence(f"{row.end_step} {day}, {row.end_by}"),
        "beside": row.end_why,
    }


def _lede(rows: list[dict[str, Any]], show: str) -> str:
    count = sum(len(row["defects"]) for row in rows)
    if show == "ended":
        return wording.sentence(
            f"{wording.many(count, 'defect')} put right or found to be none in {LATELY} days."
        )
    boats = wording.many(len(rows), "boat")
    settle = sum(bool(d["ends"]) for row in rows for d in row["defects"])
    stand = "deferred" if show == "deferred" else "open"
    text = wording.sentence(f"{wording.many(count, 'defect')} {stand} on {boats}, the worst first.")
    return text + (
        f" {wording.sentence(wording.many(settle, 'deferral'))} to {LOOKED_AT_AGAIN}." if settle else ""
    )
