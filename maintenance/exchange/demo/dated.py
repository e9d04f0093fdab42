"""Dates of the demo's safety gear that no file can say: several an item, illegible, none, with a photo."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from io import BytesIO

from PIL import Image, ImageDraw

from fleet.bases.models import Base
from fleet.boats.actions import read_printed_date, set_kind_dates
from fleet.boats.models import Component, Kind, PrintedDate
from fleet.papers.actions import keep_paper
from fleet.papers.models import Paper
from fleet.people.models import Person
from maintenance.exchange.demo.chance import chance
from maintenance.servicing.calendar import add_months

# Which dates a kind carries, and the months one still runs in the demo: common practice, no source.
CARRIES: dict[str, dict[str, tuple[int, int] | None]] = {
    "life-raft": {"expiry": None, "inflation test": (14, 50)},
    "lifejackets": {"firing heads": (4, 30), "gas cylinders": (6, 30)},
    "extinguisher": {"service": (3, 11), "replace by": (20, 140)},
}
READ, ILLEGIBLE, NONE = PrintedDate.State.READ, PrintedDate.State.ILLEGIBLE, PrintedDate.State.NONE
# What stands out: months from the day (below zero: past), or what was seen instead of a date.
STANDS_OUT: dict[tuple[str, str], int | str | None] = {
    ("periwinkle-extinguisher-galley", "service"): ILLEGIBLE,
    ("splice-lifejackets", "firing heads"): ILLEGIBLE,
    ("scallop-life-raft", "inflation test"): NONE,
    ("whelk-extinguisher-engine-space", "service"): -2,
    ("levanter-lifejackets", "firing heads"): -1,
    ("marline-lifejackets", "firing heads"): None,
    ("marline-lifejackets", "gas cylinders"): None,
    ("marline-life-raft", "inflation test"): None,
    ("sheepshank-extinguisher-galley", "replace by"): None,
}
RUNS_OUT_AT_SEA = ("bowline-extinguisher-engine-space", "service")
WITH_PHOTO = ("bowline-extinguisher-galley", "carrick-life-raft", "whelk-extinguisher-engine-space")
SEEN = 20  # days ago, the round of the fleet on which they were read


def date_the_gear(base: Base, day: date, saturday: date, *, at: datetime, by: Person) -> None:
    """Says which dates the kinds carry and reads them, some weeks ago, as somebody on a round would."""
    kinds = {kind.code: kind for kind in Kind.objects.filter(code__in=CARRIES)}
    set_kind_dates({kinds[code]: list(dates) for code, dates in CARRIES.items()})
    then = at - timedelta(days=SEEN)
    for part in Component.objects.filter(kind__in=kinds.values()).select_related("kind").order_by("code"):
        carried = CARRIES[part.kind.code].items()
        until = {what: _until(part, what, m, day, saturday) for what, m in carried if m is not None}
        photo = _photo(part, until, base, then, by) if part.code in WITH_PHOTO else None
        for what, months in carried:
            if months is not None:
                _read(part, what, until[what], photo, then, by)
            elif photo is not None:
                _read_again(part, what, photo, then, by)


def _until(
    part: Component, what: str, months: tuple[int, int], day: date, saturday: date
) -> date | str | None:
    """The day it is good through, or what was seen instead; None where nobody looked."""
    if (part.code, what) == RUNS_OUT_AT_SEA:
        return saturday + timedelta(days=3)
    ahead = STANDS_OUT.get((part.code, what), chance("dated", part.code, what).randint(*months))
    return add_months(day, ahead) if isinstance(ahead, int) else ahead


def _read(
    part: Component, what: str, until: date | str | None, photo: Paper | None, at: datetime, by: Person
) -> None:
    if isinstance(until, str):
        read_printed_date(part, what=what, state=until, paper=photo, at=at, by=by)
    elif until is not None:
        read_printed_date(part, what=what, as_written=_printed(until), good=until, paper=photo, at=at, by=by)


def _printed(day: date) -> str:
    """25 SEP 2026, as a label has it."""
    return f"{day.day} {day:%b %Y}".upper()


def _read_again(part: Component, what: str, photo: Paper, at: datetime, by: Person) -> None:
    """A date of the files, with the certificate it rests on."""
    known = PrintedDate.objects.standing().filter(component=part, what=what).last()
    if known is not None:
        good, written = known.good_through, known.as_written
        read_printed_date(
            part, what=what, as_written=written, good=good, paper=photo, at=known.recorded_at, by=by
        )


def _photo(
    part: Component, until: dict[str, date | str | None], base: Base, at: datetime, by: Person
) -> Paper:
    """A plain picture of a label with its dates: invented, as everything here."""
    dates = [f"{what.capitalize()} {_printed(day)}" for what, day in until.items() if isinstance(day, date)]
    lines = (part.kind.name, f"Serial {part.serial}", *dates, "An invented label")
    return keep_paper(picture_of(lines), base=base, at=at, by=by)


def picture_of(lines: Sequence[str]) -> bytes:
    """A framed card with some lines on it."""
    picture = Image.new("RGB", (900, 600), "#f4efe2")
    draw = ImageDraw.Draw(picture)
    draw.rectangle((30, 30, 870, 570), outline="#16233a", width=6)
    for n, line in enumerate(lines):
        draw.text((80, 80 + 100 * n), line, fill="#16233a", font_size=52)
    out = BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
