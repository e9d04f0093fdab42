"""What a skipper's link lets in: of its own charter only, once each, so many an hour, or nothing."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.charters.links import State, make_link, revoke_link
from fleet.charters.models import Link
from fleet.papers.models import Paper
from fleet.papers.refused import PaperRefused
from fleet.people import roles
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect
from maintenance.planning.actions import cancel_charter, change_boat
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import hands
from maintenance.turnaround.actions import DialRead, Report, file_return, take_back_return
from maintenance.turnaround.by_link import Told, report_by_link, return_by_link
from maintenance.turnaround.let_in import MOST_AN_HOUR, MOST_LINES, LinkClosed, NotByLink, TooManyForNow
from maintenance.turnaround.models import LinkDefect, LinkDefectMove, LinkReturn, Return
from tests.cast import NOW, TODAY, due_list_holds
from tests.papers import encoded, painted

HOUR = timedelta(hours=1)
LEAKS = Told(words="Heads pump leaks")
BACK = Report(filed_by="skipper", day=TODAY, reporter="A. Skipper")


@pytest.fixture
def link(cast) -> Link:
    return make_link(cast.charter["S2"], at=NOW)[0]


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


def kit(cast, quantity: str = "1", place: str = "sandpiper locker") -> SpareUsed:
    return SpareUsed(cast.spare["impeller kit"], cast.place[place], Decimal(quantity))


def nothing_kept() -> bool:
    return not (Defect.objects.exists() or Return.objects.exists() or LinkDefectMove.objects.exists())


def test_a_report_is_kept_with_all_that_was_said_of_it(cast, link, boat):
    told = Told(
        words="Αντλία: διαρροή",
        works="sometimes",
        risk_now=True,
        place=cast.place["sandpiper locker"],
        component=cast.part["sandpiper impeller"],
        photos=[encoded(painted()), encoded(painted(64, 96))],
        used=[kit(cast)],
        reporter="Mate",
    )
    defect = report_by_link(link, boat, told, at=NOW)
    defect.refresh_from_db()
    assert (defect.boat, defect.charter, defect.words) == (boat, cast.charter["S2"], "Αντλία: διαρροή")
    assert (defect.works, defect.risk_now, defect.reporter) == ("sometimes", True, "Mate")
    assert (defect.place, defect.component) == (told.place, told.component)
    assert (defect.recorded_at, defect.recorded_by, defect.came_by.link) == (NOW, None, link)
    papers = Paper.objects.of_bases([cast.base.pk]).filter(pk__in=defect.papers.values("paper"))
    assert papers.count() == 2
    move = defect.came_by.moves.get().move
    assert (move.why, move.from_place, move.quantity) == ("used", told.place, 1)
    assert hands([told.place.pk])[cast.spare["impeller kit"].pk, told.place.pk] == 0


def test_a_report_without_a_name_is_the_charters_skippers(cast, link, boat):
    assert report_by_link(link, boat, LEAKS, at=NOW).reporter == cast.charter["S2"].skipper != ""


def test_a_skippers_return_is_kept_as_any_and_the_due_list_follows(cast, link, boat):
    dials = [DialRead(cast.meter["sandpiper main"], Decimal("1225"))]
    said = replace(BACK, dials=dials, answers={"water_in_bilge": True}, used=[kit(cast)], lost=["Torch"])
    filed = return_by_link(link, boat, said, at=NOW)
    assert (filed.filed_by, filed.charter, filed.recorded_by) == ("skipper", cast.charter["S2"], None)
    assert filed.came_by.link == link
    assert filed.followed["moved"]  # 1 225 h is past the oil's 1 220
    assert filed.defects.count() == 2
    assert due_list_holds()


def test_sent_twice_it_is_kept_once_and_the_later_copy_changes_nothing(cast, link, boat):
    first = report_by_link(link, boat, LEAKS, at=NOW, client_id="tap")
    again = report_by_link(link, boat, Told(words="Else", used=[kit(cast)]), at=NOW + HOUR, client_id="tap")
    assert again == first
    filed = return_by_link(link, boat, BACK, at=NOW, client_id="tap")
    assert return_by_link(link, boat, BACK, at=NOW + HOUR, client_id="tap") == filed
    assert (LinkDefect.objects.count(), LinkReturn.objects.count()) == (1, 1)
    assert not LinkDefectMove.objects.exists()


def test_an_id_that_is_somebody_elses_is_refused(cast, link, boat):
    other, _ = make_link(cast.charter["S2"], at=NOW)
    report_by_link(other, boat, LEAKS, at=NOW, client_id="theirs")
    report_defect(boat, words="Leaks", at=NOW, client_id="the base's")
    file_return(boat, cast.charter["S2"], BACK, at=NOW, client_id="the base's")
    return_by_link(other, boat, BACK, at=NOW, client_id="theirs")
    for client_id in ("theirs", "the base's"):
        with pytest.raises(NotByLink, match="client_id"):
            report_by_link(link, boat, LEAKS, at=NOW, client_id=client_id)
        with pytest.raises(NotByLink, match="client_id"):
            return_by_link(link, boat, BACK, at=NOW, client_id=client_id)
    assert not LinkDefect.objects.filter(link=link).exists()
    assert not LinkReturn.objects.filter(link=link).exists()


def filled(link, boat, count: int = MOST_AN_HOUR) -> None:
    for n in range(count):
        report_by_link(link, boat, Told(words=f"Leak {n}"), at=NOW, client_id=f"r{n}")


def test_the_thirteenth_within_an_hour_is_refused_and_a_copy_of_an_earlier_one_is_not(link, boat):
    filled(link, boat, MOST_AN_HOUR - 1)
    return_by_link(link, boat, BACK, at=NOW)
    other = replace(BACK, lost=["Torch"])
    for act, what in ((report_by_link, LEAKS), (return_by_link, other)):
        with pytest.raises(TooManyForNow):
            act(link, boat, what, at=NOW + HOUR - timedelta(seconds=1), client_id="new")
    assert LinkDefect.objects.count() == MOST_AN_HOUR - 1
    assert report_by_link(link, boat, LEAKS, at=NOW, client_id="r0").client_id == "r0"
    assert report_by_link(link, boat, Told(words="Leak 3"), at=NOW, client_id="new").client_id == "r3"
    report_by_link(link, boat, LEAKS, at=NOW + HOUR)


def test_a_report_of_danger_goes_where_others_wait_but_not_without_end(link, boat):
    filled(link, boat)
    for n in range(MOST_AN_HOUR):
        report_by_link(link, boat, Told(words=f"Water comes in {n}", risk_now=True), at=NOW)
    with pytest.raises(TooManyForNow):
        report_by_link(link, boat, Told(words="Water comes in still", risk_now=True), at=NOW)


def test_the_same_words_from_a_page_gone_back_to_are_one_report_with_the_photos_of_both(link, boat):
    one, two = encoded(painted()), encoded(painted(60, 40))
    first = report_by_link(link, boat, replace(LEAKS, photos=[one]), at=NOW, client_id="a")
    again = report_by_link(link, boat, replace(LEAKS, photos=[one, two]), at=NOW, client_id="b")
    assert again == first
    assert first.papers.count() == 2
    assert report_by_link(link, boat, replace(LEAKS, works="no"), at=NOW) != first
    assert report_by_link(link, boat, LEAKS, at=NOW + HOUR) != first


def test_a_spare_used_is_counted_off_once_when_its_report_is_sent_again(cast, link, boat):
    told = replace(LEAKS, used=[kit(cast)])
    for client_id in ("a", "b"):
        report_by_link(link, boat, told, at=NOW, client_id=client_id)
    assert LinkDefectMove.objects.count() == 1


def test_the_same_return_from_a_page_gone_back_to_is_one(cast, link, boat):
    dials = [DialRead(cast.meter["sandpiper main"], Decimal("1200.5"))]
    told = replace(BACK, dials=dials, lost=["Torch"], answers={"water_in_bilge": True}, used=[kit(cast)])
    first = return_by_link(link, boat, told, at=NOW, client_id="a")
    assert return_by_link(link, boat, told, at=NOW + HOUR / 2, client_id="b") == first
    assert return_by_link(link, boat, replace(told, lost=["Fender"]), at=NOW) != first
    assert LinkReturn.objects.count() == 2


def test_each_link_has_an_hour_of_its_own(cast, link, boat):
    filled(link, boat)
    other, _ = make_link(cast.charter["S2"], at=NOW)
    report_by_link(other, boat, LEAKS, at=NOW)


def revoked(cast, link):
    revoke_link(link, at=NOW)


def called_off(cast, link):
    cancel_charter(cast.charter["S3"], at=NOW)


def ended(cast, link):
    Link.objects.update(ends_at=NOW)


@pytest.mark.parametrize(
    ("close", "state"), [(revoked, State.REVOKED), (called_off, State.CANCELLED), (ended, State.ENDED)]
)
def test_a_link_that_was_closed_meanwhile_lets_nothing_in(cast, boat, close, state):
    """The link was read before: what counts is how it stands when the report is kept."""
    link, _ = make_link(cast.charter["S3"], at=NOW)
    stale = Link.objects.select_related("charter").get(pk=link.pk)
    close(cast, link)
    for act, what in ((report_by_link, LEAKS), (return_by_link, BACK)):
        with pytest.raises(LinkClosed) as shut:
            act(stale, boat, what, at=NOW)
        assert shut.value.state is state
    assert nothing_kept()


def test_another_boat_is_not_reached_nor_another_boats_places_parts_and_spares(cast, link, boat):
    twice, far = cast.boat["twice shy"], cast.boat["far cry"]
    for other in (twice, far):
        with pytest.raises(NotByLink, match="boat: S2 did not have"):
            report_by_link(link, other, LEAKS, at=NOW)
        with pytest.raises(NotByLink, match="boat: S2 did not have"):
            return_by_link(link, other, BACK, at=NOW)
    for name in ("store", "far store", "far cry locker", "twice shy locker"):
        with pytest.raises(NotByLink, match="place"):
            report_by_link(link, boat, replace(LEAKS, place=cast.place[name]), at=NOW)
        with pytest.raises(NotByLink, match="spares"):
            report_by_link(link, boat, replace(LEAKS, used=[kit(cast, place=name)]), at=NOW)
        with pytest.raises(NotByLink, match="spares"):
            return_by_link(link, boat, replace(BACK, used=[kit(cast, place=name)]), at=NOW)
    with pytest.raises(NotByLink, match="component"):
        report_by_link(link, boat, replace(LEAKS, component=cast.part["far cry engine-oil"]), at=NOW)
    assert nothing_kept()


@pytest.mark.parametrize("quantity", ["0", "-1", "10000000", "1e30"])
def test_a_number_that_cannot_be_is_refused(cast, link, boat, quantity):
    with pytest.raises(NotByLink, match="spares: wanted how many"):
        report_by_link(link, boat, replace(LEAKS, used=[kit(cast, quantity)]), at=NOW)
    assert nothing_kept()


def test_a_report_needs_words_and_not_too_many_and_takes_twelve_photos(link, boat):
    for words in ("", " \n ", "x" * 20_001):
        with pytest.raises(NotByLink, match="words"):
            report_by_link(link, boat, Told(words=words), at=NOW)
    with pytest.raises(NotByLink, match="photos"):
        report_by_link(link, boat, replace(LEAKS, photos=[b"one"] * 13), at=NOW)
    assert nothing_kept()
    report_by_link(link, boat, Told(words="x" * 20_000), at=NOW)


def test_a_photo_that_is_none_keeps_the_whole_report_out(link, boat):
    with pytest.raises(PaperRefused):
        report_by_link(link, boat, replace(LEAKS, photos=[b"PK\x03\x04 a zip"]), at=NOW)
    assert nothing_kept()


def test_a_return_by_link_is_the_skippers_and_not_endless(link, boat):
    with pytest.raises(NotByLink, match="filed_by"):
        return_by_link(link, boat, replace(BACK, filed_by="base"), at=NOW)
    with pytest.raises(NotByLink, match="at most"):
        return_by_link(link, boat, replace(BACK, lost=["Torch"] * (MOST_LINES + 1)), at=NOW)
    assert nothing_kept()


def test_what_a_link_opens_is_the_table_of_roles(link, boat, monkeypatch):
    monkeypatch.setitem(roles.MAY, "report a defect", frozenset({roles.ENGINEER}))
    monkeypatch.setitem(roles.MAY, "record a return", frozenset({roles.ENGINEER}))
    with pytest.raises(NotByLink, match="does not open"):
        report_by_link(link, boat, LEAKS, at=NOW)
    with pytest.raises(NotByLink, match="does not open"):
        return_by_link(link, boat, BACK, at=NOW)
    assert nothing_kept()


def test_a_charter_that_changed_boats_reports_of_each_it_had(cast, link, boat):
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    for ship in (boat, cast.boat["twice shy"]):
        assert report_by_link(link, ship, LEAKS, at=NOW).boat == ship
    assert due_list_holds()


def test_the_bases_check_out_ends_the_links_24_hours_later_and_undone_it_does_not(cast, link, boat):
    agreed = link.ends_at
    checked = file_return(boat, cast.charter["S2"], replace(BACK, filed_by="base"), at=NOW)
    link.refresh_from_db()
    assert link.ends_at == NOW + 24 * HOUR
    report_by_link(link, boat, LEAKS, at=NOW + 23 * HOUR)
    take_back_return(checked, at=NOW)
    link.refresh_from_db()
    assert link.ends_at == agreed


def test_with_two_check_outs_the_links_stay_ended_until_both_are_undone(cast, link, boat):
    first, second = (
        file_return(boat, cast.charter["S2"], replace(BACK, filed_by="base"), at=NOW) for _ in range(2)
    )
    take_back_return(first, at=NOW)
    link.refresh_from_db()
    assert link.ends_at == NOW + 24 * HOUR
    take_back_return(second, at=NOW)
    link.refresh_from_db()
    assert link.ends_at > NOW + 24 * HOUR


def test_the_skippers_own_return_and_the_check_out_of_an_earlier_boat_end_no_link(cast, link, boat):
    agreed = link.ends_at
    return_by_link(link, boat, BACK, at=NOW)
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    file_return(boat, link.charter.__class__.objects.get(code="S2"), replace(BACK, filed_by="base"), at=NOW)
    link.refresh_from_db()
    assert link.ends_at == agreed


def test_a_return_before_she_went_out_is_refused(cast):
    link, _ = make_link(cast.charter["S3"], at=NOW)
    with pytest.raises(ValueError, match="when S3 went out"):
        return_by_link(link, cast.boat["sandpiper"], replace(BACK, day=date(2026, 5, 28)), at=NOW)
    assert nothing_kept()
