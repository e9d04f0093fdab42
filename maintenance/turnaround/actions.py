"""The boat back: one action that keeps a return whole, and the ways back from it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Boat, Meter
from fleet.charters.links import close_links, follow_charter
from fleet.charters.models import Charter
from fleet.ledger import latest, once
from fleet.meters.actions import record_reading
from fleet.meters.models import Reading
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.defects.actions import report_defect
from maintenance.defects.hull import Touch
from maintenance.defects.looking import record_touch
from maintenance.defects.models import Defect
from maintenance.jobs.actions import refuse_late, undo_rows
from maintenance.servicing.following import Moved, due_list_follows
from maintenance.spares.actions import SpareUsed, use_spares, what_follows, wrong_use
from maintenance.turnaround.models import Return, ReturnDefect, ReturnMove, ReturnReading
from maintenance.turnaround.questions import BY_CODE, QUESTIONS, TOUCHED


class ReturnRefused(Refused):
    """A return that cannot be taken as given; `field` names what to put right. Never a number."""

    def __init__(self, field: str, wanted: str) -> None:
        super().__init__(f"{field}: {wanted}")


@dataclass(frozen=True, slots=True)
class DialRead:
    """What a meter showed when she came back, in hours."""

    meter: Meter
    dial: Decimal
    new_meter: bool = False
    how_known: str = Reading.HowKnown.SEEN


@dataclass(frozen=True, slots=True)
class Report:
    """What is said of a boat that came back; an answer of None is a question not answered. `beside`
    was chosen or typed elsewhere than among the words: it is kept as they are, and raises no alarm."""

    filed_by: str
    day: date
    dials: Sequence[DialRead] = ()
    defects: Sequence[str] = ()
    lost: Sequence[str] = ()
    used: Sequence[SpareUsed] = ()
    answers: Mapping[str, bool | None] = field(default_factory=dict)
    reporter: str = ""
    beside: Sequence[str] = ()


def file_return(
    boat: Boat,
    charter: Charter | None,
    report: Report,
    *,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
    inspected_by: Person | None = None,
) -> Return:
    """Keeps a return whole or not at all, once per `client_id`; its `followed` says what came of it.

    No number is ever refused: a dial that cannot be right is kept as doubtful and moves no due
    day, a spare the book does not have takes it below zero. ReturnRefused names a field that is
    wrong in another way: another boat's meter, a day to come, an unknown question.
    """

    def known() -> Return | None:
        there = Return.objects.filter(client_id=client_id).first() if client_id else None
        if there is not None and there.boat_id != boat.pk:
            raise ReturnRefused("client_id", f"wanted a new one: it is that of a return of {there.boat.name}")
        return there

    def keep() -> Return:
        return _keep(boat, charter, report, at, by, client_id or None, inspected_by)

    return once(known, keep)


def _keep(
    boat: Boat,
    charter: Charter | None,
    report: Report,
    at: datetime,
    by: Person | None,
    client_id: str | None,
    inspected_by: Person | None,
) -> Return:
    today = today_of(boat, at)
    _refuse(boat, charter, report, today)
    filed = Return(
        charter=charter,
        boat=boat,
        day=report.day,
        filed_by=report.filed_by,
        reporter=report.reporter,
        answers={q.code: report.answers.get(q.code) for q in QUESTIONS},
        inspected_by=inspected_by,
        client_id=client_id,
        recorded_at=at,
        recorded_by=by,
    )
    with due_list_follows([boat.pk], at=at) as moved:
        filed.full_clean(exclude=["followed"])
        filed.save()
        readings = _keep_dials(filed, report, at, by)
        defects = _keep_defects(filed, report, at, by)
        for move in use_spares(report.used, day=report.day, at=at, by=by):
            ReturnMove.objects.create(filed=filed, move=move)
        if (over := _checked_out(filed)) is not None:
            close_links(over, at=at)
    filed.followed = _said(moved, readings, defects) | what_follows(report.used, on=today).as_json()
    filed.save()
    return filed


def _checked_out(filed: Return) -> Charter | None:
    """The charter that is over by the base's word; of a boat it had before its present one it is not."""
    charter = filed.charter
    by_base = filed.filed_by == Return.FiledBy.BASE
    return charter if by_base and charter is not None and charter.boat_id == filed.boat_id else None


def _refuse(boat: Boat, charter: Charter | None, report: Report, today: date) -> None:
    if not SINCE_EVER <= report.day <= today:
        raise ReturnRefused("day", f"wanted a day up to today, {spoken(today)}")
    if charter is not None:
        _refuse_charter(boat, charter, report.day)
    for read in report.dials:
        if read.meter.boat_id != boat.pk:
            raise ReturnRefused("readings", f"{read.meter.name} is not a meter of {boat.name}")
    for code in report.answers:
        if code not in BY_CODE:
            raise ReturnRefused("answers", f"found {code}; wanted {', '.join(BY_CODE)}")
    if wrong := wrong_use(boat, report.used, on=today):
        raise ReturnRefused("spares", wrong)


