"""What our words for defects are called in EN 13306 (maintenance terminology). Pure."""

from collections.abc import Mapping

from maintenance.defects.rules import GRADES, UNSAFE

FAULT = "fault"  # a state: the item cannot perform a required function
FAILURE = "failure"  # an event: it loses the ability to
CORRECTIVE_IMMEDIATE = "immediate corrective maintenance"
CORRECTIVE_DEFERRED = "deferred corrective maintenance"
RESTORED = "restoration"  # an event: able again
NO_FAULT = "no fault"

OUR_WORDS: Mapping[str, str] = {
    "defect": FAULT,
    "open": FAULT,
    **dict.fromkeys(GRADES, FAULT),
    "found": FAILURE,
    "happening now": FAILURE,
    "deferred": CORRECTIVE_DEFERRED,
    "put right": RESTORED,
    "no fault found": NO_FAULT,
}


def corrective(grade: str, *, deferred: bool) -> str:
    """Which corrective maintenance an open defect waits for; ValueError for an unsafe one deferred."""
    if grade == UNSAFE and deferred:
        raise ValueError("an unsafe defect is not deferred")
    return CORRECTIVE_DEFERRED if deferred else CORRECTIVE_IMMEDIATE
