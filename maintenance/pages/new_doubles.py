"""New reports that likely are of the same thing as another open one: both side by side, with the reason."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any

from fleet.pages.desk import Desk
from maintenance.defects.doubles import Report, likely
from maintenance.defects.facts import open_now
from maintenance.pages import wording
from maintenance.pages.defect_story import photos_by_case
from maintenance.pages.joining import reports_of
from maintenance.pages.reported import stands, where


def doubles_of(new: Collection[Any], rows: Iterable[Any], desk: Desk) -> dict[int, dict[str, Any]]:
    """The likeliest double of each new report among the open ones of its boat, by its key. Two new ones
    that are of the same thing are shown once, beside the one higher up; three queries."""
    by_boat: dict[int, dict[int, Any]] = defaultdict(dict)
    for row in rows:
        by_boat[row.boat_id][row.pk] = row
    reports = reports_of(row for of_boat in by_boat.values() for row in of_boat.values())
    found: dict[int, dict[str, Any]] = {}
    shown: set[frozenset[int]] = set()
    for row in new:
        there = _likeliest(row, by_boat[row.boat_id], reports, shown)
        if there is not None:
            key, why, more = there
            shown.add(frozenset({row.pk, key}))
            found[row.pk] = _told(by_boat[row.boat_id][key], why, more, desk)
    _with_photos(found, desk)
    return found


def double_of(row: Any, desk: Desk) -> dict[str, Any] | None:
    """The likeliest double of one open report; no one that somebody said is of another thing."""
    rows = open_now(desk.base, [row.boat_id], desk.today)
    return doubles_of([each for each in rows if each.pk == row.pk], rows, desk).get(row.pk)


def _likeliest(
    row: Any, others: dict[int, Any], reports: dict[int, Report], shown: set[frozenset[int]]
) -> tuple[int, str, int] | None:
    """The key of the likeliest other one, why it is, and how many more there are."""
    said = likely(reports[row.pk], [reports[pk] for pk in others])
    fresh = [(key, why) for key, why in said if frozenset({row.pk, key}) not in shown]
    return (*fresh[0], len(said) - 1) if fresh else None


def _told(other: Any, why: str, more: int, desk: Desk) -> dict[str, Any]:
    return {
        "pk": other.pk,
        "case": other.case,
        "why": wording.sentence(why),
        "more": more,
        "words": other.words,
        "language": other.language,
        "reporter": other.reporter,
        "when": wording.moment(other.found_at, desk.base.timezone),
        "stands": stands(other, desk.today),
        "where": where(other, other.position or ""),
    }


def _with_photos(found: dict[int, dict[str, Any]], desk: Desk) -> None:
    if not found:
        return
    by_case = photos_by_case({double["case"] for double in found.values()}, desk)
    for double in found.values():
        double["photos"] = by_case[double["case"]]