def _refuse_charter(boat: Boat, charter: Charter, day: date) -> None:
    if charter.boat_id != boat.pk and not charter.boats.standing().filter(boat=boat).exists():
        raise ReturnRefused("charter", f"{charter.code} did not have {boat.name}")
    if day < charter.starts_on:
        went_out = spoken(charter.starts_on)
        raise ReturnRefused("day", f"wanted a day from {went_out}, when {charter.code} went out")


def _keep_dials(filed: Return, report: Report, at: datetime, by: Person | None) -> list[Reading]:
    """Each dial as a reading; one that waits in doubt already is not asked about twice."""
    readings = []
    doubtful = Reading.objects.standing().filter(standing=Reading.Standing.DOUBTFUL)
    for read in report.dials:
        same = doubtful.filter(meter=read.meter, day=report.day, dial=read.dial)
        if same.filter(new_meter=read.new_meter, noted=False).exists():
            continue
        reading = record_reading(
            read.meter,
            day=report.day,
            dial=read.dial,
            at=at,
            by=by,
            new_meter=read.new_meter,
            how_known=read.how_known,
        )
        ReturnReading.objects.create(filed=filed, reading=reading)
        readings.append(reading)
    return readings


def _keep_defects(filed: Return, report: Report, at: datetime, by: Person | None) -> list[Defect]:
    told: list[tuple[str, str | None, str]] = []
    told += [(words, None, Defect.Asked.OWN_WORDS) for words in report.defects]
    told += [(words, "", Defect.Asked.OWN_WORDS) for words in report.beside]
    told += [(words, None, Defect.Asked.LOST) for words in report.lost]
    told += [(q.opens, None, Defect.Asked.QUESTION) for q in QUESTIONS if report.answers.get(q.code)]
    defects = []
    for words, own_words, asked in told:
        defect = report_defect(
            filed.boat,
            words=words,
            own_words=own_words,
            at=at,
            by=by,
            charter=filed.charter,
            reporter=report.reporter,
            asked=asked,
        )
        ReturnDefect.objects.create(filed=filed, defect=defect)
        if defect.words == TOUCHED.opens:
            record_touch(filed.boat, day=filed.day, defect=defect, at=at, by=by)
        defects.append(defect)
    return defects


def _said(moved: list[Moved], readings: list[Reading], defects: list[Defect]) -> dict[str, Any]:
    doubtful = [r.pk for r in readings if r.standing == Reading.Standing.DOUBTFUL]
    return {
        "moved": [m.as_json() for m in moved],
        "readings": [r.pk for r in readings],
        "doubtful": doubtful,
        "defects": [d.pk for d in defects],
    }


@transaction.atomic
def take_back_return(filed: Return, *, at: datetime, by: Person | None = None) -> Return:
    """Undoes a whole return within the day, by rows that take back each thing it kept."""
    take_turn()
    rows: Iterable[Any] = [*_rows_of(filed), filed]
    undone = _take_back(filed, rows, at, by)
    if (over := _checked_out(filed)) is not None:
        _open_links(over)
    return undone


def _open_links(charter: Charter) -> None:
    """Lets links run as the charter says, where no other check-out of it stands."""
    others = Return.objects.standing().filter(charter=charter, boat=charter.boat_id)
    if not others.filter(filed_by=Return.FiledBy.BASE).exists():
        follow_charter(charter)


def take_back_part(filed: Return, row: Any, *, at: datetime, by: Person | None = None) -> Return:
    """Undoes one reading, defect or spare of a return within the day."""
    if row not in list(_rows_of(filed)):
        raise ReturnRefused("what", "wanted something this return kept")
    return _take_back(filed, [row], at, by)


def _take_back(filed: Return, rows: Iterable[Any], at: datetime, by: Person | None) -> Return:
    refuse_late(filed.boat, filed.recorded_at, at)
    with due_list_follows([filed.boat_id], at=at):
        undo_rows(rows, at=at, by=by)
    last: Return = latest(Return.objects.get(pk=filed.pk))
    return last


def _rows_of(filed: Return) -> Iterable[Any]:
    yield from (link.reading for link in filed.readings.select_related("reading"))
    for link in filed.defects.select_related("defect"):
        yield from Touch.objects.standing().filter(defect=link.defect)
        yield link.defect
    yield from (link.move for link in filed.moves.select_related("move"))
