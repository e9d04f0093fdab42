"""The standing cast: three boats of one base, each with a character, and one boat of another base.

Sandpiper is well kept. Twice Shy is a catamaran whose records are a mess. Blank Page came to the
base with nothing written down. Far Cry belongs to another base, and is nobody's business here.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Boat, Component, Fitting, Meter, Place
from fleet.charters.models import Charter
from fleet.meters.models import Reading
from fleet.people.models import Person
from fleet.people.roles import ROLES
from maintenance.jobs.actions import Task
from maintenance.servicing.actions import differences, reforecast
from maintenance.servicing.models import Due, ServiceInterval
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import Spare
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.models import Return
from tests import factories as make

TODAY = date(2026, 5, 28)  # a Thursday in the season
NOW = datetime(2026, 5, 28, 13, 0, tzinfo=UTC)  # 16:00 at the base


@dataclass
class Cast:
    """What a test names: `boat["sandpiper"]`, `part["sandpiper oil"]`, `charter["S3"]`."""

    base: Base
    boat: dict[str, Boat] = field(default_factory=dict)
    meter: dict[str, Meter] = field(default_factory=dict)
    part: dict[str, Component] = field(default_factory=dict)
    interval: dict[str, ServiceInterval] = field(default_factory=dict)
    charter: dict[str, Charter] = field(default_factory=dict)
    place: dict[str, Place] = field(default_factory=dict)
    spare: dict[str, Spare] = field(default_factory=dict)
    person: dict[str, Person] = field(default_factory=dict)

    def task(self, part: str, interval: str) -> Task:
        return Task(self.part[part], self.interval[interval])

    def line(self, part: str, interval: str) -> str:
        """A task as the pages name it."""
        return f"{self.part[part].pk}-{self.interval[interval].pk}"

    def due(self, part: str, interval: str) -> Due:
        return Due.objects.get(component=self.part[part], interval=self.interval[interval])


def due_list_holds(on: date = TODAY) -> bool:
    """Whether every due line stored equals one derived afresh."""
    wrong = [(row.component.code, row.interval.code) for pair in differences(on=on) for row in pair if row]
    assert wrong == []
    return True


def assemble() -> Cast:
    """The whole cast, its due list derived for the day."""
    cast = Cast(make.BaseFactory(code="harbour", name="Harbour"))
    _people(cast)
    _tasks(cast)
    _sandpiper(cast)
    _twice_shy(cast)
    _blank_page(cast)
    _far_cry(cast)
    _spares(cast)
    reforecast(on=TODAY)
    return cast


def _people(cast: Cast) -> None:
    for role in ROLES:
        cast.person[role] = make.PersonFactory(login=role)
        make.MembershipFactory(person=cast.person[role], base=cast.base, role=role)


def _tasks(cast: Cast) -> None:
    oil, impeller, gas, raft, rig = (
        make.KindFactory(code=code, system=system)
        for code, system in (
            ("engine-oil", "engine"),
            ("impeller", "engine"),
            ("gas-bottle", "gas"),
            ("life-raft", "safety"),
            ("rigging", "rig"),
        )
    )
    every = {
        "change": {"kind": oil, "every_hours": 100, "every_months": 12, "late_hours": 10, "minutes": 50},
        "look": {"kind": impeller, "every_hours": 100, "minutes": 20},
        "replace": {"kind": impeller, "every_hours": 300, "every_months": 24, "minutes": 40},
        "swap": {"kind": gas, "every_charters": 2, "minutes": 10},
        "raft": {"kind": raft, "on_expiry": True, "minutes": 30, "critical": True},
        "rig": {"kind": rig, "every_months": 12, "late_days": 7, "minutes": 240},
    }
    for code, columns in every.items():
        cast.interval[code] = make.IntervalFactory(code=code, **columns)
    cast.interval["replace"].settles.add(cast.interval["look"])


def join(cast: Cast, name: str, base: Base | None = None, meters: tuple[str, ...] = ("main",)) -> Boat:
    """A boat with her terms, her meters and a locker."""
    boat = make.BoatFactory(code=name.replace(" ", "-"))
    make.TermsFactory(boat=boat, base=base or cast.base)
    for meter in meters:
        cast.meter[f"{name} {meter}"] = make.MeterFactory(boat=boat, name=meter)
    cast.boat[name] = boat
    cast.place[f"{name} locker"] = make.PlaceFactory(boat=boat, code="locker", name=f"{boat.name} locker")
    return boat


def fit(cast: Cast, boat: str, kind: str, meter: str | None = "main", **more) -> Fitting:
    """A component of a kind, named `boat kind`, or `boat meter kind` where she has two meters."""
    named = f"{boat} {kind}" if meter in (None, "main") else f"{boat} {meter} {kind}"
    of_kind = next(i.kind for i in cast.interval.values() if i.kind.code == kind)
    part = make.ComponentFactory(code=named.replace(" ", "-"), kind=of_kind)
    cast.part[named] = part
    on = cast.meter[f"{boat} {meter}"] if meter else None
    return make.FittingFactory(component=part, boat=cast.boat[boat], meter=on, **more)


def book(cast: Cast, code: str, boat: str, starts_on: str, ends_on: str, **more) -> Charter:
    days = {"starts_on": date.fromisoformat(starts_on), "ends_on": date.fromisoformat(ends_on)}
    cast.charter[code] = make.CharterFactory(code=code, boat=cast.boat[boat], **days, **more)
    return cast.charter[code]


def read(cast: Cast, meter: str, day: str, dial: str, **more) -> Reading:
    return make.ReadingFactory(
        meter=cast.meter[meter], day=date.fromisoformat(day), dial=Decimal(dial), **more
    )


def served(cast: Cast, part: str, interval: str, day: str) -> None:
    make.ServiceFactory(
        component=cast.part[part], interval=cast.interval[interval], done_on=date.fromisoformat(day)
    )


def _sandpiper(cast: Cast) -> None:
    """Everything read, done and in date; out now, back on Saturday morning."""
    join(cast, "sandpiper")
    for kind in ("engine-oil", "impeller"):
        fit(cast, "sandpiper", kind)
    for kind in ("gas-bottle", "life-raft", "rigging"):
        fit(cast, "sandpiper", kind, None)
    for day, dial in (("2025-05-01", "1000"), ("2026-05-02", "1120"), ("2026-05-23", "1190.4")):
        read(cast, "sandpiper main", day, dial)
    for part, interval, day in (
        ("engine-oil", "change", "2026-05-02"),
        ("impeller", "look", "2026-05-02"),
        ("impeller", "replace", "2025-06-07"),
        ("gas-bottle", "swap", "2026-05-09"),
        ("rigging", "rig", "2025-06-02"),
    ):
        served(cast, f"sandpiper {part}", interval, day)
    make.PrintedDateFactory(component=cast.part["sandpiper life-raft"], good_through=date(2026, 6, 30))
    book(cast, "S0", "sandpiper", "2026-05-02", "2026-05-09")
    book(cast, "S1", "sandpiper", "2026-05-09", "2026-05-23")
    book(cast, "S2", "sandpiper", "2026-05-23", "2026-05-30")
    book(cast, "S3", "sandpiper", "2026-05-30", "2026-06-06", berth="A4")
    book(cast, "S4", "sandpiper", "2026-06-06", "2026-06-13")


def _twice_shy(cast: Cast) -> None:
    """Two engines close together in hours, one reading in doubt, back today."""
    join(cast, "twice shy", meters=("port", "starboard"))
    for meter in ("port", "starboard"):
        fit(cast, "twice shy", "engine-oil", meter)
    fit(cast, "twice shy", "life-raft", None)
    for meter, dials in (("port", ("1702", "1802")), ("starboard", ("2250", "2344"))):
        for day, dial in zip(("2025-08-02", "2026-05-21"), dials, strict=True):
            read(cast, f"twice shy {meter}", day, dial)
    read(cast, "twice shy port", "2026-05-24", "181", standing="doubtful")
    served(cast, "twice shy port engine-oil", "change", "2025-08-02")
    make.PrintedDateFactory(component=cast.part["twice shy life-raft"], good_through=date(2026, 6, 2))
    book(cast, "T1", "twice shy", "2026-05-21", "2026-05-28")
    book(cast, "T2", "twice shy", "2026-05-30", "2026-06-06", leaves_at=None)


def _blank_page(cast: Cast) -> None:
    """A meter nobody ever read, tasks nobody ever recorded, her first charter in a week."""
    join(cast, "blank page")
    for kind in ("engine-oil", "impeller"):
        fit(cast, "blank page", kind)
    for kind in ("life-raft", "rigging"):
        fit(cast, "blank page", kind, None)
    book(cast, "B1", "blank page", "2026-06-04", "2026-06-11", skipper="")


def _far_cry(cast: Cast) -> None:
    """Another base's boat, with one of everything that could be guessed at."""
    elsewhere = make.BaseFactory(code="elsewhere", name="Elsewhere", timezone="Pacific/Auckland")
    cast.person["stranger"] = make.PersonFactory(login="stranger")
    make.MembershipFactory(person=cast.person["stranger"], base=elsewhere, role="manager")
    join(cast, "far cry", base=elsewhere)
    fit(cast, "far cry", "engine-oil")
    read(cast, "far cry main", "2026-05-02", "500")
    read(cast, "far cry main", "2026-05-12", "50", standing="doubtful")
    book(cast, "F1", "far cry", "2026-05-20", "2026-06-20")
    cast.place["far store"] = make.PlaceFactory(base=elsewhere, code="far", name="Far store")


