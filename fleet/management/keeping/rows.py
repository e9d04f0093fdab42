"""What a table holds, in one number: so that two copies can be proved equal row by row."""

from collections.abc import Iterable
from hashlib import sha256
from typing import Any


def fingerprint(columns: list[str], rows: Iterable[tuple[Any, ...]]) -> dict[str, Any]:
    """How many rows, and the sum of their digests: the order they are read in says nothing, for
    two databases may sort text differently."""
    count, total = 0, 0
    for row in rows:
        count += 1
        total += int.from_bytes(sha256(repr(tuple(row)).encode()).digest())
    return {"columns": columns, "rows": count, "sum": f"{total % 2**256:064x}"}


def differing(told: dict[str, Any], found: dict[str, Any]) -> list[str]:
    """The tables that are not what was told, each with how."""
    said = []
    for name in sorted(told.keys() | found.keys()):
        wanted, got = told.get(name), found.get(name)
        if wanted != got:
            rows = [f"{table['rows']} rows" if table else "no table" for table in (wanted, got)]
            said.append(
                f"{name}: wanted {rows[0]}, found {rows[1]}{' that differ' if rows[0] == rows[1] else ''}"
            )
    return said
