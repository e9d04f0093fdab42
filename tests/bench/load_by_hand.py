"""The floor under `load`: csv.reader, executemany and hand-written SQL of the same rows, none checked.

What it leaves out: spares and stock (5 rows a boat of 440), the checks, and the due lines.
"""

import csv
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from tests.bench.big_base import NOW

BASE = "(SELECT id FROM fleet_base WHERE code = :base)"
BOAT = "(SELECT id FROM fleet_boat WHERE code = :boat)"
KIND = "(SELECT id FROM fleet_kind WHERE code = :kind)"
PART = "(SELECT id FROM fleet_component WHERE code = :component)"
INTERVAL = "(SELECT id FROM maintenance_serviceinterval WHERE code = :interval)"
METER = f"(SELECT id FROM fleet_meter WHERE name = :meter AND boat_id = {BOAT})"
FITTED = f"(SELECT meter_id FROM fleet_fitting WHERE component_id = {PART})"
NOTED = "1000000000 + :row"  # the key of a service's own reading, clear of those of readings.csv

AT = f"'{NOW:%Y-%m-%d %H:%M:%S}'"
LEDGER = {"recorded_at": AT, "void": "0"}
READING = LEDGER | {"new_meter": "0", "how_known": "'seen'", "standing": "'used'"}


def _insert(table: str, where: str = "true", **columns: str) -> str:
    """A row of SQL expressions by column; a text column without one is blank, as Django keeps it."""
    return f"INSERT INTO {table} ({', '.join(columns)}) SELECT {', '.join(columns.values())} WHERE {where}"


def _blank(*columns: str) -> dict[str, str]:
    return dict.fromkeys(columns, "''")


# Each file's tables, in an order in which what a row names is there before it.
STATEMENTS: dict[str, list[str]] = {
    "bases.csv": [
        _insert(
            "fleet_base",
            code=":base",
            name=":name",
            timezone=":timezone",
            workday_minutes="480",
            boat_minutes="75",
            deferred_at_once="5",
            **_blank("phone"),
        )
    ],
    "boats.csv": [
        _insert("fleet_boat", code=":boat", name=":name", **_blank("design", "hull_no")),
        _insert(
            "fleet_boatterms",
            from_on="'1900-01-01'",
            state="'in use'",
            base_id=BASE,
            boat_id=BOAT,
            **_blank("flag", "area"),
            **LEDGER,
        ),
    ],
    "meters.csv": [_insert("fleet_meter", name=":meter", counts="'unknown'", boat_id=BOAT)],
    "kinds.csv": [
        _insert(
            "fleet_kind",
            code=":kind",
            name=":name",
            system=":system",
            date_required="0",
            **_blank("function"),
        )
    ],
    "components.csv": [
        _insert(
            "fleet_component",
            code=":component",
            quantity="1",
            kind_id=KIND,
            **_blank("maker", "model", "serial", "date_code", "unit"),
        ),
        _insert(
            "fleet_fitting",
            fitted_on=":fitted_on",
            boat_id=BOAT,
            component_id=PART,
            meter_id=METER,
            **_blank("position", "why"),
            **LEDGER,
        ),
        _insert(
            "fleet_printeddate",
            ":expires_on IS NOT NULL",
            what="'expiry'",
            state="'read'",
            as_written=":expires_on",
            good_through=":expires_on",
            component_id=PART,
            **LEDGER,
        ),
    ],
    "readings.csv": [
        _insert("fleet_reading", day=":taken_on", dial=":hours", noted="0", meter_id=METER, **READING)
    ],
    "charters.csv": [
        _insert(
            "fleet_charter",
            code=":charter",
            sort="'hire'",
            starts_on=":starts_on",
            leaves_at=":leaves_at",
            ends_on=":ends_on",
            back_at=":back_at",
            skipper=":skipper",
            cancelled_at=f"iif(:cancelled IS NULL, NULL, {AT})",
            boat_id=BOAT,
            **_blank("berth"),
        )
    ],
    "intervals.csv": [
        _insert(
            "maintenance_serviceinterval",
            code=":interval",
            task=":task",
            every_hours=":every_hours",
            every_months=":every_months",
            every_charters=":every_charters",
            season_opens="coalesce(:season_opens, '')",
            season_closes="coalesce(:season_closes, '')",
            on_expiry=":on_expiry IS NOT NULL",
            late_hours=":late_hours",
            late_days=":late_days",
            counts_from="'done'",
            critical="0",
            in_lay_up="0",
            minutes=":minutes",
            kind_id=KIND,
            **_blank("source"),
        ),
        _insert(
            "maintenance_serviceinterval_settles",
            ":settles IS NOT NULL",
            from_serviceinterval_id=INTERVAL,
            to_serviceinterval_id=INTERVAL.replace(":interval", ":settles"),
        ),
    ],
    "services.csv": [
        _insert(
            "fleet_reading",
            ":hours IS NOT NULL",
            id=NOTED,
            day=":done_on",
            dial=":hours",
            noted="1",
            meter_id=FITTED,
            **READING,
        ),
        _insert(
            "maintenance_service",
            done_on=":done_on",
            counting="0",
            component_id=PART,
            interval_id=INTERVAL,
            reading_id=f"iif(:hours IS NULL, NULL, {NOTED})",
            **LEDGER,
        ),
    ],
}
TABLES = sorted({statement.split()[2] for of in STATEMENTS.values() for statement in of})


def load_by_hand(connection: sqlite3.Connection, folder: Path) -> None:
    """Takes a folder of the big fleet into tables that are there and empty, in one transaction."""
    with closing(connection.cursor()) as cursor:
        cursor.execute("BEGIN IMMEDIATE")
        for file, statements in STATEMENTS.items():
            rows = list(_rows(folder / file))
            for statement in statements:
                cursor.executemany(statement, rows)
        cursor.execute("COMMIT")


def _rows(path: Path) -> Iterator[dict[str, str | int | None]]:
    with path.open(encoding="utf-8", newline="") as lines:
        sheet = csv.reader(lines)
        header = next(sheet)
        for number, cells in enumerate(sheet):
            yield {name: cell or None for name, cell in zip(header, cells, strict=True)} | {"row": number}


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows each of the tables has."""
    return {table: connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in TABLES}
