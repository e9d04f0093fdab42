"""What came from the crews, as the list on top of the week shows each: in its own words, with its photos."""

from collections.abc import Collection, Iterable
from typing import Any

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.defects.facts import open_now, unlooked
from maintenance.defects.models import Defect
from maintenance.pages import wording
from maintenance.pages.defect_story import dated_photo, photos_by_case
from maintenance.pages.how_came import BESIDE, came_of_reports, report_came, return_came
from maintenance.pages.new_doubles import doubles_of
from maintenance.pages.reported import stands, state_now, where
from maintenance.turnaround.models import LinkReturn, Return
from maintenance.turnaround.questions import BY_CODE

Entry = dict[str, Any]


def report_entries(reports: Collection[int], desk: Desk) -> dict[int, Entry]:
    """Reports by their key, each with its likeliest double; a fixed number of queries."""
    if not reports:
        return {}
    first = dict(Defect.objects.filter(pk__in=reports).values_list("pk", "boat_id"))
    boats = Boat.objects.in_bulk(set(first.values()))
    rows: dict[int, Any] = {row.pk: row for row in open_now(desk.base, list(boats), desk.today)}
    came, photos = came_of_reports(reports), photos_by_case(reports, desk)
    doubles = doubles_of([rows[pk] for pk in reports if pk in rows], rows.values(), desk)
    return {
        pk: _report(rows[pk], boats[first[pk]], desk)
        | {"photos": photos[pk], "came": report_came(rows[pk], came.get(pk), desk)}
        | {"charter": came[pk].link.charter if pk in came else None, "double": doubles.get(pk)}
        for pk in reports
        if pk in rows
    }


def _report(row: Any, boat: Boat, desk: Desk) -> Entry:
    alarmed = unlooked(row)
    return {
        "pk": row.pk,
        "boat": boat,
        "words": row.words,
        "language": row.language,
        "reporter": row.reporter,
        "when": wording.moment(row.recorded_at, desk.base.timezone),
        "alarmed": alarmed,
        "stands": stands(row, desk.today).partition(";")[0] if alarmed else "",
        "danger": _danger(row),
        "now": ", ".join(state_now(row)[bool(row.risk_now) :]),
        "where": where(row, row.position or ""),
    }


def _danger(row: Any) -> str:
    """What is said loudest; blank where neither was said."""
    happening = "happening now" if row.happening_step is not None else ""
    return "danger now" if row.risk_now else happening


def return_entries(returns: Collection[int], desk: Desk) -> dict[int, Entry]:
    """Returns by their key; a fixed number of queries."""
    if not returns:
        return {}
    rows = LinkReturn.objects.filter(filed__in=returns).select_related(BESIDE, "filed__boat")
    found = rows.prefetch_related(
        "photos__paper",
        "filed__readings__reading__meter",
        "filed__defects__defect",
        "filed__moves__move__spare",
    )
    return {came.filed_id: _return(came, desk) for came in found}


def _return(came: LinkReturn, desk: Desk) -> Entry:
    filed = came.filed
    told = [link.defect for link in filed.defects.all()]
    return {
        "pk": filed.pk,
        "is_return": True,
        "boat": filed.boat,
        "charter": came.link.charter,
        "reporter": filed.reporter,
        "when": wording.moment(filed.recorded_at, desk.base.timezone),
        "alarmed": any(row.alarm or row.risk_now for row in told),
        "danger": "danger now" if any(row.risk_now for row in told) else "",
        "facts": facts_of(filed),
        "told": [row for row in told if row.asked != Defect.Asked.QUESTION],
        "cautions": [f"{q.asks} Yes. {q.caution}" for q in _yes(filed)],
        "photos": photos_of_return(came, desk),
        "came": return_came(came),
    }


def facts_of(filed: Return) -> list[str]:
    """The dials, and what was used."""
    dials = [f"{r.reading.meter.name} {wording.hours(r.reading.dial)} h" for r in filed.readings.all()]
    used = [f"used {wording.quantity(m.move.quantity)} {m.move.spare}" for m in filed.moves.all()]
    return [*dials, *used]


def _yes(filed: Return) -> Iterable[Any]:
    return (BY_CODE[code] for code, said in filed.answers.items() if said and code in BY_CODE)


def photos_of_return(came: LinkReturn, desk: Desk) -> list[Entry]:
    """The photos that came with a return and are here whole."""
    papers = [row.paper for row in came.photos.all() if row.paper is not None]
    return [dated_photo(paper, came.filed.recorded_at, desk) for paper in papers]
