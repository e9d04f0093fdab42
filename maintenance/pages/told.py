"""What a skipper was told, as a page says it: days in words, and NOT RECORDED for every blank."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext, gettext_lazy

from maintenance.pages.phone import known, local
from maintenance.turnaround.usual_round import FAILS, SEALS

NOT_RECORDED = gettext_lazy("NOT RECORDED")
NOT_GRADED = gettext_lazy("not graded yet")


def told_said(told: Mapping[str, Any], timezone: str) -> dict[str, Any]:
    """A handover's frozen `told`, for a page or for paper."""
    walked = told.get("round") or {}
    return {
        "boat": told.get("boat", ""),
        "limits": told.get("limits", []),
        "damage": [_defect(row) for row in told.get("damage", [])],
        "deferred": [_defect(row) for row in told.get("deferred", [])],
        "open": [_defect(row) for row in told.get("open", [])],
        "phone": told.get("phone") or str(NOT_RECORDED),
        "inspected": _inspected(told.get("inspected")),
        "round": _round(walked),
        "fails": walked.get("fails", []),
        "not_aboard": walked.get("not_aboard", []),
        "seal": _seal(told.get("seal", ""), told.get("seal_number", "")),
        "open_jobs": told.get("open_jobs", []),
        "released": _released(told.get("released"), timezone),
        "by_one_person": bool((told.get("released") or {}).get("by_one_person")),
        "let_be": (told.get("released") or {}).get("let_be", []),
    }


def _seal(state: str, number: str) -> str:
    """How the seal was found, and its number; handovers of before have none."""
    if state == SEALS[FAILS] and number:
        return f"found {state}; sealed again, number {number}"
    said = state or str(NOT_RECORDED)
    return f"{said}, number {number}" if number else said


def _defect(row: Mapping[str, Any]) -> dict[str, Any]:
    grade = known.in_catalog(row.get("grade") or "") or NOT_GRADED
    found = _day(row.get("found_on", ""))
    return {
        **row,
        "graded": gettext("%(grade)s, found %(day)s") % {"grade": grade, "day": found},
        "place_said": known.aboard(row.get("place", "")),
        "until_said": known.until(row.get("until", "")),
        "short": _line(row["words"]),
    }


def _line(words: str) -> str:
    return " ".join(words.split())


def _day(iso: str) -> str:
    return local.plain_day(date.fromisoformat(iso)) if iso else str(NOT_RECORDED)


def _inspected(said: Mapping[str, str] | None) -> str:
    if said is None:
        return str(NOT_RECORDED)
    return f"{said['by'] or NOT_RECORDED}, {_day(said['day'])}, back from {said['charter']}"


def _round(said: Mapping[str, Any]) -> str:
    return f"{said['by']}, {_day(said['day'])}" if said else str(NOT_RECORDED)


def _released(said: Mapping[str, Any] | None, timezone: str) -> str:
    if said is None:
        return str(NOT_RECORDED)
    when = local.moment(datetime.fromisoformat(said["at"]), timezone)
    return f"{said['verdict']}; {_names(said['by'])}; {when}"


def _names(names: Sequence[Mapping[str, str]]) -> str:
    found = ", ".join(f"{name['name']} ({name['how']})" for name in names)
    return found or str(NOT_RECORDED)
