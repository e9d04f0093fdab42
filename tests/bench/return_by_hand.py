"""The floor under a return: its rows by hand-written INSERTs, and that boat's due rows written anew."""

import json
import sqlite3

from tests.bench.big_base import NOW, TODAY
from tests.bench.due_by_hand import rewrite
from tests.bench.returns import Back

LEDGER = {"recorded_at": f"{NOW:%Y-%m-%d %H:%M:%S}", "void": False}
SEEN = {"how_known": "seen", "standing": "used", "new_meter": False, "noted": False}


def _insert(connection: sqlite3.Connection, table: str, **values: object) -> int | None:
    marks = ", ".join("?" * len(values))
    sql = f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})"
    return connection.execute(sql, list(values.values())).lastrowid


def file_by_hand(connection: sqlite3.Connection, back: Back) -> None:
    """What file_return keeps, asking nothing first."""
    report, boat = back.report, back.boat.pk
    connection.execute("BEGIN IMMEDIATE")
    filed = _insert(
        connection,
        "maintenance_return",
        **LEDGER,
        day=TODAY.isoformat(),
        filed_by=report.filed_by,
        reporter=report.reporter,
        answers=json.dumps(dict(report.answers)),
        followed="{}",
        boat_id=boat,
        charter_id=back.charter.pk,
        client_id=back.client_id,
    )
    _dials(connection, filed, back)
    _defects(connection, filed, back)
    _moves(connection, filed, back)
    rewrite(connection, f"boat_id = {boat}")
    connection.execute("UPDATE maintenance_return SET followed = ? WHERE id = ?", ["{}", filed])
    connection.execute("COMMIT")


def _dials(connection: sqlite3.Connection, filed: int | None, back: Back) -> None:
    for read in back.report.dials:
        values = {"day": TODAY.isoformat(), "dial": float(read.dial), "meter_id": read.meter.pk}
        reading = _insert(connection, "fleet_reading", **LEDGER, **SEEN, **values)
        _insert(connection, "maintenance_returnreading", filed_id=filed, reading_id=reading)


def _defects(connection: sqlite3.Connection, filed: int | None, back: Back) -> None:
    for words in [*back.report.defects, *back.report.lost]:
        defect = _insert(
            connection,
            "maintenance_defect",
            **LEDGER,
            words=words,
            language="",
            works="",
            alarm="",
            hull="",
            found_at=LEDGER["recorded_at"],
            reporter=back.report.reporter,
            asked="own words",
            boat_id=back.boat.pk,
            charter_id=back.charter.pk,
        )
        _insert(connection, "maintenance_returndefect", filed_id=filed, defect_id=defect)


def _moves(connection: sqlite3.Connection, filed: int | None, back: Back) -> None:
    for used in back.report.used:
        move = _insert(
            connection,
            "maintenance_stockmove",
            **LEDGER,
            quantity=float(used.quantity),
            why="used",
            day=TODAY.isoformat(),
            from_place_id=used.place.pk,
            spare_id=used.spare.pk,
        )
        _insert(connection, "maintenance_returnmove", filed_id=filed, move_id=move)
