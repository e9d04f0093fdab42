"""What is no photo and no PDF, or would cost too much to look at, is refused in plain words."""

import struct
import zlib
from io import BytesIO
from zipfile import ZipFile, ZipInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from fleet.papers.content import PaperRefused, clean
from fleet.papers.photos import LONGEST_SIDE, MOST_PIXELS
from tests.papers import SORTS, encoded, noted, opened, painted, pdf


def zipped() -> bytes:
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        archive.writestr(ZipInfo("a.txt"), "text")
    return out.getvalue()


def refused(data: bytes) -> str:
    with pytest.raises(PaperRefused) as told:
        clean(data)
    return str(told.value)


def header(width: int, height: int) -> bytes:
    """A PNG that says how large it is, and has next to nothing in it: RFC 2083, 4.1."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    shape = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", shape)
        + chunk(b"IDAT", zlib.compress(b"\0" * 99))
        + chunk(b"IEND", b"")
    )


def jpeg_saying(width: int, height: int) -> bytes:
    sent = encoded(painted())
    at = sent.index(b"\xff\xc0") + 5
    return sent[:at] + struct.pack(">HH", height, width) + sent[at + 4 :]


def webp_saying(width: int, height: int) -> bytes:
    sent = encoded(painted(), "WEBP", lossless=True)
    assert sent[12:16] == b"VP8L"
    return sent[:21] + struct.pack("<I", (width - 1) | (height - 1) << 14) + sent[25:]


def heic_saying(width: int, height: int) -> bytes:
    sent = encoded(painted(), "HEIF")
    at = sent.index(b"ispe") + 8
    return sent[:at] + struct.pack(">II", width, height) + sent[at + 8 :]


@pytest.mark.parametrize("make", [header, jpeg_saying, webp_saying, heic_saying])
def test_a_picture_too_large_is_refused_by_what_its_first_bytes_say(make):
    """So many pixels are not there: what is refused was not painted first."""
    said = refused(make(10_000, 5_001))
    assert said == "wanted a picture of at most 50 megapixels, found one of 10000 x 5001"
    assert "50 megapixels" in refused(make(16_383, 16_383))
    if make is not jpeg_saying:  # libjpeg paints what is not there grey
        assert "broken" in refused(make(10_000, 5_000))  # so many would do, were they there
    assert MOST_PIXELS == 50_000_000


def test_a_heic_that_tells_less_than_it_holds_is_refused_before_it_is_decoded():
    sent = encoded(Image.new("RGB", (600, 400)), "HEIF")
    at = sent.index(b"ispe") + 8
    assert "broken" in refused(sent[:at] + struct.pack(">II", 64, 64) + sent[at + 8 :])


def test_a_jpeg_that_starts_over_a_thousand_times_is_refused():
    sent = encoded(painted(), progressive=True)
    at, end = sent.rindex(b"\xff\xda"), sent.rindex(b"\xff\xd9")
    assert clean(sent).mime == "image/jpeg"
    assert "30 scans" in refused(sent[:end] + sent[at:end] * 1000 + b"\xff\xd9")


def test_scans_are_counted_to_the_end_of_the_picture_and_no_further():
    """Phones hang a film or a second picture behind the first: what is there is no scan of it."""
    assert clean(encoded(painted()) + b"\xff\xda\0\0" * 40_000).mime == "image/jpeg"
    sent = encoded(painted(), comment=b"\xff\xda\0\x02" * 1000)
    assert clean(sent).mime == "image/jpeg"


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9])
def test_a_photo_cut_short_is_refused(sort, share):
    rough = Image.effect_noise((200, 150), 90).convert("RGB")
    sent = encoded(rough, sort)
    assert clean(sent)
    assert "wanted" in refused(sent[: int(len(sent) * share)])


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (zipped(), "a zip archive"),
        (b"", "an empty file"),
        (b"Good day", "text"),
        ("Größe".encode(), "text"),
        (b"<!DOCTYPE html><html><body>", "a web page"),
        (b" \n<script>alert(1)</script>", "a web page"),
        (b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg">', "an SVG drawing"),
        (encoded(painted(), "GIF"), "a GIF"),
        (encoded(painted(), "TIFF"), "a TIFF"),
        (encoded(painted(), "BMP"), "a BMP"),
        (encoded(painted(), "AVIF"), "an AVIF picture"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom", "a video"),
        (b"MZ\x90\0", "a program"),
        (b"%!PS-Adobe-3.0\n", "text"),
        (bytes(range(256)), "a file of another sort"),
    ],
)
def test_what_is_no_photo_is_named_by_what_it_is(data, word):
    said = refused(data)
    assert said.startswith("wanted a photo (JPEG, PNG, WebP, HEIC) or a PDF, found ")
    assert word in said


@pytest.mark.parametrize("sort", ["JPEG", "PNG", "WEBP", "HEIF", "PDF"])
def test_a_picture_that_is_an_archive_too_is_refused(sort):
    sent = pdf() if sort == "PDF" else encoded(painted(), sort)
    assert "zip archive" in refused(sent + zipped())


def test_a_picture_that_is_a_web_page_too_is_only_a_picture_afterwards():
    page = b"<html><script>alert(1)</script></html>"
    for sent in (
        encoded(painted(), comment=page),
        encoded(painted()) + page,
        encoded(painted(), "PNG") + page,
    ):
        assert page in sent
        assert b"script" not in clean(sent)


def test_nothing_above_fifteen_megabytes_is_looked_at():
    most = 15_000_000
    assert refused(pdf(b" " * most)) == "wanted at most 15 MB, found more"
    assert refused(encoded(painted()) + b"\0" * most) == "wanted at most 15 MB, found more"
    sent = encoded(painted())
    assert clean(sent + b"\0" * (most - len(sent))).mime == "image/jpeg"


def test_a_pdf_is_kept_as_it_is():
    kept = clean(pdf())
    assert (kept, kept.mime, kept.taken_at) == (pdf(), "application/pdf", None)
    assert clean(pdf() + b"\n\0\0") == pdf() + b"\n\0\0"  # some programs pad them


@pytest.mark.parametrize(
    "data",
    [
        b"%PDF-1.7",
        pdf()[:-40],
        pdf()[:200],
        pdf().replace(b"%PDF-1.7", b"%PDF-abc"),
        pdf().replace(b"startxref\n", b"startxref\n9"),
        pdf().replace(b"xref\n0 4", b"yref\n0 4"),
        b"%PDF-1.7\n<html>startxref\n0\n%%EOF",
    ],
    ids=range(7),
)
def test_a_pdf_that_no_reader_opens_is_refused(data):
    assert "broken or cut short" in refused(data)


@pytest.mark.parametrize("lock", [b"/Encrypt 9 0 R ", b"/Encrypt << /Filter /Standard >> "])
def test_a_locked_pdf_is_refused_with_the_way_out(lock):
    assert "without password or lock (print it to a new PDF, or photograph it)" in refused(pdf(trailer=lock))


SEEDS = [encoded(painted(), sort, exif=noted(6, taken="2026:05:28 16:30:05").tobytes()) for sort in SORTS]
SEEDS += [pdf(), encoded(painted(), progressive=True)]


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(SEEDS), st.lists(st.tuples(st.integers(0, 10_000), st.binary(max_size=6)), max_size=6))
def test_whatever_is_put_into_a_file_it_is_kept_clean_or_refused(sent, changes):
    data = bytearray(sent)
    for at, put in changes:
        data[at % len(data) : at % len(data) + len(put)] = put
    try:
        kept = clean(bytes(data))
    except PaperRefused:
        return
    assert kept.mime == "application/pdf" or max(opened(kept).size) <= LONGEST_SIDE


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_notes_that_make_no_sense_do_not_cost_the_photo(junk):
    assert clean(encoded(painted(), exif=b"Exif\0\0MM\0*\0\0\0\x08" + junk)).mime == "image/jpeg"
