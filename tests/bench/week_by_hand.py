"""The floor under the week's page: hand-written SQL of the rows it shows."""

import sqlite3
from datetime import timedelta

from tests.bench.big_base import TODAY

BOATS = "(SELECT t.boat_id FROM fleet_boatterms t JOIN fleet_base b ON b.id = t.base_id WHERE b.code = :base)"
DUE = f"""
    SELECT d.*, c.code, k.name, i.task, i.minutes, i.critical, f.position, m.name, s.name, l.quantity,
        (SELECT sum(iif(v.to_place_id = p.id, v.quantity, -v.quantity)) FROM maintenance_stockmove v
         WHERE v.spare_id = l.spare_id AND p.id IN (v.to_place_id, v.from_place_id)) AS on_hand, n.ends_on
    FROM maintenance_due d
    JOIN fleet_component c ON c.id = d.component_id
    JOIN fleet_kind k ON k.id = c.kind_id
    JOIN maintenance_serviceinterval i ON i.id = d.interval_id
    JOIN fleet_fitting f ON f.component_id = c.id
    LEFT JOIN fleet_meter m ON m.id = f.meter_id
    LEFT JOIN maintenance_intervalspare l ON l.interval_id = i.id
    LEFT JOIN maintenance_spare s ON s.id = l.spare_id
    LEFT JOIN fleet_place p ON p.boat_id = d.boat_id
    LEFT JOIN fleet_charter n ON n.id = (
        SELECT x.id FROM fleet_charter x WHERE x.boat_id = d.boat_id AND x.starts_on >= :on
        AND x.cancelled_at IS NULL ORDER BY x.starts_on LIMIT 1)
    WHERE d.boat_id IN {BOATS} AND (
        d.limit_on < :on OR d.hours_now > d.limit_hours OR d.due_on <= :soon OR d.limit_on < n.ends_on)
    ORDER BY d.sort_on, c.code, i.code
"""
TICKS = f"""
    SELECT d.*, k.name FROM maintenance_due d
    JOIN fleet_component c ON c.id = d.component_id JOIN fleet_kind k ON k.id = c.kind_id
    WHERE d.boat_id IN {BOATS} AND d.due_on BETWEEN :on AND :ahead
"""
CHARTERS = f"""
    SELECT * FROM fleet_charter WHERE boat_id IN {BOATS} AND cancelled_at IS NULL
    AND ends_on >= :behind AND starts_on <= :ahead ORDER BY starts_on
"""
DEFECTS = f"SELECT * FROM maintenance_defect WHERE boat_id IN {BOATS} AND NOT void"


def week_by_hand(connection: sqlite3.Connection, base: str) -> list[list[tuple]]:
    """Due lines with what they take, days on the strip, charters, and defects of a base's boats."""
    days = {"on": 0, "soon": 7, "ahead": 56, "behind": -28}
    asked = {name: (TODAY + timedelta(days=n)).isoformat() for name, n in days.items()}
    return [
        connection.execute(sql, asked | {"base": base}).fetchall() for sql in (DUE, TICKS, CHARTERS, DEFECTS)
    ]
