"""The demo base as a folder of CSV files: those that stand, and those written around a day."""

import csv
import shutil
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path

from maintenance.exchange.demo.cast import BY_BOAT, CAST
from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.hires import Hire
from maintenance.exchange.demo.log import Log, log_of
from maintenance.exchange.demo.parts import component_rows, fitted_parts, fitting_rows, service_rows
from maintenance.exchange.demo.past import Past, past_of
from maintenance.exchange.demo.plates import plates_of
from maintenance.exchange.demo.prices import price_rows
from maintenance.exchange.demo.stores import stock_rows

STANDING = Path(__file__).resolve().parents[3] / "fixtures" / "demo"
OPENING = ("bases.csv", "boats.csv", "kinds.csv", "spares.csv", "allowances.csv")  # stock.csv rests on them
FIRST_NUMBER = 4101
SKIPPERS = (
    "A. Kestrup",
    "M. Vandevoort",
    "L. Odaire",
    "J. Brankovsky",
    "S. Imhasly",
    "P. Quintrel",
    "R. Ostergren",
    "T. Malabre",
    "C. Fennimore",
    "H. Dobsky",
    "E. Lúcio",
    "N. Żuraw",
    "F. Ährens",
    "D. Tolvanes",
    "B. Ruelle",
    "G. Sandmo",
    "K. Pettigor",
    "I. Calvanho",
    "O. Brightley",
    "U. Maarsk",
    "W. Tremelow",
    "V. Soubrié",
)
Record = Mapping[str, object]


def logs_of(day: date) -> list[Log]:
    """Every boat's record around a day."""
    boats = {row["boat"]: row for row in standing("boats.csv")}
    meters, intervals = standing("meters.csv"), standing("intervals.csv")
    return [
        log_of(role, day, boats[role.boat], [m["meter"] for m in meters if m["boat"] == role.boat], intervals)
        for role in CAST
    ]


def standing(file: str) -> list[dict[str, str]]:
    """The rows of a file that does not hang on the day."""
    with (STANDING / file).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def rows_of(day: date) -> dict[str, list[Record]]:
    """The rows of each file that hangs on the day, but for those of the store when its books were opened."""
    logs = logs_of(day)
    fitted = fitted_parts(logs, standing("intervals.csv"))
    designs = {row["boat"]: row["design"] for row in standing("boats.csv")}
    plates = {(log.boat, m): plate for log in logs for m, plate in plates_of(log, designs[log.boat]).items()}
    return {
        "components.csv": list(component_rows(fitted, plates)),
        "fittings.csv": list(fitting_rows(fitted)),
        "readings.csv": list(_reading_rows(logs)),
        "charters.csv": list(_charter_rows(logs)),
        "services.csv": list(service_rows(fitted)),
        "prices.csv": list(price_rows(standing("spares.csv"), day)),
    }


def past(day: date) -> Past:
    """What went from the store and came to it in the two seasons before a day."""
    return past_of(logs_of(day), standing("spares.csv"))


def write_opening(folder: Path, day: date, gone: Past) -> None:
    """Writes the store, and what it rests on, as it stood when its books were opened."""
    for file in OPENING:
        shutil.copy(STANDING / file, folder)
    _write(folder / "stock.csv", list(stock_rows([role.boat for role in CAST], day, gone.beside)))


def write_folder(folder: Path, day: date) -> None:
    """Writes every other file of the base as it stands on a day into a folder."""
    for path in sorted(STANDING.glob("*.csv")):
        shutil.copy(path, folder)
    for file, rows in rows_of(day).items():
        _write(folder / file, rows)


def _write(path: Path, rows: Sequence[Record]) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def _reading_rows(logs: Iterable[Log]) -> Iterator[Record]:
    """The dial of every return, but for the last where the cast leaves it unread."""
    for log in logs:
        for meter, dials in log.dials.items():
            for shown in reversed(dials[1:] if log.role.unread else dials):
                if shown.old is not None:
                    yield _reading(log.boat, meter, shown.day, shown.old)
                yield _reading(log.boat, meter, shown.day, shown.dial, "yes" if shown.old is not None else "")


def _reading(boat: str, meter: str, day: date, dial: object, new_meter: str = "") -> Record:
    return {"boat": boat, "meter": meter, "taken_on": day, "hours": dial, "new_meter": new_meter}


def _charter_rows(logs: Iterable[Log]) -> Iterator[Record]:
    """Charters in the order the office numbers them."""
    hires = sorted((hire for log in logs for hire in log.hires), key=lambda h: (h.starts_on, h.boat))
    for number, hire in enumerate(hires, start=FIRST_NUMBER):
        yield {"charter": str(number), **_charter(hire)}


def _charter(hire: Hire) -> Record:
    draw = chance("crew", hire.boat, hire.starts_on)
    return {
        "boat": hire.boat,
        "starts_on": hire.starts_on,
        "leaves_at": hire.leaves_at,
        "ends_on": hire.ends_on,
        "back_at": hire.back_at,
        "berth": BY_BOAT[hire.boat].berth,
        "skipper": draw.choice(SKIPPERS),
        "persons": draw.randint(2, 6),
        "cancelled": "yes" if hire.cancelled else "",
    }