def _spares(cast: Cast) -> None:
    store = make.PlaceFactory(base=cast.base, code="store", name="Store")
    cast.place["store"] = store
    for code, unit in (("oil", "l"), ("impeller kit", "each"), ("gas bottle", "each")):
        cast.spare[code] = make.SpareFactory(code=code, unit=unit)
    for interval, spare, quantity in (("change", "oil", "4.5"), ("replace", "impeller kit", "1")):
        make.IntervalSpareFactory(
            interval=cast.interval[interval], spare=cast.spare[spare], quantity=Decimal(quantity)
        )
    for spare, place, quantity in (
        ("oil", "store", "20"),
        ("impeller kit", "store", "1"),
        ("gas bottle", "store", "3"),
        ("impeller kit", "sandpiper locker", "1"),
    ):
        make.ReceivedFactory(spare=cast.spare[spare], to_place=cast.place[place], quantity=Decimal(quantity))
    make.AllowanceFactory(spare=cast.spare["gas bottle"], place=store, quantity=3)
    make.AllowanceFactory(spare=cast.spare["impeller kit"], place=cast.place["sandpiper locker"])


def more_boats(cast: Cast, count: int) -> None:
    """Boats that leave on Saturday with their oil to change."""
    for n in range(count):
        name = f"sister {n}"
        join(cast, name)
        fit(cast, name, "engine-oil")
        served(cast, f"{name} engine-oil", "change", "2025-04-01")
        book(cast, f"X{n}", name, "2026-05-30", "2026-06-06")
    reforecast(on=TODAY)


def back(cast: Cast, boat: str, **dials: str) -> Return:
    """A boat taken back today with these dials, a litre of oil used and water in her bilge."""
    read = [DialRead(cast.meter[f"{boat} {name}"], Decimal(dial)) for name, dial in dials.items()]
    used = [SpareUsed(cast.spare["oil"], cast.place["store"], Decimal(1))]
    said = Report(filed_by="base", day=TODAY, dials=read, used=used, answers={"water_in_bilge": True})
    return file_return(cast.boat[boat], None, said, at=NOW)
