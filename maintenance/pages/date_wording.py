"""How the dates of the safety gear are said: what holds, what does not, and what it rests on. Pure."""

from collections.abc import Callable
from datetime import date, datetime

from fleet.boats.dates import meanings
from maintenance.pages.wording import day, many, sentence
from maintenance.safety.audit import (
    EXPIRED,
    ILLEGIBLE,
    IN_DATE,
    NO_DATE,
    NONE_PRINTED,
    RUNS_OUT,
    Audit,
    Line,
    Through,
)

DISCLAIMS = "Records show dates, not condition; the certificate and the authority decide."


def plain(value: date, on: date | None = None) -> str:
    """14 Mar 2027; without the year where it is that of the day asked about."""
    text = f"{value.day} {value:%b}"
    return text if on is not None and value.year == on.year else f"{text} {value.year}"


def heading(audit: Audit, whose: str, today: date | None) -> str:
    """Safety dates on Thu 28 May: two expired, one without a date; with the year where no day is given."""
    said = f"{whose} on {day(audit.on, today)}"
    if not audit.lines:
        return f"{said}: none is asked for"
    return f"{said}: {sums(audit.counts) or 'all in date'}"


def sums(counts: dict[str, int]) -> str:
    """What is wrong, in numbers, worst first; blank where nothing is."""
    told = {
        EXPIRED: "expired",
        RUNS_OUT: "running out",
        ILLEGIBLE: "that cannot be read",
        NO_DATE: "without a date",
    }
    return ", ".join(many(counts[state], text, text) for state, text in told.items() if counts[state])


def recorded(audit: Audit) -> str:
    """38 of 60 dates are recorded."""
    of = len(audit.lines)
    return f"{audit.recorded} of {of} {'date is' if of == 1 else 'dates are'} recorded."


def until(through: Through, on: date) -> str:
    """Through which day a boat's dates are judged, and why."""
    booking = through.booking
    if booking is None:
        return f"judged for {plain(through.day, on)} alone: no charter is booked"
    which = "charter" if booking.starts_on >= on else "charter that is out,"
    return f"judged through {plain(through.day, on)}, when {which} {booking.code} ends"


def date_said(line: Line, on: date) -> str:
    """The date as it is understood, and what is wrong with it."""
    return _SAID[line.state](line, on)


def _expired(line: Line, on: date) -> str:
    return f"{_good(line)}, expired"


def _runs_out(line: Line, on: date) -> str:
    booking = line.through.booking
    where = f"{'at sea on' if line.at_sea else 'before'} {booking.code}" if booking else ""
    return f"{_good(line, on)}, runs out {where}".rstrip()


def _good(line: Line, on: date | None = None) -> str:
    return "" if line.good_through is None else plain(line.good_through, on)


_SAID: dict[str, Callable[[Line, date], str]] = {
    EXPIRED: _expired,
    RUNS_OUT: _runs_out,
    ILLEGIBLE: lambda line, on: "cannot be read",
    NO_DATE: lambda line, on: "no date",
    IN_DATE: lambda line, on: _good(line),
}


def why(line: Line, today: date, day_of: Callable[[datetime], date]) -> str:
    """What else there is to know of a date: a lent one, why there is none, how it is written."""
    away, printed = line.expected.elsewhere, line.expected.printed
    if away is not None:
        gone = f"its own is away to {away.whom} since {day(away.since, today)}"
        if away.lent is None:
            return sentence(f"{gone}, and nothing is in its place aboard")
        lacks = "" if line.recorded else "no date recorded of it; "
        return f"Lent one, serial {away.serial}: {lacks}{gone}"
    if printed is None:
        first = line.expected.later
        return "Never recorded" if first is None else f"First recorded {plain(day_of(first))}"
    if printed.state == NONE_PRINTED:
        return "None is printed on it"
    return f"As written: “{printed.as_written}”" if _tells_more(line) else ""


def _tells_more(line: Line) -> bool:
    """Whether what is written is more, or less clear, than the day understood."""
    written = line.expected.printed.as_written if line.expected.printed else ""
    meant = meanings(written)
    return bool(written) and not (len(meant) == 1 and meant[0].sure and meant[0].day == line.good_through)


def rests_on(line: Line, day_of: Callable[[datetime], date]) -> str:
    """When and by whom it was recorded; blank where nothing was."""
    printed = line.printed
    if printed is None:
        return ""
    by = f" by {printed.recorded_by}" if printed.recorded_by else ""
    return f"Recorded {plain(day_of(printed.recorded_at))}{by}"


def thing(line: Line, *, with_boat: bool = False) -> str:
    """Fire extinguisher, galley; of a list by kind the boat in its place."""
    of = line.thing
    return ", ".join(part for part in (of.boat_name if with_boat else of.kind_name, of.position) if part)
