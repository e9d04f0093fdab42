"""What can be done with a defect: report it, and say how it ended."""

from datetime import datetime

from django.db import transaction

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import enter
from fleet.people.models import Person
from maintenance.defects.models import Defect, DefectStep


@transaction.atomic
def report_defect(
    boat: Boat,
    *,
    words: str,
    at: datetime,
    by: Person | None = None,
    charter: Charter | None = None,
    reporter: str = "",
    asked: str = Defect.Asked.OWN_WORDS,
    risk_now: bool | None = None,
) -> Defect:
    """Keeps what is wrong in the words it was said in."""
    defect = Defect(
        boat=boat,
        charter=charter,
        words=words,
        found_at=at,
        reporter=reporter,
        asked=asked,
        risk_now=risk_now,
    )
    return enter(defect, at=at, by=by)


@transaction.atomic
def end_defect(
    defect: Defect, *, step: str, who: str, why: str = "", at: datetime, by: Person | None = None
) -> DefectStep:
    """Says that a defect was put right, or that no fault was found, and who says so."""
    return enter(DefectStep(defect=defect, step=step, by=who, why=why), at=at, by=by)
