"""Two sister ships with a charter a week, a critical task due in the second."""

from datetime import timedelta

from fleet.boats.models import Boat, Kind
from maintenance.safety.models import Adoption, Requirement
from maintenance.servicing.actions import reforecast
from tests import factories as make
from tests.cast import TODAY

BOATS = 2
WEEKS = 3
SATURDAY = TODAY + timedelta(days=2)


def fleet() -> None:
    """The base `machine`, for the day of the cast."""
    base = make.BaseFactory(code="machine")
    kinds = [make.KindFactory(code=code, function=code) for code in ("charging", "steering")]
    raft = make.KindFactory(code="raft")
    look = make.IntervalFactory(code="raft-look", kind=raft, every_months=1, critical=True)
    for n in range(BOATS):
        boat = make.BoatFactory(code=f"machine-{n}")
        make.TermsFactory(boat=boat, base=base, persons=6)
        for kind in (*kinds, raft):
            make.FittingFactory(component=make.ComponentFactory(kind=kind), boat=boat)
        last = boat.fittings.get(component__kind=raft).component
        make.ServiceFactory(component=last, interval=look, done_on=SATURDAY - timedelta(days=20))
        for week in range(WEEKS):
            starts_on = SATURDAY + timedelta(weeks=week)
            make.CharterFactory(boat=boat, starts_on=starts_on, ends_on=starts_on + timedelta(weeks=1))
    reforecast(on=TODAY)


def goes_by_a_list() -> Boat:
    """One of the boats, which goes by a list that asks for more than is aboard."""
    boat = Boat.objects.filter(code__startswith="machine").latest("pk")
    raft = Kind.objects.get(code="raft")
    Requirement.objects.create(base=boat.terms.get().base, list="coastal", kind=raft, number=2)
    Adoption.objects.create(boat=boat, list="coastal", from_on=TODAY, recorded_at=make.LOADED)
    return boat
