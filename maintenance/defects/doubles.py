"""Which other reports of a boat are likely of the same thing, and which of two is to stay. Pure."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from maintenance.defects.rules import GRADES
from maintenance.defects.small_words import SMALL_WORDS

WITHIN_DAYS = 14  # own choice: a charter each way
SHORTEST = 4  # letters of a word that says something
BELOW = re.compile(r"\n\n(?:Where|Used|Boat on the phone|Hour meter)\b[^\n]*:")  # what the program put there


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
    sort: str = ""  # what its alarm tells of, fire or gas; blank without one
    kept_apart: frozenset[int] = frozenset()  # keys of those somebody said are of another thing


def likely(of: Report, others: Iterable[Report]) -> list[tuple[int, str]]:
    """Other reports that may be of the same thing, each with the reason: those at the same place first,
    then those that share the most of the rarer words. Two that tell of different dangers never are."""
    there = [report for report in others if report.key != of.key]
    often = Counter(word for report in (of, *there) for word in _words(report.words))
    found = [(report, *_why(of, report, often)) for report in there if _may_be(of, report)]
    said = [(report, near, why) for report, near, why in found if why]
    said.sort(key=lambda row: (row[0].at != of.at or not of.at, -row[1], abs((row[0].day - of.day).days)))
    return [(report.key, why) for report, _, why in said]


def _may_be(of: Report, other: Report) -> bool:
    """Whether nothing speaks against it: each danger wants a look of its own, and what was said holds."""
    if of.sort and other.sort and of.sort != other.sort:
        return False
    return other.key not in of.kept_apart and of.key not in other.kept_apart


def _why(of: Report, other: Report, often: Mapping[str, int]) -> tuple[Fraction, str]:
    """How near two reports are by their words, and why they may be of one thing; blank where not."""
    shared = sorted(_words(of.words) & _words(other.words), key=lambda word: (often[word], word))
    near = sum((Fraction(1, often[word]) for word in shared), Fraction())
    if of.at and of.at == other.at:
        return near, "same place or thing"
    if shared and abs((of.day - other.day).days) <= WITHIN_DAYS:
        return near, "same words: " + ", ".join(shared[:4])
    return near, ""


def _words(text: str) -> frozenset[str]:
    """The telling words of what the reporter wrote, without what the program put below."""
    found = re.findall(r"[^\W\d_]+", BELOW.split(text, maxsplit=1)[0].casefold())
    return frozenset(w for w in found if len(w) >= SHORTEST or not w.isascii()) - SMALL_WORDS


def which_stays(one: Report, other: Report) -> tuple[Report, Report]:
    """The report that stays, then the one joined to it: what is joined is judged no more, so the one
    that others are joined to stays, else the one with an alarm, one that says of what, the worse grade, a
    deferral, the older."""
    first, second = sorted((one, other), key=_rank)
    return first, second


def _rank(report: Report) -> tuple[bool, bool, bool, int, bool, date, int]:
    grade = GRADES.index(report.grade) if report.grade else len(GRADES)
    alarm = (not report.alarmed, not (report.alarmed and report.sort))
    return not report.joined, *alarm, grade, not report.deferred, report.day, report.key
