"""The audit of printed dates: any day by what was recorded then, lent ones, and the due list behind it."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.boats.actions import KindDatesRefused, move_component, set_kind_dates
from fleet.boats.dates import DateNotClear
from fleet.boats.facts import dates_of_kinds
from fleet.boats.models import Kind, KindDate, PrintedDate
from maintenance.jobs.actions import TooLateToTakeBack, Work, record_work, take_back_job
from maintenance.jobs.away import lend_aboard, send_away, undo_last_step
from maintenance.jobs.dating import record_date, take_back_date, undoable
from maintenance.planning.actions import extend_charter
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import EXPIRED, ILLEGIBLE, IN_DATE, NO_DATE, RUNS_OUT
from maintenance.safety.facts import known_by
from tests.cast import NOW, TODAY, book, due_list_holds, fit, join, more_boats
from tests.factories import IntervalFactory, PaperFactory, PrintedDateFactory

RAFT = ("twice shy life-raft", "raft")
DAY = timedelta(days=1)


@pytest.fixture
def dated(cast):
    """The cast whose life rafts carry a date."""
    Kind.objects.filter(code="life-raft").update(date_required=True)
    return cast


@pytest.fixture
def line(dated):
    """One line of the audit of a day: by part and which of its dates."""

    def line(part="sandpiper life-raft", what="expiry", on=TODAY, now=NOW):
        lines = audit_of(dated.base, on=on, now=now).lines
        found = [x for x in lines if x.thing.component == dated.part[part].pk and x.expected.what == what]
        assert len(found) == 1, [(x.thing.code, x.expected.what) for x in lines]
        return found[0]

    return line


def test_each_boats_dates_are_judged_through_her_next_charter(line):
    # Sandpiper is out, and leaves on S3 to 6 June with a raft good through 30 June
    assert (line().state, line().through.booking.code) == (IN_DATE, "S3")
    # Twice Shy leaves on T2 to 6 June; her raft is good through 2 June
    assert line("twice shy life-raft").state == RUNS_OUT
    assert line("twice shy life-raft").at_sea
    assert line("blank page life-raft").state == NO_DATE


def test_a_charter_that_ends_later_is_what_counts_from_then_on(cast, line):
    cast.charter["S4"].cancelled_at = NOW
    cast.charter["S4"].save()
    extend_charter(cast.charter["S3"], ends_on=date(2026, 7, 1), at=NOW)
    assert line().state == RUNS_OUT


def test_without_another_charter_the_one_that_is_out_counts_and_without_any_the_day(cast, line):
    join(cast, "late bird")
    fit(cast, "late bird", "life-raft", None)
    PrintedDateFactory(component=cast.part["late bird life-raft"], good_through=TODAY)
    assert line("late bird life-raft").state == IN_DATE
    assert line("late bird life-raft", on=TODAY + DAY).state == EXPIRED
    book(cast, "L1", "late bird", "2026-05-27", "2026-05-29")
    assert line("late bird life-raft").state == RUNS_OUT


def test_another_bases_things_are_not_ours(dated):
    assert "far-cry" not in {
        x.thing.code.split("-life")[0] for x in audit_of(dated.base, on=TODAY, now=NOW).lines
    }


def test_what_a_thing_should_carry(dated):
    raft = dated.part["sandpiper life-raft"]
    impeller = dated.part["sandpiper impeller"]
    assert dates_of_kinds([raft.kind_id, impeller.kind_id]) == {raft.kind_id: ("expiry",)}
    set_kind_dates({raft.kind: ["test", "Release  unit", "release unit", ""]})
    assert dates_of_kinds([raft.kind_id]) == {raft.kind_id: ("Release unit", "test")}
    PrintedDateFactory(component=impeller, what="best before", good_through=TODAY)
    whats = {(x.thing.code, x.expected.what) for x in audit_of(dated.base, on=TODAY, now=NOW).lines}
    of_sandpiper = {what for code, what in whats if code == "sandpiper-life-raft"}
    assert of_sandpiper == {"Release unit", "test", "expiry"}  # its expiry is recorded
    assert {what for code, what in whats if code == "blank-page-life-raft"} == {"Release unit", "test"}
    assert ("sandpiper-impeller", "best before") in whats


def test_a_thing_with_a_task_of_its_own_by_the_printed_date_should_carry_one(dated, line):
    part = dated.part["blank page engine-oil"]
    own = IntervalFactory(code="own", component=part, on_expiry=True)
    assert line("blank page engine-oil").state == NO_DATE
    own.until_on = TODAY - DAY
    own.save()
    assert part.code not in {x.thing.code for x in audit_of(dated.base, on=TODAY, now=NOW).lines}


@pytest.mark.parametrize("whats", [[], ["x" * 41], [f"date {n}" for n in range(13)], ["a\x00b"]], ids=str)
def test_dates_that_a_kind_cannot_carry_are_refused_and_nothing_is_kept(dated, whats):
    raft, oil = dated.part["sandpiper life-raft"].kind, dated.part["sandpiper engine-oil"].kind
    raft.refresh_from_db()
    with pytest.raises(KindDatesRefused, match="wanted"):
        set_kind_dates({oil: ["best before"], raft: whats})
    assert not KindDate.objects.exists()


def test_a_past_day_is_judged_by_what_was_recorded_by_its_end(cast, line, now):
    raft = cast.part["sandpiper life-raft"]
    then = datetime(2026, 5, 20, 20, 59, tzinfo=UTC)  # 23:59 at the base
    record_date(raft, as_written="2026-05-29", at=then)
    record_date(raft, as_written="2027-05-31", at=then + timedelta(minutes=2))  # 00:01 of the 21st
    assert line(on=date(2026, 5, 20)).good_through == date(2026, 5, 29)
    assert line(on=date(2026, 5, 21)).good_through == date(2027, 5, 31)
    assert line(on=date(2026, 5, 19)).good_through == date(2026, 6, 30)
    assert line(on=TODAY + 400 * DAY).state == EXPIRED  # by what is known now


def test_what_was_recorded_later_shows_no_date_then_and_says_since_when(cast, line):
    found = line(on=date(2026, 4, 15))  # the files were loaded on 1 May
    assert (found.state, found.recorded) == (NO_DATE, False)
    assert found.expected.later == datetime(2026, 5, 1, 8, tzinfo=UTC)
    assert line("blank page life-raft", on=date(2026, 4, 15)).expected.later is None


def test_a_date_taken_back_since_was_known_then_and_does_not_show_before(cast, line):
    raft = cast.part["blank page life-raft"]
    yesterday = NOW - DAY
    row = record_date(raft, as_written="2027-05-31", at=yesterday).row
    take_back_date(row, at=yesterday + timedelta(hours=1))
    assert line("blank page life-raft", on=TODAY - 3 * DAY).expected.later is None
    assert line("blank page life-raft", on=TODAY).state == NO_DATE


def test_a_past_day_shows_what_was_aboard_then(cast, line):
    part, to = cast.part["sandpiper life-raft"], cast.boat["blank page"]
    move_component(part, to, on=date(2026, 5, 25), at=NOW)
    assert line(on=date(2026, 5, 24)).thing.boat_name == "Sandpiper"
    assert line(on=date(2026, 5, 25)).thing.boat_name == "Blank Page"


def test_the_end_of_a_day_is_the_bases_own(dated):
    assert known_by(dated.base, TODAY, NOW) is None
    assert known_by(dated.base, TODAY + DAY, NOW) is None
    end = known_by(dated.base, date(2026, 5, 20), NOW)
    assert end < datetime(2026, 5, 20, 21, tzinfo=UTC) < end + timedelta(seconds=1)


def lend(cast, **more):
    raft = cast.part["twice shy life-raft"]
    send_away(raft, whom="Raft station", day=date(2026, 5, 26), at=NOW)
    if more:
        lend_aboard(raft, whom="Raft station", day=date(2026, 5, 27), at=NOW, **more)
    return raft


def test_a_raft_that_is_away_is_not_aboard_and_the_lent_one_is_judged(cast, line):
    part = "twice shy life-raft"
    raft = lend(cast, serial="L-09", good_through=date(2027, 1, 1))
    assert (line(part).state, line(part).serial) == (IN_DATE, "L-09")
    undo_last_step(raft, at=NOW)
    assert (line(part).state, line(part).recorded) == (NO_DATE, False)
    assert line(part).expected.elsewhere.whom == "Raft station"
    undo_last_step(raft, at=NOW)
    assert line(part).state == RUNS_OUT


def test_a_lent_one_without_its_date_has_no_date(cast, line):
    lend(cast, serial="L-09", good_through=None)
    assert (line("twice shy life-raft").state, line("twice shy life-raft").recorded) == (NO_DATE, False)


def test_a_raft_counts_as_away_from_the_day_it_left_as_it_was_known_then(cast, line):
    lend(cast)  # recorded today, left on the 26th
    assert line("twice shy life-raft", on=date(2026, 5, 27)).expected.elsewhere is None
    assert line("twice shy life-raft", on=TODAY).expected.elsewhere is not None


@pytest.mark.parametrize("on", [TODAY - 10 * DAY, TODAY, TODAY + 10 * DAY], ids=str)
def test_three_boats_and_twenty_take_the_same_number_of_queries(dated, on):
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            audit_of(dated.base, on=on, now=NOW)
        return len(asked)

    lend(dated, serial="L-09", good_through=TODAY)
    few = queries()
    more_boats(dated, 17)
    for n in range(17):
        fit(dated, f"sister {n}", "life-raft", None)
        PrintedDateFactory(component=dated.part[f"sister {n} life-raft"], good_through=TODAY)
    assert len(audit_of(dated.base, on=TODAY, now=NOW).through) == 20
    assert queries() == few <= 12


def test_a_date_read_moves_the_due_list_and_undone_it_moves_back(cast, now):
    raft = cast.part[RAFT[0]]
    dated = record_date(raft, as_written="06/2027", good=date(2027, 6, 30), at=now)
    assert [(m.before, m.after) for m in dated.moved] == [(date(2026, 6, 2), date(2027, 6, 30))]
    assert cast.due(*RAFT).due_on == date(2027, 6, 30)
    assert due_list_holds()
    assert undoable(raft, at=now) == {"expiry": dated.row}
    back = take_back_date(dated.row, at=now)
    assert [(m.before, m.after) for m in back.moved] == [(date(2027, 6, 30), date(2026, 6, 2))]
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    assert undoable(raft, at=now) == {}
    assert due_list_holds()


def test_the_first_of_two_dates_of_today_can_be_undone_after_the_second(cast, now):
    raft = cast.part["blank page life-raft"]
    first = record_date(raft, as_written="2027-06-30", at=now, client_id="a").row
    second = record_date(raft, as_written="2028-06-30", at=now, client_id="b").row
    with pytest.raises(TooLateToTakeBack, match="again since"):
        take_back_date(first, at=now)
    take_back_date(second, at=now)
    assert undoable(raft, at=now) == {"expiry": first}
    assert take_back_date(first, at=now).row.void
    assert take_back_date(first, at=now).moved == ()
    assert not PrintedDate.objects.standing().filter(component=raft).exists()
    assert due_list_holds()


def test_an_illegible_date_keeps_none_and_the_line_lacks_it(cast, line, now):
    raft = cast.part[RAFT[0]]
    row = record_date(raft, state="illegible", as_written="0?/2027", at=now).row
    assert (row.good_through, row.as_written) == (None, "0?/2027")
    assert line(RAFT[0]).state == ILLEGIBLE
    assert cast.due(*RAFT).missing == "expiry"
    record_date(raft, state="none", as_written="x", at=now)
    assert (line(RAFT[0]).state, line(RAFT[0]).printed.as_written) == (NO_DATE, "")
    assert due_list_holds()


def test_a_new_date_does_not_keep_the_old_ones_paper(cast, now):
    raft, paper = cast.part[RAFT[0]], PaperFactory()
    assert record_date(raft, as_written="2027-05-31", paper=paper, at=now).row.paper == paper
    assert record_date(raft, as_written="2028-05-31", at=now).row.paper is None


@pytest.mark.parametrize("good", [date(2027, 3, 3), date(2027, 4, 4), None])
def test_a_meaning_that_the_date_does_not_have_is_refused(cast, now, good):
    before = PrintedDate.objects.count()
    with pytest.raises(DateNotClear, match="wanted"):
        record_date(cast.part[RAFT[0]], as_written="03/04/2027", good=good, at=now)
    assert PrintedDate.objects.count() == before
    record_date(cast.part[RAFT[0]], as_written="03/04/2027", good=date(2027, 3, 4), at=now)


def test_a_date_sent_twice_is_kept_once(cast, now):
    raft = cast.part["blank page life-raft"]
    rows = [record_date(raft, as_written="2027-05-31", at=now, client_id="one").row for _ in range(2)]
    assert rows[0] == rows[1]
    assert PrintedDate.objects.filter(component=raft).count() == 1


def test_a_date_named_in_other_capitals_is_the_same_date(cast, now):
    raft = cast.part["blank page life-raft"]
    record_date(raft, what="Pressure test", as_written="2027-05-31", at=now)
    record_date(raft, what=" pressure  TEST", as_written="2028-05-31", at=now)
    record_date(raft, what="EXPIRY", as_written="2029-05-31", at=now)
    standing = PrintedDate.objects.standing().filter(component=raft)
    assert set(standing.values_list("what", flat=True)) == {"Pressure test", "expiry"}


def test_a_date_of_yesterday_is_not_undone(cast, now):
    row = record_date(cast.part[RAFT[0]], as_written="2027-05-31", at=now - DAY).row
    assert undoable(cast.part[RAFT[0]], at=now) == {}
    with pytest.raises(TooLateToTakeBack):
        take_back_date(row, at=now)


def test_a_date_that_came_with_work_is_undone_with_the_work(cast, now):
    raft = cast.part[RAFT[0]]
    work = Work(TODAY, [cast.task(*RAFT)], printed={raft: "2027-05-31"})
    job = record_work(cast.boat["twice shy"], work, at=now)
    row = PrintedDate.objects.standing().get(component=raft)
    assert undoable(raft, at=now) == {}
    with pytest.raises(TooLateToTakeBack, match="with work"):
        take_back_date(row, at=now)
    take_back_job(job, at=now)
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)


def test_a_date_typed_again_as_it_once_was_is_undone_to_the_one_before(cast, now):
    raft = cast.part["blank page life-raft"]
    for written, sent in (("2027-06-30", "a"), ("2028-06-30", "b"), ("2027-06-30", "c")):
        last = record_date(raft, as_written=written, at=now, client_id=sent).row
    assert undoable(raft, at=now) == {"expiry": last}
    assert take_back_date(last, at=now).row.as_written == "2028-06-30"
