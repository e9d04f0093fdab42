"""What a phone kept is taken once, whenever it comes, found when it was written, and flagged where odd."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from fleet.charters.links import State, make_link, revoke_link
from fleet.charters.models import Charter, Link
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect
from maintenance.planning.actions import cancel_charter, change_boat
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.by_link import Told, report_by_link
from maintenance.turnaround.by_phone import (
    Kept,
    Odd,
    PhoneRefused,
    Photo,
    report_by_phone,
    return_by_phone,
    written_at,
)
from maintenance.turnaround.handing_over import hand_over
from maintenance.turnaround.let_in import MOST_AN_HOUR, LinkClosed, NotByLink, TooManyForNow
from maintenance.turnaround.models import LinkDefect, LinkDefectPhoto, LinkReturn, LinkReturnPhoto, Return
from tests.cast import NOW, TODAY, due_list_holds

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LEAKS = Told(words="Heads pump leaks")
BACK = Report(filed_by="skipper", day=TODAY, reporter="A. Skipper", lost=["Torch"])
PHOTOS = [Photo("photo one", 1000, "a" * 64), Photo("photo two", 2000)]


def kept(name: str = "report one", ago: timedelta = timedelta(0), **more) -> Kept:
    return Kept(**({"client_id": name, "made_at": NOW - ago, "clock": NOW} | more))


@pytest.fixture
def link(cast) -> Link:
    return make_link(cast.charter["S2"], at=NOW - 5 * DAY)[0]


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


def nothing_kept() -> bool:
    return not (Defect.objects.exists() or Return.objects.exists() or LinkDefectPhoto.objects.exists())


# Once


def test_a_report_is_kept_once_with_the_photos_that_are_to_come(link, boat):
    one = report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS), at=NOW)
    for n in range(1, 4):
        assert report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS), at=NOW + n * DAY) == one
    assert (one.client_id, one.recorded_at, one.words) == ("report one", NOW, "Heads pump leaks")
    assert LinkDefect.objects.get().odd == []
    rows = LinkDefectPhoto.objects.values_list("number", "photo_id", "size", "sha256", "paper", "refused")
    assert list(rows) == [
        (1, "photo one", 1000, "a" * 64, None, ""),
        (2, "photo two", 2000, "", None, ""),
    ]


def test_other_words_under_one_id_are_a_report_of_their_own_and_kept_once_too(link, boat):
    """Two tabs that began from one draft may each have written something: neither is swallowed."""
    first = report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS), at=NOW)
    danger = Told(words="Smoke from the panel", beside="Where: Electric", risk_now=True)
    for n in range(3):
        other = report_by_phone(link, boat, danger, kept(photos=PHOTOS), at=NOW + n * DAY)
        assert (other.words.partition("\n")[0], other.risk_now) == ("Smoke from the panel", True)
    assert report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS), at=NOW) == first
    assert Defect.objects.count() == 2
    assert LinkDefectPhoto.objects.filter(came=first.came_by).count() == LinkDefectPhoto.objects.count() == 2


def test_photos_another_tab_adds_are_waited_for_too_up_to_twelve(link, boat):
    report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS[:1]), at=NOW)
    more = [*PHOTOS, *(Photo(f"photo {n}", 10) for n in range(20)), Photo("photo 3", 10), Photo("none", 0)]
    for _ in range(2):
        report_by_phone(link, boat, LEAKS, kept(photos=more), at=NOW)
    rows = list(LinkDefectPhoto.objects.values_list("number", "photo_id"))
    assert rows[:3] == [(1, "photo one"), (2, "photo two"), (3, "photo 0")]
    assert [number for number, _ in rows] == list(range(1, 13))


def test_the_same_words_twice_under_two_ids_are_two_reports(link, boat):
    """Two taps on a form are one report; two reports kept on a phone were meant as two."""
    report_by_phone(link, boat, LEAKS, kept("one"), at=NOW)
    report_by_phone(link, boat, LEAKS, kept("two"), at=NOW)
    assert LinkDefect.objects.count() == 2


def test_a_report_sent_by_the_form_and_by_the_phone_is_one(link, boat):
    one = report_by_link(link, boat, LEAKS, at=NOW, client_id="report one")
    assert report_by_phone(link, boat, LEAKS, kept(photos=PHOTOS), at=NOW) == one
    assert LinkDefectPhoto.objects.count() == 2


def test_an_id_that_is_somebody_elses_is_refused(cast, link, boat):
    other, _ = make_link(cast.charter["S2"], at=NOW)
    report_by_phone(other, boat, LEAKS, kept("theirs"), at=NOW)
    return_by_phone(other, boat, BACK, kept("theirs"), at=NOW)
    report_defect(boat, words="Leaks", at=NOW, client_id="the base's")
    file_return(boat, cast.charter["S2"], BACK, at=NOW, client_id="the base's")
    for name in ("theirs", "the base's"):
        for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
            with pytest.raises(NotByLink, match="client_id: wanted a new one"):
                act(link, boat, what, kept(name, photos=PHOTOS), at=NOW)
    assert not LinkDefect.objects.filter(link=link).exists()
    assert not LinkReturn.objects.filter(link=link).exists()
    assert not LinkDefectPhoto.objects.exists()


@pytest.mark.parametrize(
    ("photos", "wanted"),
    [
        ([Photo(f"photo {n}", 10) for n in range(13)], "at most 12"),
        ([Photo("same", 10), Photo("same", 11)], "an id of its own"),
        ([Photo("", 10)], "an id of its own"),
        ([Photo("x" * 65, 10)], "an id of its own"),
        ([Photo("photo", 0)], "the size of each"),
        ([Photo("photo", -1)], "the size of each"),
    ],
)
def test_photos_that_cannot_be_told_apart_or_are_too_many_keep_it_out(link, boat, photos, wanted):
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        with pytest.raises(PhoneRefused, match=f"photos: wanted {wanted}"):
            act(link, boat, what, kept(photos=photos), at=NOW)
    assert nothing_kept()


def test_a_photo_of_one_report_is_not_anothers(cast, link, boat):
    report_by_phone(link, boat, LEAKS, kept("one", photos=PHOTOS), at=NOW)
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        with pytest.raises(PhoneRefused, match="an id of its own"):
            act(link, boat, what, kept("two", photos=PHOTOS[1:]), at=NOW)
    report_by_phone(link, boat, LEAKS, kept("three"), at=NOW)
    report_by_phone(link, boat, LEAKS, kept("three", photos=PHOTOS), at=NOW)
    assert set(LinkDefectPhoto.objects.values_list("came__defect__client_id", flat=True)) == {"one"}
    elsewhere, _ = make_link(cast.charter["T1"], at=NOW)
    report_by_phone(elsewhere, cast.boat["twice shy"], LEAKS, kept("four", photos=PHOTOS), at=NOW)
    assert LinkDefectPhoto.objects.count() == 4


def test_a_photo_too_big_is_refused_before_a_byte_of_it_is_sent(link, boat):
    sizes = {"fits": 15_000_000, "too big": 15_000_001, "huge": 2**53 - 1}
    photos = [Photo(name, size) for name, size in sizes.items()]
    report_by_phone(link, boat, LEAKS, kept(photos=photos), at=NOW)
    rows = dict(LinkDefectPhoto.objects.values_list("photo_id", "refused"))
    assert rows == dict.fromkeys(sizes, "wanted at most 15 MB, found more") | {"fits": ""}


def test_the_hour_of_a_link_is_full_for_a_phone_too_and_danger_goes_on(link, boat):
    for n in range(MOST_AN_HOUR):
        report_by_phone(link, boat, LEAKS, kept(f"report {n}"), at=NOW)
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        with pytest.raises(TooManyForNow):
            act(link, boat, what, kept("one too many"), at=NOW + HOUR - timedelta(seconds=1))
    assert report_by_phone(link, boat, LEAKS, kept("report 3"), at=NOW).client_id == "report 3"
    report_by_phone(link, boat, replace(LEAKS, risk_now=True), kept("danger"), at=NOW)
    report_by_phone(link, boat, LEAKS, kept("one too many"), at=NOW + HOUR)
    assert LinkDefect.objects.count() == MOST_AN_HOUR + 2


# When it was written


def test_it_was_found_when_it_was_written(link, boat):
    assert report_by_phone(link, boat, LEAKS, kept(ago=3 * HOUR), at=NOW).found_at == NOW - 3 * HOUR


def flags_of(row: Defect | Return) -> list[str]:
    row.came_by.refresh_from_db()
    return row.came_by.odd


@pytest.mark.parametrize(
    ("made", "clock", "found", "off", "odd"),
    [
        (NOW - HOUR, NOW, NOW - HOUR, 0, False),
        (NOW - HOUR, NOW + 10 * timedelta(minutes=1), NOW - HOUR - 10 * timedelta(minutes=1), 600, False),
        (NOW + DAY - HOUR, NOW + DAY, NOW - HOUR, 86_400, True),  # a day ahead
        (NOW - DAY - HOUR, NOW - DAY, NOW - HOUR, -86_400, True),  # a day behind
        (NOW + HOUR, NOW, NOW, 0, True),  # set back meanwhile: nobody knows
        (NOW - 5 * DAY, NOW, NOW - 5 * DAY, 0, False),  # as long ago as there was a link
        (NOW - 6 * DAY, NOW, NOW - 5 * DAY, 0, True),  # longer
        (datetime(1970, 1, 1, tzinfo=UTC), NOW, NOW - 5 * DAY, 0, True),  # put right meanwhile
        (None, NOW, NOW, 0, True),
        (NOW, None, NOW, None, True),
    ],
)
def test_the_phones_clock_is_reckoned_with_and_flagged(link, boat, made, clock, found, off, odd):
    row = report_by_phone(link, boat, LEAKS, kept(made_at=made, clock=clock), at=NOW)
    assert (row.found_at, row.came_by.clock_off) == (found, off)
    assert flags_of(row) == ([Odd.CLOCK] if odd else [])


ANY_CLOCK = st.datetimes(timezones=st.just(UTC))
FIRST, LAST = datetime(1, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)


@hypothesis_settings(max_examples=200, deadline=None, database=None, derandomize=True)
@given(ANY_CLOCK, ANY_CLOCK, st.timedeltas(min_value=-DAY, max_value=400 * DAY))
@example(FIRST, LAST, timedelta(0))
@example(LAST, FIRST, timedelta(0))
@example(LAST, LAST, 10 * DAY)
def test_whatever_the_clock_says_it_was_found_between_the_link_and_now(made, clock, age):
    link = Link(made_at=NOW - age)
    found = written_at(kept(made_at=made, clock=clock), link, NOW)
    assert min(NOW - age, NOW) <= found <= NOW
    if timedelta(0) <= clock - made <= age:
        assert found == NOW - (clock - made)


@pytest.mark.parametrize(("made", "clock"), [(FIRST, LAST), (LAST, FIRST), (LAST, LAST), (FIRST, FIRST)])
def test_a_report_and_a_return_are_kept_by_any_clock(link, boat, made, clock):
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        row = act(link, boat, what, kept(made_at=made, clock=clock), at=NOW)
        assert row.came_by.clock_off == round((clock - NOW).total_seconds())
        assert flags_of(row) == [Odd.CLOCK]


# Odd, and kept


def test_after_the_next_charter_left_by_the_book_it_is_kept_and_flagged(link, boat):
    leaves = datetime(2026, 5, 30, 14, 0, tzinfo=UTC)  # 17:00 at the base
    link_ends = leaves + 2 * DAY
    Link.objects.update(ends_at=link_ends)
    before = report_by_phone(link, boat, LEAKS, kept("before", clock=leaves), at=leaves - HOUR / 60)
    after = report_by_phone(link, boat, LEAKS, kept("after", clock=leaves), at=leaves)
    filed = return_by_phone(link, boat, BACK, kept("after", clock=leaves), at=leaves)
    assert flags_of(before) == []
    assert flags_of(after) == flags_of(filed) == [Odd.AFTER_HANDOVER]
    assert (after.boat, after.charter.code, filed.day) == (boat, "S2", date(2026, 5, 28))


def test_after_a_handover_that_was_recorded_it_is_flagged_however_early(cast, link, boat):
    noon = datetime(2026, 5, 30, 9, 0, tzinfo=UTC)
    hand_over(boat, cast.charter["S3"], who="Tomé", why="nothing to add", at=noon)
    early = report_by_phone(link, boat, LEAKS, kept("early", clock=noon), at=noon - HOUR)
    late = report_by_phone(link, boat, LEAKS, kept("late", clock=noon), at=noon)
    assert Odd.AFTER_HANDOVER not in flags_of(early)
    assert Odd.AFTER_HANDOVER in flags_of(late)


def test_a_later_charter_that_was_called_off_is_no_handover(cast, link, boat):
    cancel_charter(cast.charter["S3"], at=NOW)
    evening = datetime(2026, 5, 30, 18, 0, tzinfo=UTC)
    row = report_by_phone(link, boat, LEAKS, kept(clock=evening), at=evening)
    assert flags_of(row) == []


def test_of_a_charter_called_off_it_is_kept_and_flagged(cast, boat):
    link, _ = make_link(cast.charter["S3"], at=NOW)
    cancel_charter(cast.charter["S3"], at=NOW)
    row = report_by_phone(link, boat, LEAKS, kept(), at=NOW)
    assert flags_of(row) == [Odd.CALLED_OFF]
    filed = return_by_phone(link, boat, BACK, kept(), at=NOW)
    assert flags_of(filed) == [Odd.EARLY, Odd.CALLED_OFF]
    assert (filed.charter, filed.day, filed.filed_by) == (None, TODAY, "skipper")
    assert due_list_holds()


def test_a_return_before_the_charter_began_is_kept_of_the_boat_alone_and_flagged(cast, boat):
    link, _ = make_link(cast.charter["S3"], at=NOW - DAY)
    filed = return_by_phone(link, boat, BACK, kept(ago=DAY), at=NOW)
    assert (filed.charter, filed.day) == (None, TODAY - DAY)
    assert flags_of(filed) == [Odd.EARLY]


@pytest.mark.parametrize(
    ("ago", "day"),
    [
        (timedelta(0), date(2026, 5, 30)),  # sent two days after she came back
        (3 * DAY, date(2026, 5, 29)),
        (30 * DAY, date(2026, 5, 27)),  # no earlier than the link
    ],
)
def test_a_return_is_of_the_day_it_was_written_within_the_charter(cast, boat, ago, day):
    link, _ = make_link(cast.charter["S2"], at=NOW - DAY)
    sent = datetime(2026, 6, 1, 6, 0, tzinfo=UTC)
    clocks = {"made_at": sent - ago, "clock": sent}
    assert return_by_phone(link, boat, BACK, kept(**clocks), at=sent).day == day


@pytest.mark.parametrize(("day", "taken"), [(0, True), (89, True), (90, False), (91, False)])
def test_for_ninety_days_after_a_link_ended_what_was_kept_is_taken(link, boat, day, taken):
    at = link.ends_at + day * DAY
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        if taken:
            row = act(link, boat, what, kept(clock=at), at=at)
            assert Odd.ENDED in flags_of(row)
        else:
            with pytest.raises(LinkClosed) as shut:
                act(link, boat, what, kept(clock=at), at=at)
            assert shut.value.state is State.ENDED
    assert taken or nothing_kept()


def test_a_link_the_base_closed_takes_nothing_however_early(link, boat):
    revoke_link(link, at=NOW)
    stale = Link.objects.select_related("charter").get(pk=link.pk)
    for act, what in ((report_by_phone, LEAKS), (return_by_phone, BACK)):
        with pytest.raises(LinkClosed) as shut:
            act(stale, boat, what, kept(), at=NOW)
        assert shut.value.state is State.REVOKED
    assert nothing_kept()


def test_of_the_boat_a_charter_had_before_it_is_kept_and_flagged(cast, link, boat):
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    link = Link.objects.select_related("charter").get(pk=link.pk)
    before = report_by_phone(link, boat, LEAKS, kept("one"), at=NOW)
    now = report_by_phone(link, cast.boat["twice shy"], LEAKS, kept("two"), at=NOW)
    assert (before.boat, flags_of(before)) == (boat, [Odd.CHANGED])
    assert (now.boat, flags_of(now)) == (cast.boat["twice shy"], [])
    filed = return_by_phone(link, boat, BACK, kept(), at=NOW)
    assert (filed.boat, flags_of(filed)) == (boat, [Odd.CHANGED])


def test_what_the_door_found_odd_comes_first_and_each_is_said_once(link, boat):
    odd = (Odd.WRONG_BOAT, Odd.NOT_ABOARD, Odd.WRONG_BOAT)
    at = link.ends_at
    row = report_by_phone(link, boat, LEAKS, kept(odd=odd), at=at)
    assert flags_of(row)[:3] == [Odd.WRONG_BOAT, Odd.NOT_ABOARD, Odd.ENDED]
    assert len(flags_of(row)) == len(set(flags_of(row)))


# A return


def test_a_return_is_kept_once_with_its_dials_and_their_photos(cast, link, boat):
    main = cast.meter["sandpiper main"]
    told = replace(BACK, dials=[DialRead(main, Decimal("1225"))], answers={"water_in_bilge": True})
    photos = [Photo("dial", 10, meter=main), Photo("deck", 10)]
    for _ in range(3):
        filed = return_by_phone(link, boat, told, kept(photos=photos), at=NOW)
    assert Return.objects.count() == LinkReturn.objects.count() == 1
    assert (filed.charter.code, filed.day, filed.filed_by) == ("S2", TODAY, "skipper")
    rows = LinkReturnPhoto.objects.values_list("photo_id", "meter__name")
    assert list(rows) == [("dial", "main"), ("deck", None)]
    assert due_list_holds()


def test_what_was_chosen_stands_beside_the_words_of_a_return_and_raises_no_alarm(link, boat):
    told = replace(BACK, lost=[], defects=["Smell of gas"], beside=["Used: 1 × Smell of gas, tin of"])
    return_by_phone(link, boat, told, kept(), at=NOW)
    alarms = dict(Defect.objects.values_list("words", "alarm"))
    assert alarms["Smell of gas"]
    assert alarms["Used: 1 × Smell of gas, tin of"] == ""


def test_the_skippers_return_by_phone_ends_no_link(link, boat):
    ends_at = link.ends_at
    return_by_phone(link, boat, replace(BACK, filed_by="base"), kept(), at=NOW)
    link.refresh_from_db()
    assert link.ends_at == ends_at
    assert Charter.objects.get(code="S2").returns.get().filed_by == "skipper"
