"""What goes squeezed over the wire, what goes as it is, and that a file's address says what is in it."""

import gzip
import os
from pathlib import Path

import brotli
import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpResponse, StreamingHttpResponse
from django.templatetags.static import static
from django.test import Client, RequestFactory
from django.urls import reverse

from fleet.pages.squeezing import Squeezing
from fleet.papers.actions import keep_paper
from fleet.papers.store import place_of
from tests.cast import NOW
from tests.papers import encoded, painted

SQUEEZED = {"accept-encoding": "gzip, deflate, br"}
SHEET = "fleet/almanac.css"
LIES_AT = Path(finders.find(SHEET))


@pytest.fixture
def sheet():
    """The style sheet, asked for with some headers."""
    return lambda how="get", **headers: getattr(Client(), how)(
        static(SHEET), headers={name.replace("_", "-"): value for name, value in headers.items()}
    )


def body(answer) -> bytes:
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def test_a_page_goes_squeezed_to_who_takes_it_so_and_says_that_it_depends(engineer):
    page = reverse("week", args=["harbour"])
    squeezed, plain = engineer.get(page, headers=SQUEEZED), engineer.get(page)
    assert squeezed["Content-Encoding"] == "gzip"
    assert "Content-Encoding" not in plain
    assert "Accept-Encoding" in squeezed["Vary"]
    assert "Accept-Encoding" in plain["Vary"]
    assert b"<h1>" in gzip.decompress(squeezed.content)
    assert int(squeezed["Content-Length"]) == len(squeezed.content) < len(plain.content) / 2


def test_two_answers_of_the_same_page_differ_in_length():
    """The random bytes that hide how well a guess at a secret could be squeezed."""
    words = b"one row of words " * 200
    request = RequestFactory().get("/", headers=SQUEEZED)
    lengths = {len(Squeezing(lambda _: HttpResponse(words))(request).content) for _ in range(40)}
    assert len(lengths) > 5


def test_the_style_sheet_goes_squeezed_and_whole(sheet):
    answer = sheet(accept_encoding="gzip")
    assert (answer.status_code, answer["Content-Encoding"]) == (200, "gzip")
    assert answer["Content-Type"].startswith("text/css")
    assert int(answer["Content-Length"]) == len(answer.content) < LIES_AT.stat().st_size / 3
    assert gzip.decompress(answer.content) == LIES_AT.read_bytes()
    plain = sheet()
    assert "Content-Encoding" not in plain
    assert body(plain) == LIES_AT.read_bytes()
    assert plain["Vary"] == answer["Vary"] == "Accept-Encoding"


def test_a_squeezed_file_has_a_mark_of_its_own_and_is_not_sent_twice(sheet):
    plain, squeezed = sheet(), sheet(accept_encoding="gzip")
    assert plain["ETag"].startswith('"')
    assert squeezed["ETag"] == f"W/{plain['ETag']}"
    assert body(plain) == LIES_AT.read_bytes()
    for takes, known in (("gzip", squeezed["ETag"]), ("gzip", plain["ETag"]), ("identity", plain["ETag"])):
        again = sheet(accept_encoding=takes, if_none_match=known)
        assert (again.status_code, body(again)) == (304, b"")
        assert again["Vary"] == "Accept-Encoding"
    assert sheet(accept_encoding="gzip", if_none_match=squeezed["ETag"])["ETag"] == squeezed["ETag"]
    since = sheet(accept_encoding="gzip", if_modified_since=squeezed["Last-Modified"])
    assert since.status_code == 304
    assert sheet(accept_encoding="gzip", if_none_match='W/"other"').status_code == 200


def test_a_head_says_what_a_get_would_and_sends_nothing(sheet):
    head = sheet("head", accept_encoding="gzip")
    get = sheet(accept_encoding="gzip")
    assert (head.status_code, body(head)) == (200, b"")
    for name in ("Content-Encoding", "ETag", "Vary", "Content-Type", "Last-Modified"):
        assert head[name] == get[name]
    assert "Content-Length" not in head
    plain = sheet("head")
    assert int(plain["Content-Length"]) == LIES_AT.stat().st_size


