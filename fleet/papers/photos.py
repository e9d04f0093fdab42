"""Photos made plain: upright, no larger than needed, without anything but the picture. Pure."""

import re
import warnings
from datetime import datetime
from io import BytesIO
from typing import Any, Final

from PIL import Image, ImageCms, ImageOps
from pillow_heif import register_heif_opener

from fleet.papers.refused import PaperRefused
from fleet.papers.taken import taken_at

register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)

MOST_PIXELS: Final = 50_000_000
LONGEST_SIDE: Final = 4096
NEARLY: Final = 3900  # half of what telephones with 48 or 50 megapixels make is large enough
QUALITY: Final = 85
# A progressive JPEG has about ten scans. One of a few bytes can ask for each of its fifty million
# pixels a thousand times over.
MOST_SCANS: Final = 30
SEGMENT_OR_SCAN: Final = re.compile(rb"\xff+([^\x00\xd0-\xd7\xff])")
END, SCAN, BARE = 0xD9, 0xDA, frozenset({0x01, 0xD8})

WHOLE = "a whole picture"
SMALLER = f"a picture of at most {MOST_PIXELS // 1_000_000} megapixels"


def clean_photo(data: bytes, sort: str) -> tuple[bytes, str, datetime | None]:
    """The picture alone, its media type, and when it was taken; PaperRefused where it is none.

    Colours become sRGB and the profile goes with the rest. JPEG, WebP and HEIC become JPEG, but PNG
    where a part of the picture can be seen through; PNG stays PNG. Of several frames the first is kept.
    """
    if sort == "JPEG" and _scans(data) > MOST_SCANS:
        raise PaperRefused("a picture as a camera makes it", f"a JPEG of more than {MOST_SCANS} scans")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of malformed notes beside the picture: they are dropped
            return _cleaned(data, sort)
    except PaperRefused:
        raise
    except Image.DecompressionBombError as error:
        raise PaperRefused(SMALLER, "a larger one") from error
    except Exception as error:  # whatever a decoder trips over in hostile bytes: there is no list of it
        raise PaperRefused(WHOLE, "one that is broken or cut short") from error


def _cleaned(data: bytes, sort: str) -> tuple[bytes, str, datetime | None]:
    with Image.open(BytesIO(data), formats=[sort]) as image:
        _refuse_pixels(*image.size)
        if sort == "JPEG":
            # Decodes a large one at half its size, in a quarter of the memory.
            image.draft(None, _fitting(*image.size, NEARLY))
        image.load()
        _refuse_pixels(*image.size)
        noted = _notes(image)
        kept = _in_srgb(_shrunk(_countable(image)), image.info.get("icc_profile"))
    orientation, taken = noted
    return *_encoded(_upright(kept, orientation), stays_png=sort == "PNG"), taken


def _refuse_pixels(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise PaperRefused(SMALLER, f"one of {width} x {height}")


def _scans(data: bytes) -> int:
    """How often a JPEG starts over, up to its end; ITU-T T.81, B.1.1: a marker is FF and a code."""
    at, scans = 2, 0
    while found := SEGMENT_OR_SCAN.search(data, at):
        code, at = found[1][0], found.end()
        if code == END or scans > MOST_SCANS:
            break
        scans += code == SCAN
        if code not in BARE:
            at += int.from_bytes(data[at : at + 2], "big")
    return scans


def _notes(image: Image.Image) -> tuple[int, datetime | None]:
    """How it must be turned, and when it was taken; notes that cannot be read are none."""
    try:
        exif = image.getexif()
        return int(exif.get(0x0112, 1)), taken_at(exif)
    except Exception:  # see clean_photo: notes are as hostile as the picture, and not worth refusing it
        return 1, None


def _fitting(width: int, height: int, longest: int = LONGEST_SIDE) -> tuple[int, int]:
    share = min(1.0, longest / max(width, height))
    return max(1, round(width * share)), max(1, round(height * share))


def _countable(image: Image.Image) -> Image.Image:
    """Without a palette, so that pixels can be averaged; with alpha where it can be seen through."""
    if image.mode.startswith(("I", "F")):
        return image.point(lambda light: light * (1 / 256)).convert("L")
    if image.has_transparency_data:
        return image if image.mode == "RGBA" else image.convert("RGBA")
    if image.mode in ("L", "RGB", "CMYK"):
        return image
    return image.convert("L" if image.mode == "1" else "RGB")


def _shrunk(image: Image.Image) -> Image.Image:
    size = _fitting(*image.size)
    if image.size == size:
        return image
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _in_srgb(image: Image.Image, profile: Any) -> Image.Image:
    """Converted from its own colours; a profile that makes no sense is passed over."""
    if profile and image.mode != "L":
        mode: Any = "RGB" if image.mode == "CMYK" else image.mode
        try:
            own, srgb = ImageCms.ImageCmsProfile(BytesIO(profile)), ImageCms.createProfile("sRGB")
            image = ImageCms.profileToProfile(image, own, srgb, outputMode=mode) or image
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass
    return image.convert("RGB") if image.mode == "CMYK" else image


def _upright(image: Image.Image, orientation: int) -> Image.Image:
    """As held, by the table of tag 274 in TIFF 6.0, section 8, as Pillow has it; its notes go here."""
    image.info, image.getexif()[0x0112] = {}, orientation
    return ImageOps.exif_transpose(image)


def _encoded(image: Image.Image, *, stays_png: bool) -> tuple[bytes, str]:
    if image.mode == "RGBA" and image.getchannel("A").getextrema() == (255, 255):
        image = image.convert("RGB")
    out, png = BytesIO(), stays_png or image.mode == "RGBA"
    image.save(out, "PNG") if png else image.save(out, "JPEG", quality=QUALITY)
    return out.getvalue(), "image/png" if png else "image/jpeg"
