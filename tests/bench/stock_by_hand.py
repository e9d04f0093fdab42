"""The floor under the list of spares: hand-written SQL of what lies where and of what falls short.

The plain rule in one statement: a spare's lead time (its last three deliveries, else what is typed, else
the supplier's last three, else the usual fortnight) and the week until the next look; what the due list
takes by then; the most used in any so many days; what kits lack, is on its way, has run out. It knows
what this base has: corrections one deep, no job, more than a season looked for, one price for each.
"""

import sqlite3

from tests.bench.big_base import TODAY

USUAL, REVIEW, SEASON = 14, 7, 182
OURS = """
    SELECT id FROM fleet_place WHERE base_id = 1
    OR boat_id IN (SELECT boat_id FROM fleet_boatterms WHERE base_id = 1)
"""
STANDS = """
    NOT m.void AND m.day <= :on
    AND m.id NOT IN (SELECT replaces_id FROM maintenance_stockmove WHERE replaces_id IS NOT NULL)
"""
LIES = f"""
    SELECT spare, place, round(sum(quantity), 3) AS held FROM (
        SELECT m.spare_id AS spare, m.to_place_id AS place, m.quantity
        FROM maintenance_stockmove m WHERE m.to_place_id IN ({OURS}) AND {STANDS}
        UNION ALL
        SELECT m.spare_id, m.from_place_id, -m.quantity
        FROM maintenance_stockmove m WHERE m.from_place_id IN ({OURS}) AND {STANDS}
    ) GROUP BY spare, place
"""
LOTS = f"""
    SELECT lot, spare, place, round(sum(quantity), 3) AS held, l.expires_on FROM (
        SELECT m.lot_id AS lot, m.spare_id AS spare, m.to_place_id AS place, m.quantity
        FROM maintenance_stockmove m WHERE m.lot_id IS NOT NULL AND m.to_place_id IN ({OURS}) AND {STANDS}
        UNION ALL
        SELECT m.lot_id, m.spare_id, m.from_place_id, -m.quantity
        FROM maintenance_stockmove m WHERE m.lot_id IS NOT NULL AND m.from_place_id IN ({OURS}) AND {STANDS}
    ) JOIN maintenance_lot l ON l.id = lot GROUP BY lot, spare, place HAVING held <> 0
"""
PRICES = """
    SELECT spare_id, least, each, currency, max(from_on) FROM maintenance_price WHERE from_on <= :on
    GROUP BY spare_id, supplier, least
"""
SHORT = f"""
    WITH ashore(id) AS MATERIALIZED (SELECT id FROM fleet_place WHERE base_id = 1 AND sort <> 'astray'),
    should AS MATERIALIZED (
        SELECT spare_id AS spare, place_id AS place, quantity, max(from_on)
        FROM maintenance_allowance WHERE from_on <= :on AND place_id IN ({OURS}) GROUP BY spare_id, place_id
    ),
    lines AS MATERIALIZED (
        SELECT l.spare_id AS spare, o.id AS bill, o.supplier, o.sent_on, o.closed_on, l.quantity,
            total(coalesce(c.quantity, m.quantity) * (coalesce(c.void, 0) = 0)) AS came,
            max(0, julianday(min(iif(coalesce(c.void, 0), NULL, m.day))) - julianday(o.sent_on)) AS took
        FROM maintenance_orderline l JOIN maintenance_order o ON o.id = l.order_id AND o.base_id = 1
        LEFT JOIN maintenance_ordermove x ON x.line_id = l.id
        LEFT JOIN maintenance_stockmove m ON m.id = x.move_id
        LEFT JOIN maintenance_stockmove c ON c.replaces_id = m.id
        WHERE o.sent_on IS NOT NULL GROUP BY l.id
    ),
    took(spare, days) AS MATERIALIZED (
        SELECT spare, max(took) FROM (
            SELECT spare, took, row_number() OVER (PARTITION BY spare ORDER BY sent_on DESC, bill DESC) AS n
            FROM lines WHERE took IS NOT NULL
        ) WHERE n <= 3 GROUP BY spare
    ),
    took_from(supplier, days) AS MATERIALIZED (
        SELECT supplier, max(took) FROM (
            SELECT supplier, max(took) AS took,
                row_number() OVER (PARTITION BY supplier ORDER BY sent_on DESC, bill DESC) AS n
            FROM lines WHERE took IS NOT NULL GROUP BY bill
        ) WHERE n <= 3 GROUP BY supplier
    ),
    part AS MATERIALIZED (
        SELECT s.id, s.name, s.code, s.pack_of,
            {REVIEW} + CAST(coalesce(t.days, s.lead_days, f.days, {USUAL}) AS INTEGER) AS days
        FROM maintenance_spare s LEFT JOIN took t ON t.spare = s.id
        LEFT JOIN took_from f ON f.supplier = s.supplier
    ),
    planned(spare, quantity) AS MATERIALIZED (
        SELECT p.id, sum(i.quantity) FROM maintenance_due d
        JOIN maintenance_intervalspare i ON i.interval_id = d.interval_id JOIN part p ON p.id = i.spare_id
        WHERE d.recorded AND d.due_on <= date(:on, '+' || p.days || ' days')
        AND d.boat_id IN (SELECT boat_id FROM fleet_boatterms WHERE base_id = 1) GROUP BY p.id
    ),
    used AS MATERIALIZED (
        SELECT m.id, m.spare_id AS spare, julianday(m.day) AS day, m.quantity FROM maintenance_stockmove m
        WHERE m.why = 'used' AND m.from_place_id IN ({OURS}) AND {STANDS}
        AND m.id NOT IN (SELECT move_id FROM maintenance_jobmove)
    ),
    beyond(spare, quantity) AS MATERIALIZED (
        SELECT spare, max(quantity) FROM (
            SELECT u.spare, sum(v.quantity) AS quantity FROM used u JOIN part p ON p.id = u.spare
            JOIN used v ON v.spare = u.spare AND v.day <= u.day AND v.day > u.day - p.days GROUP BY u.id
        ) GROUP BY spare
    ),
    typed(spare, quantity) AS MATERIALIZED (
        SELECT spare, sum(quantity) FROM should WHERE place IN ashore GROUP BY spare
    ),
    first(days) AS MATERIALIZED (
        SELECT julianday(:on) - julianday(min(day)) FROM (
            SELECT min(m.day) AS day FROM maintenance_stockmove m WHERE m.to_place_id IN ({OURS}) AND {STANDS}
            UNION ALL
            SELECT min(m.day) FROM maintenance_stockmove m WHERE m.from_place_id IN ({OURS}) AND {STANDS}
        )
    ),
    lack(spare, quantity) AS MATERIALIZED (
        SELECT s.spare, sum(max(s.quantity - coalesce(l.held, 0), 0)) FROM should s
        LEFT JOIN lies l ON l.spare = s.spare AND l.place = s.place
        WHERE s.place NOT IN ashore GROUP BY s.spare
    ),
    there(spare, quantity) AS MATERIALIZED (
        SELECT spare, sum(held) FROM lies WHERE place IN ashore GROUP BY spare
    ),
    over(spare, quantity) AS MATERIALIZED (
        SELECT spare, sum(held) FROM lots WHERE expires_on < :on AND place IN ashore GROUP BY spare
    ),
    way(spare, quantity) AS MATERIALIZED (
        SELECT spare, sum(max(quantity - came, 0)) FROM lines WHERE closed_on IS NULL GROUP BY spare
    ),
    held AS MATERIALIZED (
        SELECT p.*, coalesce(w.quantity, 0) AS plan, coalesce(b.quantity, 0) AS beyond,
            coalesce(w.quantity, 0) + coalesce(b.quantity, 0) AS needed, t.quantity AS typed
        FROM part p LEFT JOIN planned w ON w.spare = p.id LEFT JOIN beyond b ON b.spare = p.id
        LEFT JOIN typed t ON t.spare = p.id
    ),
    hold AS MATERIALIZED (
        SELECT h.*, h.pack_of * ceil(round(1.0 * iif(
            (SELECT days FROM first) < {SEASON} AND h.typed >= h.needed, h.typed, h.needed) / h.pack_of, 6)
        ) AS hold FROM held h
    )
    SELECT h.id, h.days, h.hold, coalesce(t.quantity, 0), coalesce(k.quantity, 0), coalesce(o.quantity, 0),
        coalesce(w.quantity, 0), round(max(h.hold + coalesce(k.quantity, 0) - coalesce(t.quantity, 0)
        + coalesce(o.quantity, 0), 0) - coalesce(w.quantity, 0), 3) AS short,
        printf('the due list takes %g in the next %d days; ', h.plan, h.days)
        || iif(h.beyond, printf('%g more went in so many days, at most', h.beyond), 'nothing else went yet')
        || iif(h.needed = h.hold, '', printf(', in packs of %g', h.pack_of)) AS why
    FROM hold h LEFT JOIN lack k ON k.spare = h.id LEFT JOIN there t ON t.spare = h.id
    LEFT JOIN over o ON o.spare = h.id LEFT JOIN way w ON w.spare = h.id
    ORDER BY short <= 0, h.name, h.code
"""


def on_hand_by_hand(connection: sqlite3.Connection) -> list[tuple]:
    """What lies of each spare at each place."""
    return connection.execute(LIES, {"on": TODAY.isoformat()}).fetchall()


def shelves_by_hand(connection: sqlite3.Connection) -> list[list[tuple]]:
    """What falls short, the first first; with what the list shows of each: where it lies, lots, prices.
    What lies where is added up once."""
    day = {"on": TODAY.isoformat()}
    for name, sql in (("lies", LIES), ("lots", LOTS)):
        connection.execute(f"DROP TABLE IF EXISTS temp.{name}")
        connection.execute(f"CREATE TEMP TABLE {name} AS {sql}", day)
    return [
        connection.execute(sql, day).fetchall()
        for sql in (SHORT, "SELECT * FROM lies", "SELECT * FROM lots", PRICES)
    ]
