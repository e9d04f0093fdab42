"""When two open defects stood together among what keeps a boat afloat, found and steered. No Django."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from maintenance.defects.rules import FUNCTIONS, LIMITS_USE, UNSAFE


def chains(steps: Iterable[Any]) -> Iterator[tuple[int, datetime]]:
    """Each boat and instant at which a grade made two or more of them stand open together; steps come
    in the order they were recorded, those taken back too."""
    open_now: dict[int, set[int]] = defaultdict(set)
    for step in steps:
        boat, case = step.defect.boat_id, step.defect_id
        if step.step == "graded" and not step.void:
            known = step.function or _of_its_thing(step)
            vital = step.grade in (UNSAFE, LIMITS_USE) and known in FUNCTIONS
            (open_now[boat].add if vital else open_now[boat].discard)(case)
            if vital and len(open_now[boat]) >= 2:
                yield boat, step.recorded_at
        elif step.step in ("put right", "no fault found") and not step.void:
            open_now[boat].discard(case)


def _of_its_thing(step: Any) -> str:
    component = step.defect.component
    return component.kind.function if component is not None else ""
