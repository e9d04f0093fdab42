"""A paper is told by what it holds, made plain, and kept as a browser shows it."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from PIL import Image, ImageCms, ImageOps, PngImagePlugin

from fleet.papers.content import Clean, clean
from fleet.papers.photos import LONGEST_SIDE
from tests.papers import BLUE, CORNERS, GREEN, RED, SORTS, WHITE, encoded, noted, opened, painted


def corners(image: Image.Image) -> list[tuple[int, int, int]]:
    """The nearest of the four colours in the middle of each quarter."""
    rgb, (w, h) = image.convert("RGB"), image.size
    seen = [rgb.getpixel((w * x // 4, h * y // 4)) for y in (1, 3) for x in (1, 3)]
    return [min(CORNERS, key=lambda c: sum(abs(a - b) for a, b in zip(c, s, strict=True))) for s in seen]


@pytest.mark.parametrize("sort", SORTS)
def test_a_photo_of_each_sort_is_kept_as_one_a_browser_shows(sort):
    kept = clean(encoded(painted(), sort))
    assert (kept.mime, opened(kept).size) == ("image/png" if sort == "PNG" else "image/jpeg", (96, 64))
    assert opened(kept).get_format_mimetype() == kept.mime
    assert corners(opened(kept)) == CORNERS


# What lies at the top left, top right, bottom left, bottom right once upright, for a picture stored
# with RED, GREEN / BLUE, WHITE: TIFF 6.0, section 8, tag 274, "the 0th row represents the visual
# top, the 0th column the visual left-hand side" and so on through 8.
HELD = {
    1: [RED, GREEN, BLUE, WHITE],
    2: [GREEN, RED, WHITE, BLUE],
    3: [WHITE, BLUE, GREEN, RED],
    4: [BLUE, WHITE, RED, GREEN],
    5: [RED, BLUE, GREEN, WHITE],
    6: [BLUE, RED, WHITE, GREEN],
    7: [WHITE, GREEN, BLUE, RED],
    8: [GREEN, WHITE, RED, BLUE],
}


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("held", HELD)
def test_a_photo_is_turned_upright_once_however_the_camera_was_held(sort, held):
    sent = encoded(painted(), sort, exif=noted(held).tobytes())
    kept = opened(clean(sent))
    assert corners(kept) == HELD[held]
    assert kept.size == ((96, 64) if held < 5 else (64, 96))
    assert corners(ImageOps.exif_transpose(opened(sent))) == HELD[held]  # Pillow's own reading of it
    assert kept.getexif().get(0x0112, 1) == 1
    assert corners(opened(clean(clean(sent)))) == HELD[held]


def test_a_heic_that_notes_the_turn_twice_is_turned_once():
    """ISO/IEC 23008-12: the item's own turn holds, the one in its EXIF is for information."""
    notes = noted(6)
    notes[0x0113] = 6  # the encoder takes tag 0112 out, so it is put back under its neighbour's place
    sent = encoded(painted(), "HEIF", exif=notes.tobytes())
    twice = sent.replace(b"\x01\x13\x00\x03", b"\x01\x12\x00\x03")
    assert b"irot" in sent
    assert twice != sent
    assert corners(opened(clean(twice))) == HELD[6]


