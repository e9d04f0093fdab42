"""How the demo's boats are made ready to leave: kinds, lists, rounds, releases, a call-out, a winter."""

from datetime import date, timedelta
from typing import Any

from fleet.bases.models import Base
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component, Kind
from fleet.charters.models import Charter
from fleet.people.roles import ENGINEER, MANAGER
from maintenance.exchange.demo.moment import Moment
from maintenance.jobs.actions import Task, Work, record_work
from maintenance.jobs.call_out import Call, open_call_out, say_step
from maintenance.release.actions import Name, release_boat
from maintenance.release.facts import judge
from maintenance.release.laying_up import begin_fitting_out, lay_up, sign_fitting_out
from maintenance.release.models import ReleaseName
from maintenance.release.rule_list import SERVICE
from maintenance.safety.models import Requirement
from maintenance.safety.requiring import add_requirement, adopt_list
from maintenance.servicing.models import ServiceInterval
from maintenance.turnaround.round import items_of, start_with_usual
from maintenance.turnaround.walking import Tick, sign_round, walk

# What two such things failing together hold a boat for.
FUNCTIONS = {
    "batteries": "charging",
    "bilge-pump": "bilge",
    "vhf": "radio",
    "life-raft": "raft",
    "steering": "steering",
}
LIST = "Coastal"
SOURCE = "the base's own list, common practice, no source; the flag's code decides"
CARRIED = {
    "life-raft": 1,
    "epirb": 1,
    "flares": 1,
    "extinguisher": 2,
    "lifejackets": 1,
    "first-aid": 1,
    "vhf": 1,
}
# The boats' lifejackets are written down as one set, not one by one.
PROPERTIES = {"lifejackets": "the set, one for each person aboard: counted at the round"}
GO_BY_IT = ("cowrie", "bowline", "zephyr")
ASHORE_AT_LEAST = timedelta(days=14)
DAY = timedelta(days=1)


def make_ready(now: Moment) -> None:
    """Tells who walked what and who released whom, as the pages do."""
    base = base_of(Boat.objects.get(code="whelk"), now.day)
    for code, function in FUNCTIONS.items():
        Kind.objects.filter(code=code).update(function=function)
    _winters(now)
    _list(base, now)
    start_with_usual(base)
    _walk(base, "limpet", now, 5)
    _walk(base, "whelk", now, None)
    _released(now)
    _called_out(now)


def _winters(now: Moment) -> None:
    """The two longest stays in of the past year were lay-ups, each with its fitting-out signed."""
    stays = sorted(_stays(now), key=lambda stay: (stay[1] - stay[2], stay[0]))
    for boat, start, end in stays[:2]:
        engineer, row = now.people[ENGINEER], Boat.objects.get(code=boat)
        ashore, begun, signed = start + DAY, end - 3 * DAY, end - DAY
        lay_up(row, ashore, at=now.noon_of(ashore), by=engineer)
        begin_fitting_out(row, begun, at=now.noon_of(begun), by=engineer)
        words = "Rig, seacocks, gas and steering gone through; engine run under load"
        sign_fitting_out(row, engineer.name, words, on=signed, at=now.noon_of(signed), by=engineer)


def _stays(now: Moment) -> list[tuple[str, date, date]]:
    """Each boat's longest stay in between two charters of the past year: boat, in from, out again."""
    found: dict[str, tuple[str, date, date]] = {}
    since = now.day - timedelta(days=365)
    rows = Charter.objects.booked().filter(starts_on__gte=since, ends_on__lt=now.day - timedelta(days=30))
    back: dict[str, date] = {}
    for boat, starts_on, ends_on in rows.order_by("starts_on").values_list(
        "boat__code", "starts_on", "ends_on"
    ):
        stay = (boat, back.get(boat, starts_on), starts_on)
        if stay[2] - stay[1] >= ASHORE_AT_LEAST and stay[2] - stay[1] > _length(found.get(boat)):
            found[boat] = stay
        back[boat] = ends_on
    return list(found.values())


def _length(stay: tuple[str, date, date] | None) -> timedelta:
    return stay[2] - stay[1] if stay is not None else timedelta(0)


def _list(base: Base, now: Moment) -> None:
    """What should be aboard, and the boats that go by it already; for the others it warns."""
    since = now.day - timedelta(days=60)
    for n, (code, number) in enumerate(CARRIED.items(), start=1):
        kind = Kind.objects.get(code=code)
        clause = Requirement(base=base, list=LIST, clause=str(n), source=SOURCE, kind=kind, number=number)
        clause.properties = PROPERTIES.get(code, "")
        add_requirement(clause)
    for boat in GO_BY_IT:
        adopt_list(Boat.objects.get(code=boat), base, LIST, from_on=since, at=now.at, by=now.people[MANAGER])


def _walk(base: Base, boat: str, now: Moment, checks: int | None) -> None:
    """So many checks of a boat's round in order, or all of them, signed."""
    row, engineer = Boat.objects.get(code=boat), now.people[ENGINEER]
    ticks = [Tick(item, "in order") for item in items_of(row, base, now.day)[:checks]]
    walk(row, ticks, at=now.at, by=engineer)
    if checks is None:
        sign_round(row, who=engineer.name, at=now.at, by=engineer)


def _released(now: Moment) -> None:
    """One fit; one with limits, by one person where the base's rules want two."""
    engineer = now.people[ENGINEER]
    for boat, how in (("whelk", ReleaseName.How.LOOKED), ("splice", ReleaseName.How.DID_THE_WORK)):
        row = Boat.objects.get(code=boat)
        charter = Charter.objects.next_from(now.day).filter(boat=row).first()
        assert charter is not None, f"{boat} has no charter to come"
        _serve(row, charter, now)
        release_boat(row, charter, [Name(engineer.name, how, engineer)], at=now.at, by=engineer)


def _serve(boat: Boat, charter: Charter, now: Moment) -> None:
    """Does what would be past its limit before she is back: chance has it due on some days."""
    base, engineer = base_of(boat, now.day), now.people[ENGINEER]
    for reason in judge(boat, charter, base=base, on=now.day, now=now.at).standing.reasons:
        if reason.code == SERVICE:
            _, component, interval, _ = reason.key.split(":")
            part = Component.objects.get(pk=component)
            task = Task(part, ServiceInterval.objects.get(pk=interval))
            record_work(boat, Work(now.day, [task], who=engineer.name), at=now.at, by=engineer)


def _called_out(now: Moment) -> None:
    """A boat that is out until the coming turnaround, and who promised to come."""
    boat, engineer = Boat.objects.get(code="levanter"), now.people[ENGINEER]
    charter = Charter.objects.booked().get(boat=boat, starts_on=now.last_turnaround)
    told = now.at - timedelta(hours=2)
    call = Call("At anchor in Enseada Velha, north side", told, "+351 000 000 417")
    out = open_call_out(
        boat,
        call,
        charter=charter,
        words="Port engine does not start: the starter clicks and nothing turns",
        reporter=charter.skipper,
        at=told,
        by=engineer,
    )
    takes = "Starter relay, battery tester, jump leads"
    say: dict[str, Any] = {"who": "Rasmo Quell", "promised_at": now.at + timedelta(hours=3), "takes": takes}
    say_step(out, "promised", at=now.at, by=engineer, **say)
