"""What rows of several files, and the book, cannot say together: dials of one meter, places of
one component."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from itertools import pairwise
from typing import NamedTuple

from fleet.boats.models import Fitting
from fleet.exchange.book import Book
from fleet.exchange.components import IN_ORDER
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import as_cell
from fleet.meters.facts import dials_by_meter
from fleet.meters.rules import HOURS_A_DAY, Dial, impossible_pairs

METERS_AT_A_TIME = 200
MOST = "no more than 24 h a day, both days counted"
FORWARDS = "a meter does not run backwards"
Given = dict[tuple[int, Dial], tuple[Row, str]]


class Stay(NamedTuple):
    """From when to when a component was at one place."""

    fitted_on: date
    removed_on: date | None


def impossible_dials(book: Book) -> Iterator[Fault]:
    """Dials that one meter cannot have shown one after the other, at the row that gave the later
    one, or else the earlier one."""
    pairs = [(meter, before, after) for meter, before, after in _impossible_pairs(book)]
    given = _given(book, {meter for meter, _, _ in pairs})
    names = book.names("meters.csv") if pairs else {}
    for meter, before, after in pairs:
        of = " ".join(names[meter])
        if (meter, after) in given:
            yield _later_is_wrong(*given[meter, after], before, after, of)
        elif (meter, before) in given:
            yield _earlier_is_wrong(*given[meter, before], before, after, of)


def _impossible_pairs(book: Book) -> Iterator[tuple[int, Dial, Dial]]:
    """Of the meters that the files speak of."""
    meters = sorted({meter for rows in book.rows.values() for row in rows if (meter := row.get("meter_id"))})
    for start in range(0, len(meters), METERS_AT_A_TIME):
        known = dials_by_meter(meters[start : start + METERS_AT_A_TIME], book.today)
        for meter, dials in known.items():
            yield from ((meter, before, after) for before, after in impossible_pairs(dials))


def _given(book: Book, meters: set[int]) -> Given:
    """Which row and column gave each dial of some meters."""
    found: Given = {}
    if not meters:
        return found
    for file, rows in book.rows.items():
        sheet = book.sheet(file)
        for row in rows:
            if row.get("meter_id") in meters:
                found |= {(meter, dial): (row, column) for meter, dial, column in sheet.dials(row)}
    return found


def _later_is_wrong(row: Row, column: str, before: Dial, after: Dial, meter: str) -> Fault:
    if after.hours >= before.hours:
        wanted = f"at most {as_cell(before.hours + _most(before, after))}: {MOST}"
    else:
        new = ", or new_meter yes" if row.file == "readings.csv" else ""
        wanted = f"{as_cell(before.hours)} or more{new}: {FORWARDS}"
    return row.fault(column, wanted, _one_after_other(before, after, meter))


def _earlier_is_wrong(row: Row, column: str, before: Dial, after: Dial, meter: str) -> Fault:
    if after.hours >= before.hours:
        wanted = f"{as_cell(after.hours - _most(before, after))} or more: {MOST}"
    else:
        wanted = f"at most {as_cell(after.hours)}: {FORWARDS}"
    return row.fault(column, wanted, _one_after_other(before, after, meter))


def _most(before: Dial, after: Dial) -> int:
    return ((after.day - before.day).days + 1) * HOURS_A_DAY


def _one_after_other(before: Dial, after: Dial, meter: str) -> str:
    later, earlier = as_cell(after.hours), as_cell(before.hours)
    return f"{later} h on {after.day} after {earlier} h on {before.day} ({meter})"


def two_places(book: Book) -> Iterator[Fault]:
    """A component in two places at once; each fault at the later place, where a row gave it."""
    first = {row["component"]: row for row in book.rows.get("components.csv", ())}
    later = {(row["component"], row["fitted_on"]): row for row in book.rows.get("fittings.csv", ())}
    stays = _stays({*first, *(code for code, _ in later)})
    for code, row in first.items():
        if stays[code][0].fitted_on < row["fitted_on"]:
            yield row.fault(
                "fitted_on", f"a day up to {stays[code][0].fitted_on}, when it was fitted already"
            )
    given = {(code, row["fitted_on"]): row for code, row in first.items()} | later
    for code, places in stays.items():
        for before, after in pairwise(places):
            if before.removed_on is None or after.fitted_on < before.removed_on:
                yield from _at_once(given, code, before, after)


def _stays(components: Collection[str]) -> dict[str, list[Stay]]:
    """Every place of some components, in order."""
    stays: dict[str, list[Stay]] = defaultdict(list)
    rows = Fitting.objects.standing().order_by(*IN_ORDER)
    for code, *stay in rows.values_list("component__code", "fitted_on", "removed_on").iterator():
        if code in components:
            stays[code].append(Stay(*stay))
    return stays


def _at_once(given: Mapping[tuple[str, date], Row], code: str, before: Stay, after: Stay) -> Iterator[Fault]:
    found = f"fitted {after.fitted_on} while still fitted since {before.fitted_on}"
    later, earlier = given.get((code, after.fitted_on)), given.get((code, before.fitted_on))
    if later is not None:
        until = before.removed_on
        wanted = f"a day on or after {until}, when it was removed" if until else "a removal first"
        yield later.fault("fitted_on", wanted, found)
    elif earlier is not None:
        yield earlier.fault("removed_on", f"a day up to {after.fitted_on}", found)