@pytest.mark.parametrize("sort", SORTS)
def test_nothing_but_the_picture_is_kept(sort):
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "a remark")
    text.add_text("Location", "Somebody at home")
    notes = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>Somebody</x:xmpmeta>"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    more = {"JPEG": {"comment": b"a remark"}, "PNG": {"pnginfo": text}}.get(sort, {})
    sent = encoded(
        painted(), sort, exif=noted(1).tobytes(), xmp=notes, icc_profile=profile, dpi=(1, 1), **more
    )
    kept = clean(sent)
    assert b"Somebody" in sent
    assert b"Maker of it" in sent
    for trace in (
        b"Somebody",
        b"Maker",
        b"remark",
        b"Exif",
        b"xmp",
        b"ICC",
        b"iCCP",
        b"eXIf",
        b"tEXt",
        b"sRGB",
    ):
        assert trace not in kept
    assert dict(opened(kept).getexif()) == {}
    assert not set(opened(kept).info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


@pytest.mark.parametrize(
    ("notes", "moment"),
    [
        ({"taken": "2026:05:28 16:30:05", "zone": "+03:00"}, datetime(2026, 5, 28, 13, 30, 5, tzinfo=UTC)),
        ({"taken": "2026:05:28 16:30:05", "zone": "-05:30"}, datetime(2026, 5, 28, 22, 0, 5, tzinfo=UTC)),
        ({"taken": "2026:05:28 16:30:05"}, datetime(2026, 5, 28, 13, 30, 5, tzinfo=UTC)),
        ({"taken": "2026:01:28 16:30:05"}, datetime(2026, 1, 28, 14, 30, 5, tzinfo=UTC)),
        ({"taken": "2026:05:28 16:30:05", "zone": "   :  "}, datetime(2026, 5, 28, 13, 30, 5, tzinfo=UTC)),
        ({"taken": "2026:05:28 16:30:05", "zone": "+99:99"}, datetime(2026, 5, 28, 13, 30, 5, tzinfo=UTC)),
        ({"taken": "0000:00:00 00:00:00"}, None),
        ({"taken": "1970:01:01 00:00:00"}, None),
        ({"taken": "    :  :     :  :  "}, None),
        ({"taken": "yesterday"}, None),
        ({}, None),
    ],
)
@pytest.mark.parametrize("sort", ["JPEG", "HEIF"])
def test_when_it_was_taken_is_the_cameras_wall_clock_in_its_zone_or_the_bases(sort, notes, moment):
    athens = ZoneInfo("Europe/Athens")  # +03:00 in May, +02:00 in January
    kept = clean(encoded(painted(), sort, exif=noted(**notes).tobytes()), athens)
    assert kept.taken_at == moment


def test_without_a_zone_told_the_wall_clock_stays_one():
    kept = clean(encoded(painted(), exif=noted(taken="2026:05:28 16:30:05").tobytes()))
    assert kept.taken_at == datetime(2026, 5, 28, 16, 30, 5)  # noqa: DTZ001


def test_cleaning_what_is_clean_changes_no_pixel_of_a_png_and_gives_the_same_bytes_each_time():
    sent = encoded(painted(mode="RGBA"), "PNG")
    assert clean(sent) == clean(sent)
    assert clean(clean(sent)) == clean(sent)
    assert isinstance(clean(sent), Clean)


def test_a_large_photo_is_made_smaller_and_keeps_its_shape():
    kept = opened(clean(encoded(Image.new("L", (6000, 1500)))))
    assert kept.size == (LONGEST_SIDE, LONGEST_SIDE // 4)
    half = opened(clean(encoded(Image.new("L", (8160, 6120)))))  # a telephone's fifty megapixels
    assert half.size == (4080, 3060)
    thin = opened(clean(encoded(Image.new("L", (20_000, 2)), "PNG")))
    assert thin.size == (LONGEST_SIDE, 1)


def grey(mode: str) -> Image.Image:
    if mode == "I;16":
        return painted(mode="I").point(lambda light: light * 257).convert("I;16")
    return painted(mode=mode)


def lights(image: Image.Image) -> list[int]:
    """How light each quarter is, on the whole."""
    small = image.convert("L").resize((2, 2), Image.Resampling.BOX)
    return [small.getpixel((x, y)) for y in (0, 1) for x in (0, 1)]


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "I;16", "RGB", "RGBA"])
def test_a_png_of_any_colours_stays_a_png(mode):
    kept = opened(clean(encoded(grey(mode), "PNG")))
    assert kept.format == "PNG"
    for seen, wanted in zip(lights(kept), lights(painted()), strict=True):
        assert abs(seen - wanted) < 30


def test_what_can_be_seen_through_stays_so():
    for sort in ("PNG", "WEBP", "HEIF"):
        glass = painted(mode="RGBA")
        glass.putalpha(Image.new("L", glass.size, 100))
        kept = clean(encoded(glass, sort))
        assert kept.mime == "image/png"
        assert abs(opened(kept).getpixel((3, 3))[3] - 100) < 3
    palette = encoded(painted(mode="P"), "PNG", transparency=painted(mode="P").getpixel((0, 0)))
    assert opened(clean(palette)).getpixel((3, 3))[3] == 0


def test_a_photo_that_could_be_seen_through_and_cannot_is_kept_as_a_photo():
    assert clean(encoded(painted(mode="RGBA"), "HEIF")).mime == "image/jpeg"


def test_notes_of_the_wrong_sort_are_none_and_the_photo_is_kept():
    notes = noted()
    notes[0x0113] = "upright"
    words = notes.tobytes().replace(b"\x01\x13\x00\x02", b"\x01\x12\x00\x02")
    assert opened(encoded(painted(), exif=words)).getexif()[0x0112] == "upright"
    assert corners(opened(clean(encoded(painted(), exif=words)))) == CORNERS


def test_a_photo_for_print_and_one_in_other_colours_become_srgb():
    assert corners(opened(clean(encoded(painted(mode="CMYK"))))) == CORNERS
    # A profile whose red and green primaries are swapped: sRGB's own, its two columns exchanged.
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = srgb.replace(b"rXYZ", b"-XYZ", 1).replace(b"gXYZ", b"rXYZ", 1).replace(b"-XYZ", b"gXYZ", 1)
    assert swapped != srgb
    kept = opened(clean(encoded(painted(), "PNG", icc_profile=swapped)))
    assert corners(kept)[:2] == [GREEN, RED]


def test_a_profile_that_makes_no_sense_is_passed_over():
    assert corners(opened(clean(encoded(painted(), "JPEG", icc_profile=b"nonsense" * 40)))) == CORNERS


def test_of_several_pictures_in_one_file_the_first_is_kept():
    more = {"save_all": True, "append_images": [Image.new("RGB", (96, 64), BLUE)] * 3}
    for sort in ("PNG", "WEBP", "HEIF", "MPO"):
        assert corners(opened(clean(encoded(painted(), sort, **more)))) == CORNERS
        assert getattr(opened(clean(encoded(painted(), sort, **more))), "n_frames", 1) == 1
