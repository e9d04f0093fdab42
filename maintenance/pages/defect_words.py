"""How a defect's grade, its waiting and its coming up again are said. Pure."""

from collections.abc import Sequence
from datetime import date, timedelta

from maintenance.defects.rules import AGAIN_CHARTERS, AGAIN_DAYS, GRADES, Came, Waits
from maintenance.pages import wording

MEANS = {
    "unsafe": "she does not leave with it",
    "limits use": "she may go, something on her may not be used as usual",
    "cosmetic": "looks, nothing else",
    "watch": "works; look again at every turnaround",
}
LOOKED_AT_AGAIN = "settle or extend before handover"
NOT_GRADED = "not graded yet"


def rank(grade: str) -> int:
    """Worst first; what nobody graded may be anything, and stands behind the unsafe."""
    order = (GRADES[0], "", *GRADES[1:])
    return order.index(grade)


def until(waits: Waits, on: date) -> str:
    """Until when it waits: deferred until Sat 30 May, or for one charter more."""
    parts = [_charters(waits.charters_left)] if waits.charters_left is not None else []
    parts += [f"until {wording.day(waits.until_on, on)}"] if waits.until_on is not None else []
    parts += ["until lay-up"] if waits.at_layup else []
    first = ", whichever comes first" if len(parts) > 1 else ""
    return "deferred " + " or ".join(parts) + first


def _charters(left: int) -> str:
    if left == 0:
        return "until she is to go out again"
    return f"for {wording.many(left, 'charter')} more"


def comes_again(earlier: Sequence[Came], day: date) -> str:
    """Comes up again: 2nd time in 30 days; blank where it came up once."""
    if not earlier:
        return ""
    number = wording.ordinal(len(earlier) + 1)
    near = all(day - came.day <= timedelta(days=AGAIN_DAYS) for came in earlier)
    span = f"{AGAIN_DAYS} days" if near else wording.many(AGAIN_CHARTERS, "charter")
    return f"comes up again: {number} time in {span}"
