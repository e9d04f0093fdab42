"""Photos that follow a report piece by piece: each whole, or refused with a reason, however it is cut."""

import zlib
from datetime import timedelta
from hashlib import sha256
from io import BytesIO
from zipfile import ZipFile

import pytest
from django.conf import settings as django_settings
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, Phase
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from fleet.charters.links import make_link
from fleet.papers import arriving
from fleet.papers.content import clean
from fleet.papers.models import Paper
from fleet.papers.store import read
from maintenance.defects.correcting import correct_defect, join_defect
from maintenance.defects.models import Defect, DefectPaper
from maintenance.turnaround.actions import take_back_return
from maintenance.turnaround.models import LinkDefect, LinkDefectPhoto, LinkReturnPhoto, Return
from maintenance.turnaround.moving import move_report
from tests.cast import NOW
from tests.papers import CORNERS, encoded, noted, opened, painted, pdf
from tests.phones import AS_PHONE, Phone, announced, how_far, is_whole, new_id, picture

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
MB = 1_000_000
ONE, TWO = new_id("photo one"), new_id("photo two")


@pytest.fixture
def link(cast, today_is):
    return make_link(cast.charter["S2"], at=NOW - 5 * DAY)


@pytest.fixture
def phone(cast, link):
    return Phone(link[1], boat=cast.boat["sandpiper"].pk)


@pytest.fixture
def announce(phone):
    """Sends a report with one photo that is to follow."""

    def announce(data: bytes, name: str = ONE, number: int = 1, **otherwise) -> None:
        answer = phone.report(number, photos=[announced(name, data, **otherwise)])
        assert answer.status_code == 201, answer.content

    return announce


def row_of(name: str = ONE) -> LinkDefectPhoto:
    return LinkDefectPhoto.objects.get(photo_id=name)


def half_here() -> list[str]:
    home = django_settings.PAPERS / "arriving"
    return sorted(path.name for path in home.iterdir()) if home.exists() else []


def is_kept(name: str, data: bytes) -> bool:
    """Whether a photo is there as the phone sent it, cleaned, with its report, and nothing half is left."""
    paper = row_of(name).paper
    return paper is not None and read(paper.sha256) == bytes(clean(data)) and half_here() == []


# Whole


def test_a_photo_comes_in_pieces_and_is_kept_with_its_report(cast, phone, announce):
    data = picture(1)
    announce(data)
    asked = phone.head(ONE)
    assert (asked.status_code, how_far(asked), asked["Upload-Length"]) == (204, 0, str(len(data)))
    assert asked["Upload-Complete"] == "?0"
    first = phone.patch(ONE, data[:1000])
    assert (first.status_code, how_far(first), is_whole(first), first.content) == (204, 1000, False, b"")
    assert how_far(phone.head(ONE)) == 1000
    assert first["Cache-Control"] == "no-store"
    last = phone.patch(ONE, data[1000:], 1000)
    assert (last.status_code, how_far(last), is_whole(last)) == (204, len(data), True)
    assert is_kept(ONE, data)
    assert DefectPaper.objects.get().defect == Defect.objects.get()
    assert Paper.objects.of_bases([cast.base.pk]).get() == row_of().paper
    assert phone.report(photos=[announced(ONE, data)]).json()["photos"][ONE]["whole"] is True


def test_a_photo_that_is_whole_answers_every_piece_with_that(phone, announce):
    data = picture(1)
    announce(data)
    phone.send_photo(ONE, data)
    for offset, piece in ((0, data), (0, b"else"), (77, b""), (len(data), b""), (10**9, data)):
        answer = phone.patch(ONE, piece, offset)
        assert (answer.status_code, is_whole(answer), how_far(answer)) == (204, True, len(data))
    assert is_whole(phone.head(ONE))
    assert Paper.objects.count() == DefectPaper.objects.count() == 1
    assert half_here() == []


