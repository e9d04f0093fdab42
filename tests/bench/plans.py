"""How SQLite goes about the queries of an act: how many there are, and which read a whole table."""

from collections.abc import Callable
from contextlib import closing
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.test.utils import CaptureQueriesContext

ONE_ROW_A_BASE = {"fleet_userate", "fleet_base"}
READS_AND_WRITES = ("SELECT", "INSERT", "UPDATE", "DELETE")


def queries(connection: BaseDatabaseWrapper, act: Callable[[], Any]) -> list[str]:
    """The SQL an act sends, its values filled in."""
    with CaptureQueriesContext(connection) as captured:
        act()
    return [query["sql"] for query in captured.captured_queries]


def whole_tables(connection: BaseDatabaseWrapper, asked: list[str]) -> list[str]:
    """The steps that read a whole table, but for those with a row a base."""
    steps = [step for sql in asked if sql.startswith(READS_AND_WRITES) for step in _steps(connection, sql)]
    return [step for step in steps if step.startswith("SCAN ") and not _is_small(step)]


def _steps(connection: BaseDatabaseWrapper, sql: str) -> list[str]:
    with closing(connection.connection.cursor()) as cursor:
        return [row[3] for row in cursor.execute(f"EXPLAIN QUERY PLAN {sql}".replace("%", "%%"))]


def _is_small(step: str) -> bool:
    """Rows given with the query itself, what a query within it found, or a table that stays small."""
    return "CONSTANT ROW" in step or step.startswith("SCAN (") or step.split()[1] in ONE_ROW_A_BASE
