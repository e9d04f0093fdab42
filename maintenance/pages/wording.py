"""How days, hours, minutes and the reasons of a due line are said on a page. Pure."""

from datetime import date, datetime, time
from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol
from zoneinfo import ZoneInfo

HOURS_A_DAY = 24
NARROW = "\u202f"  # a narrow space that does not break: thousands stay together
NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


class DueLine(Protocol):
    """What the wording needs of a due line."""

    due_on: date | None
    governs: str | None
    basis: str | None
    limit_on: date | None
    due_hours: Decimal | None
    hours_now: Decimal | None
    limit_hours: Decimal | None
    hours_a_day: Decimal | None
    counted_from: date
    recorded: bool
    counting: bool
    missing: str


def day(value: date | None, on: date | None = None) -> str:
    """Sat 30 May, with the year where it is not this one."""
    if value is None:
        return "no day"
    text = f"{value:%a} {value.day} {value:%b}"
    return text if on is not None and value.year == on.year else f"{text} {value.year}"


def clock(value: datetime | time) -> str:
    return f"{value:%H:%M}"


def moment(value: datetime, timezone: str) -> str:
    """25 Nov 2026, 09:40, by the base's clock."""
    local = value.astimezone(ZoneInfo(timezone))
    return f"{local.day} {local:%b %Y, %H:%M}"


def hours(value: Decimal | None) -> str:
    """1 212.4, the tenths only where there are any."""
    if value is None:
        return "–"
    tenths = value.quantize(Decimal("0.1"), ROUND_HALF_UP)
    text = f"{tenths:,f}".replace(",", NARROW)
    return text.removesuffix(".0").replace("-", "−")


def minutes(value: int | None) -> str:
    """50 min, 1 h 45, 8 h."""
    if not value:
        return "–" if value is None else "0 min"
    whole, rest = divmod(value, 60)
    if not whole:
        return f"{rest} min"
    return f"{whole} h {rest:02d}" if rest else f"{whole} h"


def many(count: int, one: str, more: str | None = None) -> str:
    """One boat, seven boats, 13 boats."""
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} {one if count == 1 else more or one + 's'}"


def ordinal(number: int) -> str:
    """2nd, 3rd, 11th, 21st."""
    teen = number % 100 in (11, 12, 13)
    return f"{number}{'th' if teen else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


def sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def ended(text: str) -> str:
    """A sentence's end, once: what people wrote may have one already, what was cut short ends in …"""
    text = text.rstrip()
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."


def quantity(value: Decimal) -> str:
    return f"{value.normalize():f}".replace("-", "−")


def why(line: DueLine, on: date, leaves: date | None, ends: date | None) -> str:
    """Why a line is on the list: what governs it, how far it is, what it may run over to."""
    parts = [_GOVERNED.get(line.governs or "", _by_nothing)(line, on)]
    if line.due_on is not None and leaves is not None and ends is not None and leaves < line.due_on < ends:
        parts.append("so at sea" if line.governs == "hours" else "inside the next charter")
    parts += [text for text in (_run_over(line, on),) if text]
    if line.due_on is None and line.missing:
        parts.append(_lacks(line.missing))
    return sentence("; ".join(part for part in parts if part))


def _by_hours(line: DueLine, on: date) -> str:
    text = f"{hours(line.hours_now)} of {hours(line.due_hours)} h"
    if line.due_hours is None or line.hours_now is None:
        return text
    if line.basis == "reached":
        past = line.hours_now - line.due_hours
        return f"{text}, past by {hours(past)} h" if past else f"{text}, reached"
    if line.due_on is not None and line.due_on < on:
        return f"{text} when last read, expected past since {day(line.due_on, on)}: read the meter"
    rate = line.hours_a_day or Decimal(0)
    if rate > HOURS_A_DAY:  # hours of a year over the few charter days in the book
        return f"{text}; too few past charters in the book to say when, so soon"
    return f"{text}, about {hours(rate * 7)} h a week out, so expected on {day(line.due_on, on)}"


def _by_calendar(line: DueLine, on: date) -> str:
    since = "counted from" if line.counting else "last done" if line.recorded else "fitted"
    text = f"{since} {day(line.counted_from, on)}, due {day(line.due_on, on)} by the calendar"
    if line.due_hours is None:
        return text
    return f"{text}, or at {hours(line.due_hours)} h (now {hours(line.hours_now)})"


def _by_season(line: DueLine, on: date) -> str:
    return f"before the season closes on {day(line.due_on, on)}"


def _by_charters(line: DueLine, on: date) -> str:
    return f"for the charter that goes out on {day(line.due_on, on)}"


def _by_expiry(line: DueLine, on: date) -> str:
    ended = line.due_on is not None and line.due_on < on
    return f"the printed date {'ended' if ended else 'ends'} on {day(line.due_on, on)}"


def _by_nothing(line: DueLine, on: date) -> str:
    return ""


_GOVERNED = {
    "hours": _by_hours,
    "calendar": _by_calendar,
    "season": _by_season,
    "charters": _by_charters,
    "expiry": _by_expiry,
}


def _run_over(line: DueLine, on: date) -> str:
    """What it may run over to: hours where they govern, else a day."""
    if line.governs == "hours" and line.due_hours is not None and line.limit_hours is not None:
        if line.limit_hours > line.due_hours:
            return f"may run over to {hours(line.limit_hours)} h"
        return ""
    if line.due_on is not None and line.limit_on is not None and line.limit_on > line.due_on:
        return f"may run over to {day(line.limit_on, on)}"
    return ""


def _lacks(missing: str) -> str:
    said = {
        "charter": "no charter booked that reaches it",
        "expiry": "no date printed",
        "reading": "no hour reading or past charter to judge by",
    }
    return " and ".join(said[word] for word in missing.split())