def test_cut_in_the_middle_what_came_is_kept_and_built_upon(phone, announce):
    data = picture(1, 400, 300)
    assert len(data) > 60_001
    announce(data)
    for after in (0, 1, 20_000, 40_000):
        before = how_far(phone.head(ONE))
        phone.cut(ONE, data, before, after)
        assert how_far(phone.head(ONE)) == before + after
    assert not row_of().paper
    phone.send_photo(ONE, data)
    assert is_kept(ONE, data)


def test_the_line_cut_right_after_the_last_byte_an_empty_piece_ends_it(phone, announce):
    """The server was killed between the last byte and the looking: all is here and nobody took it."""
    data = picture(1)
    announce(data)
    arriving.Arriving(f"LinkDefectPhoto:{row_of().pk}:{ONE}", len(data)).add([data], offset=0)
    asked = phone.head(ONE)
    assert (how_far(asked), is_whole(asked)) == (len(data), False)
    assert is_whole(phone.patch(ONE, b"", len(data)))
    assert is_kept(ONE, data)


@pytest.mark.parametrize("offset", ["", "-1", "1.5", "x", " ", "9" * 40, "?"])
def test_a_piece_without_a_place_to_go_is_asked_for_one(phone, announce, offset):
    announce(picture(1))
    answer = phone.patch(ONE, b"abc", offset)
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")
    answer = phone.client.generic("PATCH", phone.at(f"photos/{ONE}/"), b"abc", AS_PHONE)
    assert answer.status_code == 400
    assert half_here() == []


@pytest.mark.parametrize("offset", [0, 999, 1001, 10**15])
def test_a_piece_from_elsewhere_is_told_where_to_go_on(phone, announce, offset):
    data = picture(1)
    announce(data)
    phone.patch(ONE, data[:1000])
    answer = phone.patch(ONE, data[1000:], offset)
    assert (answer.status_code, how_far(answer), is_whole(answer)) == (409, 1000, False)
    assert answer.json()["status"] == 409
    assert how_far(phone.head(ONE)) == 1000


def test_of_a_report_that_is_not_here_nothing_is_taken(phone):
    assert phone.head(ONE).status_code == 404
    answer = phone.patch(ONE, b"abc")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
    assert half_here() == []
    for name in ("x" * 300, "наш", "%00", "..%2f..%2fetc"):
        assert phone.head(name).status_code == 404


def test_the_bases_clock_and_the_cameras_turn_stay(phone, announce):
    """Orientation 6: the camera was held upright; TIFF 6.0, tag 274. Sent turned, kept as it was seen."""
    turned = encoded(painted(96, 64), exif=noted(6, taken="2026:05:28 12:00:00").tobytes())
    announce(turned)
    phone.send_photo(ONE, turned)
    paper = row_of().paper
    image = opened(read(paper.sha256))
    assert image.size == (64, 96)
    top_left = image.getpixel((4, 4))
    assert max(abs(a - b) for a, b in zip(top_left, CORNERS[2], strict=True)) < 40
    assert paper.taken_at.isoformat() == "2026-05-28T09:00:00+00:00"  # noon in Athens
    assert not image.getexif()


@pytest.mark.parametrize("sort", ["PNG", "WEBP", "HEIF"])
def test_other_sorts_of_photos_are_kept(phone, announce, sort):
    data = encoded(painted(), sort)
    announce(data)
    assert is_whole(phone.send_photo(ONE, data))
    assert row_of().paper.mime in ("image/jpeg", "image/png")


def test_a_paper_scanned_to_a_pdf_is_kept_as_in_the_form(phone, announce):
    announce(pdf())
    assert is_whole(phone.send_photo(ONE, pdf()))
    assert row_of().paper.mime == "application/pdf"


# No photo


