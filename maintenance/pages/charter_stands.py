"""How the boat of a charter stands, in a word, beside the charter: held, fit, handed over."""

from collections.abc import Iterable
from typing import Any

from fleet.charters.models import Charter
from fleet.pages.desk import Desk
from maintenance.pages import may_go
from maintenance.pages.leaving import HANDED, handed
from maintenance.release.facts import Judged, judged_of
from maintenance.release.rule_list import HELD
from maintenance.turnaround.facts import Returned

Brief = dict[str, Any]
GIVEN: Brief = {"word": HANDED, "shape": "is-fit"}
HELD_NOW = "held now"


def with_stands(charters: Iterable[Charter], returned: Returned, desk: Desk) -> list[dict[str, Any]]:
    """Each charter with the word of its boat; a fixed number of queries."""
    rows = list(charters)
    judged = judged_of(desk.base, on=desk.today, now=desk.now, boats={row.boat_id for row in rows})
    return [{"charter": row, "stand": _brief(row, judged.get(row.boat_id), returned, desk)} for row in rows]


def stand_of(row: Charter, returned: Returned, desk: Desk) -> Brief:
    """The same for one charter, judged for that one itself."""
    if row.starts_on < desk.today:
        return _brief(row, None, returned, desk)
    asked = {row.boat_id: row}
    judged = judged_of(desk.base, on=desk.today, now=desk.now, boats=[row.boat_id], charters=asked)
    return _brief(row, judged.get(row.boat_id), returned, desk)


def _brief(row: Charter, judged: Judged | None, returned: Returned, desk: Desk) -> Brief:
    """She is judged for the charter she goes out for next; of a later one it is known only that she is
    held as things stand."""
    if judged is not None and judged.charter == row:
        return _given(row, returned) if _lets_go(row, judged, returned) else may_go.brief(judged)
    if row.starts_on < desk.today or judged is None:
        return _given(row, returned)
    said = may_go.brief(judged)
    return said | {"word": HELD_NOW} if judged.standing.verdict == HELD else {}


def _lets_go(row: Charter, judged: Judged, returned: Returned) -> bool:
    """Handed over, and nothing came up since that holds her."""
    return handed(row, returned) == HANDED and judged.standing.verdict != HELD


def _given(row: Charter, returned: Returned) -> Brief:
    return GIVEN if handed(row, returned) == HANDED else {}
