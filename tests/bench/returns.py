"""A boat back, as the base files it: two dials, two things wrong, a spare used, every question answered."""

from dataclasses import dataclass
from decimal import Decimal

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
    """What one return says; the page that files it has all of it in hand."""

    boat: Boat
    charter: Charter
    report: Report
    client_id: str


def boat_back(number: int) -> Back:
    """The `number`-th return of a run: of twelve boats by turns, each dial 0.1 h on."""
    boat = Boat.objects.get(code=boat_code(number % BOATS_BY_TURNS))
    kit = Place.objects.get(boat=boat, parent=None)
    report = Report(
        filed_by="base",
        day=TODAY,
        dials=[DialRead(meter, _next_dial(meter)) for meter in Meter.objects.filter(boat=boat)],
        defects=["The windlass stops under load"],
        lost=["One fender"],
        used=[SpareUsed(Spare.objects.get(code=next(iter(SPARES.values()))), kit, Decimal(1))],
        answers=dict.fromkeys((question.code for question in QUESTIONS), False),
    )
    charter = Charter.objects.booked().filter(boat=boat, ends_on__lte=TODAY).latest("ends_on")
    return Back(boat, charter, report, f"return {number}")


def _next_dial(meter: Meter) -> Decimal:
    readings = Reading.objects.standing().filter(meter=meter)
    return readings.latest("day", "dial").dial + Decimal("0.1")


def file(back: Back) -> Return:
    return file_return(back.boat, back.charter, back.report, at=NOW, client_id=back.client_id)