def test_a_part_of_a_file_is_of_the_bytes_as_they_lie(sheet):
    part = sheet(accept_encoding="gzip", range="bytes=10-29")
    assert part.status_code == 206
    assert "Content-Encoding" not in part
    assert part["ETag"].startswith('"')
    assert body(part) == LIES_AT.read_bytes()[10:30]
    beyond = sheet(accept_encoding="gzip", range="bytes=99999999-")
    assert beyond.status_code == 416


@pytest.mark.parametrize(
    ("takes", "gets"),
    [
        ("gzip, deflate, br, zstd", "br"),
        ("gzip, br;q=0", "gzip"),
        ("gzip;q=0.0", ""),
        ("br; q=0.5", "br"),
        ("deflate", ""),
        ("*", ""),
    ],
)
def test_a_file_goes_by_the_tightest_way_that_is_taken(sheet, takes, gets):
    """RFC 9110, 12.5.3: a weight of 0 is not acceptable."""
    answer = sheet(accept_encoding=takes)
    assert answer.get("Content-Encoding", "") == gets
    unpacked = {"br": brotli.decompress, "gzip": gzip.decompress, "": bytes}[gets]
    assert unpacked(body(answer)) == LIES_AT.read_bytes()


def test_a_file_that_changed_is_squeezed_again(tmp_path, settings):
    """By where it lies and when it was changed, so that no older one is sent for ever."""
    file = tmp_path / "words.css"
    settings.STATICFILES_DIRS = [tmp_path]
    settings.WHITENOISE_AUTOREFRESH = True
    addresses = []
    for round_, text in enumerate(("a { top: 0 }\n" * 40, "b { top: 1 }\n" * 40)):
        file.write_text(text)
        os.utime(file, (1_000_000_000 + round_, 1_000_000_000 + round_))
        answer = Client().get("/static/words.css", headers=SQUEEZED)
        assert brotli.decompress(answer.content).decode() == text
        addresses.append(static("words.css"))
    assert addresses[0] != addresses[1]


def test_a_photo_is_never_squeezed(cast, engineer):
    photo = keep_paper(encoded(painted(600, 400)), base=cast.base, at=NOW)
    answer = engineer.get(reverse("paper", args=["harbour", photo.sha256]), headers=SQUEEZED)
    assert answer["Content-Type"] == "image/jpeg"
    assert "Content-Encoding" not in answer
    assert answer["ETag"] == f'"{photo.sha256}"'
    assert answer.content == place_of(photo.sha256).read_bytes()


def test_an_answer_of_the_api_keeps_the_mark_that_if_match_takes(cast, program):
    """RFC 9110, 13.1.1: If-Match compares strongly, and a weak mark never matches."""
    manager, boat = program("manager"), f"boats/{cast.boat['sandpiper'].pk}/"
    row = manager.get(boat, SQUEEZED)
    assert row["ETag"].startswith('"')
    assert "Content-Encoding" not in row
    changed = manager.patch(boat, {"name": "Sandpiper II"}, {"If-Match": row["ETag"]})
    assert changed.status_code == 200
    assert manager.get("boats/", SQUEEZED)["Content-Encoding"] == "gzip"


def test_a_stream_and_what_is_squeezed_already_go_as_they_are():
    request = RequestFactory().get("/", headers=SQUEEZED)
    stream = Squeezing(lambda _: StreamingHttpResponse(iter([b"x" * 500]), content_type="text/html"))(request)
    assert stream.streaming
    assert "Content-Encoding" not in stream
    assert body(stream) == b"x" * 500
    already = HttpResponse(gzip.compress(b"y" * 500), headers={"Content-Encoding": "gzip"})
    assert Squeezing(lambda _: already)(request).content == gzip.compress(b"y" * 500)


def test_a_files_address_is_its_name_and_the_first_of_its_hash():
    address, _, version = static(SHEET).partition("?v=")
    assert address == f"/static/{SHEET}"
    assert len(version) == 8
    assert static("fleet/not-there.css") == "/static/fleet/not-there.css"
    assert settings.WHITENOISE_USE_FINDERS