def bomb() -> bytes:
    """A PNG of a few kB that would be 100 megapixels: 30 000 bytes of zeros squeezed a thousandfold."""
    width, height = 10_000, 10_000
    raw = zlib.compress(b"\0" * (1 + width // 8) * height, 9)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4) + kind + data + zlib.crc32(kind + data).to_bytes(4)

    head = chunk(b"IHDR", width.to_bytes(4) + height.to_bytes(4) + bytes([1, 0, 0, 0, 0]))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", raw) + chunk(b"IEND", b"")


def a_zip() -> bytes:
    out = BytesIO()
    with ZipFile(out, "w") as packed:
        packed.writestr("one.jpg", b"no picture")
    return out.getvalue()


NO_PHOTOS = {
    "a zip named .jpg": (a_zip, "a zip archive"),
    "a zip behind a picture": (lambda: picture(1) + a_zip(), "a zip archive behind a picture"),
    "a bomb": (bomb, "megapixels"),
    "cut short": (lambda: picture(1)[:-400], "broken or cut short"),
    "text": (lambda: b"I am a photo", "found text"),
    "a web page": (lambda: b"<!doctype html><script>alert(1)</script>", "a web page"),
    "a drawing": (lambda: b"<svg onload='alert(1)'></svg>", "an SVG drawing"),
    "a broken PDF": (lambda: pdf()[:-40], "broken or cut short"),
    "one byte": (lambda: b"x", "found text"),
}


@pytest.mark.parametrize("what", NO_PHOTOS)
def test_what_is_no_photo_is_refused_and_the_words_stay(phone, announce, what):
    make, said = NO_PHOTOS[what]
    data = make()
    announce(data)
    answer = phone.patch(ONE, data)
    assert (answer.status_code, answer["Content-Type"], is_whole(answer)) == (
        422,
        "application/problem+json",
        True,
    )
    assert answer.json()["detail"].endswith("Your words are kept.")
    assert said in row_of().refused
    assert (half_here(), Paper.objects.count(), Defect.objects.count()) == ([], 0, 1)
    assert phone.patch(ONE, data).json() == answer.json()
    refused = phone.report(photos=[announced(ONE, data)]).json()["photos"][ONE]["refused"]
    assert refused == answer.json()["detail"]


def test_a_phone_that_only_asks_how_far_a_refused_photo_is_comes_to_hear_why(phone, announce):
    """The answer to the last piece was cut, and an answer to HEAD has no words in it."""
    announce(b"I am a photo")
    phone.patch(ONE, b"I am a photo")
    asked = phone.head(ONE)
    assert (asked.status_code, how_far(asked), is_whole(asked)) == (204, 12, False)
    assert phone.patch(ONE, b"", how_far(asked)).status_code == 422


def test_an_announced_size_of_nothing_never_comes(phone):
    assert phone.report(photos=[{"id": ONE, "size": 0, "sha256": ""}]).status_code == 422


def test_a_photo_that_is_not_what_was_said_begins_again(phone, announce):
    data, spoiled = picture(1), picture(1)[:-1] + b"x"
    announce(data)
    answer = phone.patch(ONE, spoiled)
    assert (answer.status_code, how_far(answer), is_whole(answer)) == (409, 0, False)
    assert how_far(phone.head(ONE)) == 0
    assert phone.patch(ONE, picture(2)[: len(data)].ljust(len(data), b"-")).status_code == 409
    assert is_whole(phone.patch(ONE, data))
    assert is_kept(ONE, data)


def test_a_photo_that_comes_twice_the_same_and_not_as_was_said_is_looked_at_as_it_is(phone, announce):
    """The phone has no other: what it reckoned was wrong, and it would begin again for ever."""
    data = picture(1)
    announce(data, sha256="0" * 64)
    assert phone.patch(ONE, data).status_code == 409
    assert is_whole(phone.patch(ONE, data))
    assert is_kept(ONE, data)


@pytest.mark.parametrize("digest", ["", "no digest", "AB" * 32])
def test_without_a_digest_it_is_kept_by_what_it_is(phone, announce, digest):
    data = picture(1)
    told = sha256(data).hexdigest().upper() if digest == "AB" * 32 else digest
    announce(data, sha256=told)
    assert is_whole(phone.patch(ONE, data))


def test_more_than_was_announced_is_refused_for_good(phone, announce):
    data = picture(1)
    announce(data, size=len(data) - 1)
    answer = phone.patch(ONE, data)
    assert (answer.status_code, is_whole(answer)) == (413, False)
    assert "more came" in row_of().refused
    assert half_here() == []
    assert phone.patch(ONE, data[:-1]).status_code == 422


def test_less_than_was_announced_waits_for_the_rest(phone, announce):
    data = picture(1)
    announce(data, size=len(data) + 1)
    answer = phone.patch(ONE, data)
    assert (answer.status_code, how_far(answer), is_whole(answer)) == (204, len(data), False)
    assert not row_of().paper


def test_fifteen_megabytes_are_taken_and_a_byte_more_is_refused_at_once(phone, announce):
    data = picture(1)
    fits = data[:-2] + b"\xff\xfe" + b"\xff\xff" + b"\0" * 65_533
    fits = fits + b"\0" * (15 * MB - len(fits) - 2) + b"\xff\xd9"
    announce(fits)
    assert len(fits) == 15 * MB
    for offset in range(0, len(fits), 4 * MB):
        answer = phone.patch(ONE, fits[offset : offset + 4 * MB], offset)
    assert is_whole(answer)
    told = phone.report(2, photos=[{"id": TWO, "size": 15 * MB + 1, "sha256": ""}]).json()
    assert told["photos"][TWO] == {
        "offset": 15 * MB + 1,
        "whole": True,
        "refused": "This photo is too big: wanted at most 15 MB.",
    }
    answer = phone.patch(TWO, b"x" * 5000)
    assert (answer.status_code, is_whole(answer)) == (413, True)
    assert half_here() == []


def test_where_there_is_no_room_it_may_come_later(phone, announce, monkeypatch):
    data = picture(1)
    announce(data)
    announce(data, TWO, 2)
    phone.patch(ONE, data[:10])
    monkeypatch.setattr(arriving, "MOST_ARRIVING", len(data) + 1)
    answer = phone.patch(TWO, data)
    assert (answer.status_code, answer["Content-Type"]) == (503, "application/problem+json")
    assert int(answer["Retry-After"]) > 0
    assert is_whole(phone.patch(ONE, data[10:], 10))
    assert is_whole(phone.patch(TWO, data))


def test_after_a_restore_the_phone_sends_it_once_more(phone, announce):
    """What was half here is in no backup; the report is."""
    data = picture(1)
    announce(data)
    phone.patch(ONE, data[:500])
    for name in half_here():
        (django_settings.PAPERS / "arriving" / name).unlink()
    assert how_far(phone.head(ONE)) == 0
    assert phone.patch(ONE, data[500:], 500).status_code == 409
    phone.send_photo(ONE, data)
    assert is_kept(ONE, data)


# Whatever happened to the report meanwhile


def test_the_photo_of_a_corrected_report_goes_to_the_report_as_it_first_came_in(cast, phone, announce):
    announce(data := picture(1))
    first = Defect.objects.get()
    correct_defect(first, place=cast.place["sandpiper locker"], at=NOW)
    phone.send_photo(ONE, data)
    assert DefectPaper.objects.get().defect == first


def test_the_photo_of_a_report_that_was_joined_stays_with_it_and_is_shown(cast, phone, announce, engineer):
    announce(data := picture(1), ONE, 1)
    phone.report(2, words="Pump leaks again")
    joined, main = Defect.objects.order_by("pk")
    join_defect(joined, main, at=NOW)
    phone.send_photo(ONE, data)
    assert DefectPaper.objects.get().defect == joined
    page = engineer.get(reverse("defect", args=[cast.base.code, main.pk])).content.decode()
    assert row_of().paper.sha256 in page


def test_the_photo_of_a_report_that_was_moved_to_another_boat_goes_with_it(cast, phone, announce):
    announce(data := picture(1))
    moved = move_report(Defect.objects.get(), cast.boat["twice shy"], at=NOW)
    phone.send_photo(ONE, data)
    assert DefectPaper.objects.filter(defect=moved.case).count() == 1


def test_the_photo_of_a_report_whose_link_ended_since_is_kept(phone, announce, link, today_is):
    announce(data := picture(1))
    today_is.move_to(link[0].ends_at + 89 * DAY)
    phone.send_photo(ONE, data)
    assert is_kept(ONE, data)


def test_photos_of_a_report_open_to_the_base_and_to_the_link_and_to_nobody_else(
    cast, phone, announce, engineer, sign_in
):
    announce(data := picture(1))
    phone.send_photo(ONE, data)
    name = row_of().paper.sha256
    shown = engineer.get(reverse("paper", args=[cast.base.code, name]))
    assert shown.content == bytes(clean(data))
    assert phone.client.get(phone.at(f"papers/{name}/")).status_code == 200
    other = Phone(make_link(cast.charter["T1"], at=NOW)[1])
    assert other.client.get(other.at(f"papers/{name}/")).status_code == 404
    assert sign_in("stranger").get(reverse("paper", args=[cast.base.code, name])).status_code == 404
    assert f"papers/{name}/" in phone.client.get(phone.at("sent/")).content.decode()


# Photos of a return


@pytest.fixture
def returned(cast, phone):
    """A return with a dial that cannot be right, its photo, and one of the deck, both whole."""
    photos = {ONE: picture("dial"), TWO: picture("deck")}
    meter = cast.meter["sandpiper main"].pk
    phone.give_back(
        dials=[{"meter": meter, "name": "main", "hours": "99", "photo": ONE}],
        photos=[announced(name, data) for name, data in photos.items()],
    )
    for name, data in photos.items():
        assert is_whole(phone.send_photo(name, data))
    return {row.photo_id: row for row in LinkReturnPhoto.objects.select_related("paper", "meter")}


def test_photos_of_a_return_are_shown_to_the_base_with_it(cast, phone, returned, engineer):
    filed = Return.objects.get()
    page = engineer.get(reverse("filed", args=[cast.base.code, filed.pk])).content.decode()
    for row in returned.values():
        assert reverse("paper", args=[cast.base.code, row.paper.sha256]) in page
        assert engineer.get(reverse("paper", args=[cast.base.code, row.paper.sha256])).status_code == 200
    assert not DefectPaper.objects.exists()


def test_the_photo_of_a_dial_stands_with_its_reading_in_doubt(cast, returned, engineer):
    page = engineer.get(reverse("week", args=[cast.base.code])).content.decode()
    reading = Return.objects.get().readings.get().reading
    doubt = page.partition(f'id="reading-{reading.pk}"')[2].partition("</article>")[0]
    assert "99 h" in doubt
    assert returned[ONE].paper.sha256 in doubt
    assert returned[TWO].paper.sha256 not in doubt


def test_photos_of_a_return_open_to_its_link_and_are_in_the_api(cast, phone, returned, program):
    for row in returned.values():
        assert phone.client.get(phone.at(f"papers/{row.paper.sha256}/")).status_code == 200
        assert row.paper.sha256 in phone.client.get(phone.at("sent/")).content.decode()
    told = program().get(f"returns/{Return.objects.get().pk}/").json()
    assert told["papers"] == [row.paper.sha256 for row in returned.values()]


def test_a_photo_of_a_return_that_was_taken_back_is_kept_all_the_same(cast, phone, engineer):
    data = picture("dial")
    phone.give_back(photos=[announced(ONE, data)])
    filed = Return.objects.get()
    take_back_return(filed, at=NOW)
    assert is_whole(phone.send_photo(ONE, data))
    paper = LinkReturnPhoto.objects.get().paper
    page = engineer.get(reverse("filed", args=[cast.base.code, filed.pk])).content.decode()
    assert paper.sha256 in page


def test_what_is_asked_of_a_photo_costs_few_queries(phone, announce):
    announce(picture(1))
    with CaptureQueriesContext(connection) as asked:
        phone.head(ONE)
    assert len(asked) <= 6


# Any order


class AnyOrder(RuleBasedStateMachine):
    """Two tabs of one phone send two reports with three photos in any order, as often as they like."""

    phone: Phone
    names = (new_id("a"), new_id("b"), new_id("c"))
    pictures = {name: picture(name, 12, 8) for name in names} | {new_id("c"): b"I am no photo at all"}
    of = {0: names[:2], 1: names[2:]}

    @initialize()
    def a_savepoint(self) -> None:
        self.story = transaction.atomic()
        self.story.__enter__()
        self.sent: set[int] = set()
        self.offsets = dict.fromkeys(self.names, 0)

    def teardown(self) -> None:
        for number in (0, 1):
            self.the_words_are_sent(number)
        for name in self.names:
            self.phone.send_photo(name, self.pictures[name])
        self.all_is_whole_or_refused()
        transaction.set_rollback(True)
        self.story.__exit__(None, None, None)

    @rule(number=st.sampled_from([0, 1]))
    def the_words_are_sent(self, number: int) -> None:
        photos = [announced(name, self.pictures[name]) for name in self.of[number]]
        answer = self.phone.report(number, photos=photos)
        assert answer.status_code in (200, 201)
        assert set(answer.json()["photos"]) == set(self.of[number])
        self.sent.add(number)

    @rule(name=st.sampled_from(names))
    def one_tab_asks_how_far_it_is(self, name: str) -> None:
        answer = self.phone.head(name)
        assert answer.status_code == (204 if self.is_sent(name) else 404)
        self.offsets[name] = how_far(answer) if self.is_sent(name) else 0

    @rule(name=st.sampled_from(names), after=st.integers(0, 700))
    def one_tab_goes_on_from_what_it_was_told_and_is_cut(self, name: str, after: int) -> None:
        answer = self.phone.cut(name, self.pictures[name], self.offsets[name], after)
        assert answer.status_code in ((204, 409, 422) if self.is_sent(name) else (404,))

    @rule(name=st.sampled_from(names))
    def the_other_tab_sends_all_of_it_from_the_start(self, name: str) -> None:
        answer = self.phone.patch(name, self.pictures[name], 0)
        assert answer.status_code in ((204, 409, 422) if self.is_sent(name) else (404,))

    @invariant()
    def each_report_is_there_once(self) -> None:
        ids = list(Defect.objects.values_list("client_id", flat=True))
        assert sorted(ids) == sorted(new_id(number) for number in self.sent)

    @invariant()
    def a_photo_is_kept_whole_or_not_at_all(self) -> None:
        for row in LinkDefectPhoto.objects.select_related("paper"):
            assert not (row.paper and row.refused)
            if row.paper:
                assert read(row.paper.sha256) == bytes(clean(self.pictures[row.photo_id]))

    def is_sent(self, name: str) -> bool:
        return any(name in self.of[number] for number in self.sent)

    def all_is_whole_or_refused(self) -> None:
        rows = {row.photo_id: row for row in LinkDefectPhoto.objects.all()}
        assert set(rows) == set(self.names)
        assert [bool(rows[name].paper_id) for name in self.names] == [True, True, False]
        assert [bool(rows[name].refused) for name in self.names] == [False, False, True]
        assert LinkDefect.objects.count() == 2
        assert DefectPaper.objects.count() == 2
        assert half_here() == []


def test_in_any_order_from_two_tabs_and_cut_at_any_byte_each_is_there_once_and_whole(phone):
    machine = type("OfThisPhone", (AnyOrder,), {"phone": phone})
    run_state_machine_as_test(
        machine,
        settings=hypothesis_settings(
            max_examples=12,
            stateful_step_count=20,
            derandomize=True,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
