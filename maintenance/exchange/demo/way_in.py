"""The demo's skipper: a link that opens one charter, a report that came by it, and the answer."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from fleet.boats.models import Boat, Component
from fleet.charters.links import make_link
from fleet.charters.models import Charter
from fleet.people.models import Person
from fleet.people.roles import ENGINEER, OFFICE
from maintenance.defects.actions import answer_report
from maintenance.exchange.demo.hires import coming_saturday
from maintenance.turnaround.by_link import Told, report_by_link

SECRET = "tryitaboardnothingissecretsm"  # an invented way in, for trying the program only: no secret
BOAT = "bowline"


def open_the_link(at: datetime, day: date, people: Mapping[str, Person]) -> None:
    """The link of the charter that is out until the coming Saturday, and what came by it."""
    boat = Boat.objects.get(code=BOAT)
    last = coming_saturday(day) - timedelta(weeks=1)
    charter = Charter.objects.booked().get(boat=boat, starts_on=last)
    link, _ = make_link(charter, at=at - timedelta(days=1), by=people[OFFICE], secret=SECRET)
    told = Told(
        words="Das Dampferlicht geht nicht mehr, seit gestern Abend. Die Sicherung ist in Ordnung.",
        works="no",
        risk_now=False,
        component=Component.objects.get(code=f"{BOAT}-nav-lights"),
    )
    report = report_by_link(link, boat, told, at=at - timedelta(hours=3))
    engineer = people[ENGINEER]
    words = "Thank you. We go aloft for it on Saturday. Until then please be in port before dusk."
    answer_report(report, words=words, who=engineer.name, at=at - timedelta(hours=2), by=engineer)
