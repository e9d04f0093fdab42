"""What a phone sends by two tabs at the same moment, on connections of their own, on both databases."""

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from hashlib import sha256
from typing import Any

import pytest

from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Link
from fleet.papers.arriving import TooLong, WrongOffset
from fleet.papers.content import clean
from fleet.papers.models import Paper
from fleet.papers.store import read
from maintenance.defects.models import Defect, DefectPaper
from maintenance.turnaround.actions import Report
from maintenance.turnaround.by_link import Told
from maintenance.turnaround.by_phone import Kept, Photo, report_by_phone, return_by_phone
from maintenance.turnaround.let_in import MOST_AN_HOUR, LinkClosed
from maintenance.turnaround.models import LinkDefect, LinkDefectPhoto, Return
from maintenance.turnaround.moving import move_report
from maintenance.turnaround.photos_to_come import expected, take_piece
from tests.cast import NOW, TODAY, Cast, assemble
from tests.keeping.test_at_once import at_once, rounds
from tests.once_more import once_more
from tests.phones import picture

DATA = picture("at once", 120, 90)
PHOTO = Photo("photo", len(DATA), sha256(DATA).hexdigest())
BACK = Report(filed_by="skipper", day=TODAY, lost=["Torch"])


@pytest.fixture
def cast(book) -> Cast:
    """The cast in a database of its own, where what is written is kept at once."""
    return once_more("cast", assemble)


@pytest.fixture
def link(cast) -> Link:
    return make_link(cast.charter["S2"], at=NOW - timedelta(days=5))[0]


def sends(cast: Cast, link: Link, name: str, *photos: Photo, words: str = "Leaks") -> Callable[[], Defect]:
    kept = Kept(name, NOW, NOW, photos)
    return lambda: report_by_phone(link, cast.boat["sandpiper"], Told(words), kept, at=NOW)


def goes_on(link: Link, *, length: int = 1000, name: str = "photo") -> Callable[[], Any]:
    """A tab that sends a photo from where the base has it until it is whole."""

    def tab() -> Any:
        row = expected(link, name)
        offset = 0
        while True:
            pieces = [DATA[n : n + length] for n in range(offset, len(DATA), length)]
            try:
                got = take_piece(row, pieces, offset=offset, at=NOW)
            except WrongOffset as wrong:
                offset = wrong.offset
                continue
            if got.is_whole:
                return got
            offset = got.offset

    return tab


@rounds
def test_one_report_sent_four_times_at_once_is_one_with_its_photo(cast, link, n):
    kept = at_once(*[sends(cast, link, "report", PHOTO)] * 4)
    assert {type(one) for one in kept} == {Defect}, kept
    assert len({one.pk for one in kept}) == Defect.objects.count() == LinkDefect.objects.count() == 1
    assert LinkDefectPhoto.objects.count() == 1


def test_two_tabs_that_each_add_a_photo_to_one_report_are_both_heard(cast, link):
    other = Photo("other", 10)
    kept = at_once(sends(cast, link, "report", PHOTO), sends(cast, link, "report", PHOTO, other))
    assert {type(one) for one in kept} == {Defect}, kept
    assert sorted(LinkDefectPhoto.objects.values_list("number", "photo_id")) == [(1, "photo"), (2, "other")]


def test_one_return_sent_four_times_at_once_is_one(cast, link):
    kept = Kept("return", NOW, NOW)
    act = partial(return_by_phone, link, cast.boat["sandpiper"], BACK, kept, at=NOW)
    assert {type(one) for one in at_once(*[act] * 4)} == {Return}
    assert Return.objects.count() == Defect.objects.count() == 1


def test_where_the_hour_has_room_for_one_of_four_reports_one_is_kept(cast, link):
    for n in range(MOST_AN_HOUR - 1):
        sends(cast, link, f"report {n}")()
    came = at_once(*[sends(cast, link, f"late {n}") for n in range(4)])
    assert sorted(type(one).__name__ for one in came) == ["Defect", *["TooManyForNow"] * 3], came
    assert LinkDefect.objects.count() == MOST_AN_HOUR


@rounds
def test_a_photo_sent_by_four_tabs_at_once_is_kept_once_and_whole(cast, link, n, papers_here):
    sends(cast, link, "report", PHOTO)()
    got = at_once(*[goes_on(link, length=500 + n) for n in range(4)])
    assert all(one.is_whole and not one.refused for one in got), got
    row = LinkDefectPhoto.objects.select_related("paper").get()
    assert read(row.paper.sha256) == bytes(clean(DATA))
    assert Paper.objects.count() == DefectPaper.objects.count() == 1
    assert list((papers_here / "arriving").iterdir()) == []


def test_the_last_piece_sent_by_four_tabs_at_once_ends_it_once(cast, link, papers_here):
    sends(cast, link, "report", PHOTO)()
    take_piece(expected(link, "photo"), [DATA[:-1]], offset=0, at=NOW)
    rows = [expected(link, "photo") for _ in range(4)]

    def last(row: LinkDefectPhoto) -> Callable[[], Any]:
        return lambda: take_piece(row, [DATA[-1:]], offset=len(DATA) - 1, at=NOW)

    came = at_once(*[last(row) for row in rows])
    assert {type(one).__name__ for one in came} <= {"Got", "WrongOffset"}, came
    assert any(getattr(one, "is_whole", False) for one in came)
    assert Paper.objects.count() == DefectPaper.objects.count() == 1
    assert not LinkDefectPhoto.objects.exclude(refused="").exists()
    assert list((papers_here / "arriving").iterdir()) == []


def test_a_tab_that_knows_of_nothing_spoils_no_photo_that_is_whole(cast, link, papers_here):
    """It asked before the other tab ended the photo: nothing is here then, and it sends from the start."""
    sends(cast, link, "report", PHOTO)()
    slow, spoiling = expected(link, "photo"), expected(link, "photo")
    goes_on(link)()
    with pytest.raises(TooLong):
        take_piece(spoiling, [DATA, b"more"], offset=0, at=NOW)
    assert take_piece(slow, [DATA[:100]], offset=0, at=NOW).is_whole
    row = LinkDefectPhoto.objects.get()
    assert row.paper is not None
    assert row.refused == ""
    assert list((papers_here / "arriving").iterdir()) == []


def test_where_the_other_tab_was_the_first_to_have_it_all_this_one_hears_that_it_is_whole(cast, link):
    sends(cast, link, "report", PHOTO)()

    def all_of_it():
        yield DATA
        goes_on(link)()  # finds all of it here, and ends it

    assert take_piece(expected(link, "photo"), all_of_it(), offset=0, at=NOW).is_whole
    assert LinkDefectPhoto.objects.get().paper is not None


@rounds
def test_a_report_moved_while_its_photo_ends_takes_it_along(cast, link, n):
    report = sends(cast, link, "report", PHOTO)()
    move = partial(move_report, report, cast.boat["twice shy"], at=NOW)
    moved, got = at_once(move, goes_on(link))
    assert got.is_whole
    assert DefectPaper.objects.filter(defect=moved.case).count() == 1


def test_a_link_closed_at_the_same_moment_lets_it_in_whole_or_not_at_all(cast, link):
    came, _ = at_once(sends(cast, link, "report", PHOTO), lambda: revoke_link(link, at=NOW))
    assert type(came) in (Defect, LinkClosed)
    assert LinkDefectPhoto.objects.count() == LinkDefect.objects.count() == isinstance(came, Defect)
