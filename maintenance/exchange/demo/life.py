"""What no file can say of the demo base: returns filed, a dial mistyped, a raft away."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal

from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component, Meter, Place
from fleet.charters.models import Charter
from fleet.meters.models import Reading
from fleet.people.models import Person
from fleet.people.roles import ENGINEER, OFFICE
from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import DefectStep
from maintenance.exchange.demo.dated import date_the_gear
from maintenance.exchange.demo.decided import decide
from maintenance.exchange.demo.files import logs_of
from maintenance.exchange.demo.hires import coming_saturday
from maintenance.exchange.demo.moment import Moment
from maintenance.exchange.demo.ready import make_ready
from maintenance.exchange.demo.supplied import supply
from maintenance.exchange.demo.way_in import open_the_link
from maintenance.jobs.away import lend_aboard, send_away
from maintenance.servicing.actions import reforecast
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import Spare
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.models import Return

LATELY = 14  # days
TOUCHED = ("carrick", "limpet")  # said at the last turnaround


def live(at: datetime, day: date, people: Mapping[str, Person]) -> None:
    """Tells the base what happened lately, by the same actions as its pages do."""
    now = Moment(at, day, people)
    _checked_out_lately(now)
    _back_today(now)
    _mistyped(now)
    _raft_away(now)
    _dated(now)
    _told_by_telephone(now)
    _put_right(now)
    open_the_link(at, day, people)
    decide(now)
    make_ready(now)
    supply(now)
    reforecast(on=day)  # what was told of earlier days was judged for those days


def _checked_out_lately(now: Moment) -> None:
    """The base's check-outs of the past weeks; what their meters showed is in the files already."""
    engineer = now.people[ENGINEER]
    since = now.day - timedelta(days=LATELY)
    ended = Charter.objects.booked().filter(ends_on__lt=now.day, ends_on__gte=since)
    for charter in ended.select_related("boat").order_by("ends_on", "code"):
        read = Reading.objects.standing().filter(meter__boat=charter.boat, day=charter.ends_on, noted=False)
        report = Report(
            filed_by=Return.FiledBy.BASE,
            day=charter.ends_on,
            dials=[DialRead(row.meter, row.dial, row.new_meter) for row in read.select_related("meter")],
            answers=_answers(touched_bottom=_touched(charter, now)),
            reporter=charter.skipper,
        )
        then = now.at - (now.day - charter.ends_on)
        file_return(charter.boat, charter, report, at=then, by=engineer, inspected_by=engineer)


def _touched(charter: Charter, now: Moment) -> bool:
    return charter.boat.code in TOUCHED and charter.ends_on == now.last_turnaround


def dial_shown(boat: str, day: date) -> Decimal:
    """What the boat's engine meter really showed at her last return."""
    return next(log.dials["engine"][0].dial for log in logs_of(day) if log.boat == boat)


def _back_today(now: Moment) -> None:
    """The base's check-out: past her service hours, two faults, and a belt that was in no book."""
    boat = Boat.objects.get(code="cowrie")
    belt = Spare.objects.get(code="belt-875")
    report = Report(
        filed_by=Return.FiledBy.BASE,
        day=now.day,
        dials=[DialRead(Meter.objects.get(boat=boat, name="engine"), dial_shown(boat.code, now.day))],
        defects=[
            "Drive belt squealed and was changed on the way",
            "Forward hatch drips on the berth when it rains",
        ],
        lost=["One winch handle overboard"],
        used=[SpareUsed(belt, Place.objects.get(boat=boat, parent=None), Decimal(1))],
        answers=_answers(lifejacket_fired=True),
        reporter=_charter(boat, now.day).skipper,
    )
    engineer = now.people[ENGINEER]
    file_return(boat, _charter(boat, now.day), report, at=now.at, by=engineer, inspected_by=engineer)


def _mistyped(now: Moment) -> None:
    """The skipper's own report of the last return: tenths written as units, a question left open."""
    boat = Boat.objects.get(code="splice")
    day = now.last_turnaround
    report = Report(
        filed_by=Return.FiledBy.SKIPPER,
        day=day,
        dials=[DialRead(Meter.objects.get(boat=boat, name="engine"), dial_shown(boat.code, now.day) * 10)],
        defects=["The aft heads pump is stiff, water comes back into the bowl"],
        answers=_answers(touched_bottom=None),
        reporter=_charter(boat, day).skipper,
    )
    file_return(boat, _charter(boat, day), report, at=now.at)


def _answers(**told: bool | None) -> dict[str, bool | None]:
    plain = (
        "touched_bottom",
        "lifejacket_fired",
        "flare_or_extinguisher_used",
        "gas_or_fumes_smelled",
        "water_in_bilge",
    )
    return dict.fromkeys(plain, False) | told


def _charter(boat: Boat, ended_on: date) -> Charter:
    return Charter.objects.booked().get(boat=boat, ends_on=ended_on)


def _raft_away(now: Moment) -> None:
    raft, engineer = Component.objects.get(code="zephyr-life-raft"), now.people[ENGINEER]
    station, day = "Raft station Amparo", now.last_turnaround
    wanted_back_on = day + timedelta(weeks=2)
    send_away(raft, whom=station, day=day, at=now.at, by=engineer, wanted_back_on=wanted_back_on)
    good_through = day + timedelta(weeks=30)
    lend_aboard(
        raft, whom=station, serial="007314", good_through=good_through, day=day, at=now.at, by=engineer
    )


def _dated(now: Moment) -> None:
    base = base_of(Boat.objects.get(code="carrick"), now.day)
    date_the_gear(base, now.day, coming_saturday(now.day), at=now.at, by=now.people[ENGINEER])


def _told_by_telephone(now: Moment) -> None:
    """Of a boat that comes back at the coming turnaround, written down by the office."""
    boat = Boat.objects.get(code="bowline")
    charter = Charter.objects.booked().get(boat=boat, starts_on=now.last_turnaround)
    report_defect(
        boat,
        words="Windlass stops after a few metres of chain; the breaker by the batteries has to be reset",
        at=now.at,
        by=now.people[OFFICE],
        charter=charter,
        reporter=charter.skipper,
        risk_now=False,
    )


def _put_right(now: Moment) -> None:
    boat, engineer = Boat.objects.get(code="limpet"), now.people[ENGINEER]
    told = now.at - timedelta(days=2)
    defect = report_defect(boat, words="Stern light out", at=told, by=engineer, reporter=engineer.name)
    end_defect(
        defect, step=DefectStep.Step.PUT_RIGHT, who=engineer.name, why="Bulb changed", at=now.at, by=engineer
    )
