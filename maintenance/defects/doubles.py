"""Which other reports of a boat are likely of the same thing, and which of two is to stay. Pure."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from maintenance.defects.rules import GRADES

WITHIN_DAYS = 14  # own choice: a charter each way
SHORTEST = 4  # letters of a word that says something
LEFT_OUT = frozenset(
    {"that", "this", "with", "from", "does", "have", "been", "there"}
    | {"what", "when", "again", "boat", "very", "only", "works", "side"}
)


@dataclass(frozen=True, slots=True)
class Report:
    """One open report as far as being a double goes; `at` is the thing or place it is at."""

    key: int
    words: str
    day: date
    at: str = ""
    alarmed: bool = False
    grade: str = ""
    deferred: bool = False
    joined: bool = False  # whether others are joined to it


def likely(of: Report, others: Iterable[Report]) -> list[tuple[int, str]]:
    """Other reports that may be of the same thing, each with the reason, the likeliest first."""
    found = [(report, _why(of, report)) for report in others if report.key != of.key]
    said = [(report, why) for report, why in found if why]
    said.sort(key=lambda pair: (not pair[1].startswith("same place"), abs((pair[0].day - of.day).days)))
    return [(report.key, why) for report, why in said]


def _why(of: Report, other: Report) -> str:
    if of.at and of.at == other.at:
        return "same place or thing"
    shared = sorted(_words(of.words) & _words(other.words))
    if shared and abs((of.day - other.day).days) <= WITHIN_DAYS:
        return "same words: " + ", ".join(shared[:4])
    return ""


def _words(text: str) -> frozenset[str]:
    found = re.findall(r"[^\W\d_]+", text.casefold())
    return frozenset(w for w in found if len(w) >= SHORTEST or not w.isascii()) - LEFT_OUT


def which_stays(one: Report, other: Report) -> tuple[Report, Report]:
    """The report that stays, then the one joined to it: what is joined is judged no more, so the one
    that others are joined to stays, else the one with an alarm, the worse grade, a deferral, the older."""
    first, second = sorted((one, other), key=_rank)
    return first, second


def _rank(report: Report) -> tuple[bool, bool, int, bool, date, int]:
    grade = GRADES.index(report.grade) if report.grade else len(GRADES)
    return not report.joined, not report.alarmed, grade, not report.deferred, report.day, report.key
