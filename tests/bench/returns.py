"""A boat back, as the base files it: two dials, two things wrong, a spare used, every question answered."""

from dataclasses import dataclass, field
from decimal import Decimal
from itertools import count

from fleet.boats.models import Boat, Meter, Place
from fleet.charters.models import Charter
from fleet.meters.models import Reading
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import Spare
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import QUESTIONS
from tests.bench.big_base import NOW, TODAY, boat_code
from tests.bench.big_parts import SPARES

BOATS_BY_TURNS = 12


@dataclass(frozen=True, slots=True)
class Back:
    """What one return says; made before the clock starts, as the page that files it has it in hand."""

    boat: Boat
    charter: Charter
    report: Report
    client_id: str


def boat_back(number: int) -> Back:
    """The `number`-th return of a run: by turns of twelve boats, each dial 0.1 h on."""
    boat = Boat.objects.get(code=boat_code(number % BOATS_BY_TURNS))
    charter = Charter.objects.booked().filter(boat=boat, ends_on__lte=TODAY).latest("ends_on")
    dials = [DialRead(meter, _dial(meter) + Decimal("0.1")) for meter in Meter.objects.filter(boat=boat)]
    used = SpareUsed(Spare.objects.get(code=next(iter(SPARES.values()))), _kit(boat), Decimal(1))
    report = Report(
        filed_by="base",
        day=TODAY,
        dials=dials,
        defects=["The windlass stops under load"],
        lost=["One fender"],
        used=[used],
        answers=dict.fromkeys((q.code for q in QUESTIONS), False),
    )
    return Back(boat, charter, report, f"bench-{number}")


def _dial(meter: Meter) -> Decimal:
    return Reading.objects.standing().filter(meter=meter).order_by("day", "dial").last().dial


def _kit(boat: Boat) -> Place:
    return Place.objects.get(boat=boat, parent=None)


def file(back: Back) -> Return:
    return file_return(back.boat, back.charter, back.report, at=NOW, client_id=back.client_id)
