"""One row of each table, with what a test does not care about filled in."""

from datetime import UTC, date, datetime, time
from decimal import Decimal

import factory
from factory import LazyAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from fleet.bases.models import Base
from fleet.boats.models import (
    SINCE_EVER,
    Boat,
    BoatTerms,
    Component,
    Fitting,
    Kind,
    Meter,
    Place,
    PrintedDate,
)
from fleet.charters.models import Charter
from fleet.meters.models import Reading
from fleet.papers.models import Paper
from fleet.people.models import Membership, Person
from maintenance.servicing.models import IntervalSpare, Service, ServiceInterval
from maintenance.spares.models import Allowance, Spare, StockMove

LOADED = datetime(2026, 5, 1, 8, 0, tzinfo=UTC)  # when the base's files were loaded


class BaseFactory(DjangoModelFactory):
    class Meta:
        model = Base

    code = Sequence(lambda n: f"base-{n}")
    name = LazyAttribute(lambda base: base.code.title())
    timezone = "Europe/Athens"
    workday_minutes = 480
    boat_minutes = 75


class PersonFactory(DjangoModelFactory):
    class Meta:
        model = Person

    login = Sequence(lambda n: f"person-{n}")
    name = LazyAttribute(lambda person: person.login.title())


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    person = SubFactory(PersonFactory)
    role = "engineer"
    from_on = date(2025, 1, 1)


class BoatFactory(DjangoModelFactory):
    class Meta:
        model = Boat

    code = Sequence(lambda n: f"boat-{n}")
    name = LazyAttribute(lambda boat: boat.code.replace("-", " ").title())


class TermsFactory(DjangoModelFactory):
    class Meta:
        model = BoatTerms

    from_on = SINCE_EVER
    recorded_at = LOADED


class PlaceFactory(DjangoModelFactory):
    class Meta:
        model = Place

    code = Sequence(lambda n: f"place-{n}")
    name = LazyAttribute(lambda place: place.code.title())
    base = boat = None
    sort = LazyAttribute(lambda place: "store" if place.base else "locker")


class KindFactory(DjangoModelFactory):
    class Meta:
        model = Kind

    code = Sequence(lambda n: f"kind-{n}")
    name = LazyAttribute(lambda kind: kind.code.replace("-", " ").capitalize())
    system = "engine"


class ComponentFactory(DjangoModelFactory):
    class Meta:
        model = Component

    code = Sequence(lambda n: f"component-{n}")
    kind = SubFactory(KindFactory)


class MeterFactory(DjangoModelFactory):
    class Meta:
        model = Meter

    boat = SubFactory(BoatFactory)
    name = "main"


class FittingFactory(DjangoModelFactory):
    class Meta:
        model = Fitting

    component = SubFactory(ComponentFactory)
    fitted_on = date(2023, 3, 1)
    recorded_at = LOADED


class PrintedDateFactory(DjangoModelFactory):
    class Meta:
        model = PrintedDate

    as_written = LazyAttribute(lambda row: row.good_through.isoformat())
    recorded_at = LOADED


class PaperFactory(DjangoModelFactory):
    class Meta:
        model = Paper

    sha256 = Sequence(lambda n: f"{n:064x}")
    mime = "image/jpeg"
    size = 1000


class ReadingFactory(DjangoModelFactory):
    class Meta:
        model = Reading

    meter = SubFactory(MeterFactory)
    day = date(2026, 5, 1)
    dial = Decimal(1000)
    recorded_at = LOADED


class CharterFactory(DjangoModelFactory):
    class Meta:
        model = Charter

    code = Sequence(lambda n: f"CH-{n:04}")
    boat = SubFactory(BoatFactory)
    leaves_at = time(17)
    back_at = time(9)
    skipper = factory.Faker("name")


class IntervalFactory(DjangoModelFactory):
    class Meta:
        model = ServiceInterval

    code = Sequence(lambda n: f"interval-{n}")
    task = LazyAttribute(lambda interval: interval.code.replace("-", " ").capitalize())
    minutes = 30


class ServiceFactory(DjangoModelFactory):
    class Meta:
        model = Service

    recorded_at = LOADED


class SpareFactory(DjangoModelFactory):
    class Meta:
        model = Spare

    code = Sequence(lambda n: f"spare-{n}")
    name = LazyAttribute(lambda spare: spare.code.replace("-", " "))
    unit = "each"


class IntervalSpareFactory(DjangoModelFactory):
    class Meta:
        model = IntervalSpare

    quantity = Decimal(1)


class ReceivedFactory(DjangoModelFactory):
    class Meta:
        model = StockMove

    why = "received"
    quantity = Decimal(1)
    day = date(2026, 5, 1)
    recorded_at = LOADED


class AllowanceFactory(DjangoModelFactory):
    class Meta:
        model = Allowance

    quantity = Decimal(1)
    from_on = date(2026, 1, 1)
