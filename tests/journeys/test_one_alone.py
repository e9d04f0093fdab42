"""One engineer alone on a Saturday with seven boats: each goes or is held in one name, with no dead
end, no second person and nobody else's password."""

import pytest

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.looking import record_touch
from maintenance.defects.models import Defect
from maintenance.release.actions import by_one_person
from maintenance.release.models import Release
from maintenance.turnaround.models import Handover
from tests.journeys.saturday import Somebody, saturday_morning
from tests.journeys.test_burning_smell import saturday  # noqa: F401

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.xdist_group("saturday")]
SEVEN = 7


def leaving_today() -> list[Charter]:
    day = saturday_morning().date()
    return list(Charter.objects.booked().filter(starts_on=day).order_by("leaves_at", "pk")[:SEVEN])


def trouble(charters: list[Charter]) -> None:
    """An unsafe defect, an alarm, a touch of the keel: one on each of three boats."""
    at = saturday_morning()
    unsafe, alarm, touched = (charter.boat for charter in charters[:3])
    grade_defect(report_defect(unsafe, words="Steering stiff", at=at), grade="unsafe", who="Tomé", at=at)
    report_defect(alarm, words="Smell of gas at the cooker", at=at)
    record_touch(touched, day=at.date(), touched="keel", force="hard", at=at)


@pytest.mark.long
def test_seven_boats_go_in_the_name_of_one(saturday, browser):  # noqa: F811
    charters = leaving_today()
    assert len(charters) == SEVEN, "the demo's Saturday has too few boats for this journey"
    trouble(charters)
    engineer = Somebody(browser, saturday, "engineer")
    for charter in charters:
        turn_round(engineer, charter)
    handed = Handover.objects.standing().filter(charter__in=charters)
    assert handed.count() == SEVEN
    assert all(row.not_done == [] for row in handed)
    said = list(Release.objects.standing().filter(charter__in=charters))
    assert len(said) == SEVEN
    alone = [row for row in said if by_one_person(row)]
    assert alone, "three boats wanted two names, and none is shown as released by one"
    manager = Somebody(browser, saturday, "manager")
    page = manager.open("releases")
    for row in alone:
        assert row.boat.name in page.inner_text("main")


def turn_round(engineer: Somebody, charter: Charter) -> None:
    """Look at what is alarming, take her back, walk the round, release her, hand her over."""
    boat: Boat = charter.boat
    look_at_alarms(engineer, boat)
    engineer.take_back(boat.pk)
    engineer.walk_the_round(boat.pk)
    if not Release.objects.standing().filter(charter=charter).exists():  # the demo has one released already
        engineer.release(boat.pk)
    engineer.hand_over(charter.pk)
    engineer.open("handover-sheet", charter=charter.pk)
    engineer.sees(boat.name)


def look_at_alarms(engineer: Somebody, boat: Boat) -> None:
    for defect in Defect.objects.not_looked_at().filter(boat=boat):
        engineer.open("look", defect=defect.pk)
        engineer.tap("Nothing there")
