"""Dates as makers print them: a day, or a month that is good to its last day. Pure."""

import re
import unicodedata
from calendar import monthrange
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.refused import Refused

WANTED = "wanted a day such as 2027-06-15, or a month such as 2027-06 or 06/2027"
AS_PRINTED = "wanted the date as printed, such as 2027-06-15, 15 Jun 2027, 06/2027 or Jun 2027"


class DateNotClear(Refused):
    """A printed date that could mean several days, or none."""


def spoken(day: date) -> str:
    """Sat 5 Dec 2026."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def last_day_of_month(year: int, month: int) -> date:
    """ValueError where there is no such month."""
    if not 1 <= month <= 12:
        raise ValueError("no such month")
    return date(year, month, monthrange(year, month)[1])


def good_through(written: str) -> date:
    """The last day a printed date is good for; a month alone is good to its last day.

    3/4/2026 is the 3rd of April or the 4th of March: it is asked about, never guessed.
    """
    written = written.strip()
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", written):
            return date.fromisoformat(written)
        if match := re.fullmatch(r"(\d{4})-(\d{1,2})", written):
            return last_day_of_month(int(match[1]), int(match[2]))
        if match := re.fullmatch(r"(\d{1,2})[/.](\d{4})", written):
            return last_day_of_month(int(match[2]), int(match[1]))
    except ValueError as error:
        raise DateNotClear(WANTED) from error
    raise DateNotClear(WANTED)


@dataclass(frozen=True, slots=True)
class Meaning:
    """A day that a printed date may mean and how that is put; only a `sure` one needs no asking."""

    day: date
    said: str
    sure: bool = False


# What printed dates are made of: Y a year of four digits, n one or two digits, M a month's name;
# and in which order they may be meant.
ORDERS = {
    "Ynn": ("ymd",),
    "nnY": ("dmy", "mdy"),
    "nnn": ("dmy", "mdy", "ymd"),
    "nMY": ("dmy",),
    "MnY": ("mdy",),
    "YMn": ("ymd",),
    "nMn": ("dmy", "ymd"),
    "Mnn": ("mdy",),
    "nY": ("my",),
    "Yn": ("ym",),
    "nn": ("my", "ym"),
    "MY": ("my",),
    "YM": ("ym",),
    "Mn": ("my",),
}
HOW = {
    "dmy": "day first",
    "mdy": "month first",
    "ymd": "year first",
    "my": "month, then year",
    "ym": "year, then month",
}
RUNS = {8: ((4, 2, 2), (2, 2, 4)), 6: ((2, 4), (4, 2), (2, 2, 2))}  # digits without anything between
# Months as they are printed on gear sold in Europe: from memory, no source.
MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january janv janvier januar gen gennaio ene enero janeiro",
            "feb february febr fev fév février februar febbraio febrero fevereiro",
            "mar march mars mär märz mrz marzo março",
            "apr april avr avril aprile abr abril",
            "may mai mag maggio mayo maio maj",
            "jun june juin juni giu giugno junio junho",
            "jul july juil juillet juli lug luglio julio julho",
            "aug august août aout ago agosto",
            "sep sept september septembre set settembre septiembre setembro",
            "oct october octobre okt oktober ott ottobre octubre out outubro",
            "nov november novembre noviembre novembro",
            "dec december déc décembre dez dezember dic dicembre diciembre dezembro",
        ),
        start=1,
    )
    for name in names.split()
}
# What stands before a date and says that the thing is good until then; a day of making does not.
BEFORE = {
    *("exp", "expiry", "expires", "expire", "expiration", "date", "use", "by", "best", "before"),
    *("valid", "until", "till", "to", "good", "through", "end"),
}
KNOWN_YEARS, ASKED_YEARS = range(2005, 2061), range(1950, 2151)


def meanings(as_written: str) -> tuple[Meaning, ...]:
    """The days a printed date may mean, nothing guessed: none where it can be no date at all.

    One that is sure names its day, its month and all four digits of a year nearby. A month alone is
    good to its last day, and asked about, as are days and months that could change places.
    """
    words = _words(as_written)
    if len(words) == 1 and words[0].isdigit() and len(words[0]) in RUNS:
        found = [m for lengths in RUNS[len(words[0])] for m in _meant(_cut(words[0], lengths))]
        return _told(found, whole=False)
    return _told(
        list(_meant(words)), whole=len(words) == 3 and any(len(w) == 4 for w in words if w.isdigit())
    )


def _words(text: str) -> list[str]:
    """Numbers and words of a date, what leads up to it left out; none where anything else is there."""
    text = unicodedata.normalize("NFKC", text).casefold().replace("’", "'")
    text = re.sub(r"(?<=[0-9])(st|nd|rd|th)\b", "", text)
    if not re.fullmatch(r"(?:[0-9]|[^\W\d_]|[\s./,:'-])*", text):
        return []
    words = re.findall(r"[0-9]+|[^\W\d_]+", text)
    while words and words[0] in BEFORE:
        words = words[1:]
    return words


def _cut(digits: str, lengths: Sequence[int]) -> list[str]:
    starts = [sum(lengths[:n]) for n in range(len(lengths))]
    return [digits[start : start + length] for start, length in zip(starts, lengths, strict=True)]


def _meant(words: Sequence[str]) -> Iterator[tuple[date, str]]:
    """Each day these words may mean, and in which order they are then read."""
    for order in ORDERS.get("".join(map(_shape, words)), ()):
        part = dict(zip(order, words, strict=True))
        year, month = _year(part["y"]), MONTHS.get(part["m"]) or int(part["m"])
        try:
            day = date(year, month, int(part["d"])) if "d" in part else last_day_of_month(year, month)
        except ValueError:
            continue
        if year in ASKED_YEARS:
            yield day, HOW[order]


def _shape(word: str) -> str:
    if word.isdigit():
        return {1: "n", 2: "n", 4: "Y"}.get(len(word), "?")
    return "M" if word in MONTHS else "?"


def _year(text: str) -> int:
    """Two digits are of the century that gear on board can be of; they are asked about anyway."""
    year = int(text)
    if len(text) == 4:
        return year
    return 2000 + year if year < 70 else 1900 + year


def _told(found: Sequence[tuple[date, str]], *, whole: bool) -> tuple[Meaning, ...]:
    days = dict(reversed(found))  # of two ways to one day the first is told
    told = []
    for day in dict.fromkeys(day for day, _ in found):
        said = f"good through {spoken(day)}" + (f", {days[day]}" if len(days) > 1 else "")
        near = day.year in KNOWN_YEARS
        said += "" if near else ", long ago" if day.year < KNOWN_YEARS[0] else ", far off"
        told.append(Meaning(day, said, sure=whole and near and len(days) == 1))
    return tuple(told)
