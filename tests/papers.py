"""Papers a test hands in: pictures painted so that each corner tells where it is, and a small PDF."""

import os
from io import BytesIO
from typing import Any

from PIL import Image

RED, GREEN, BLUE, WHITE = (230, 20, 20), (20, 200, 20), (20, 20, 230), (245, 245, 245)
CORNERS = [RED, GREEN, BLUE, WHITE]  # top left, top right, bottom left, bottom right
SORTS = ("JPEG", "PNG", "WEBP", "HEIF")
LISBON = {1: "N", 2: (38.0, 42.0, 15.0), 3: "W", 4: (9.0, 8.0, 5.0)}  # the GPS block of EXIF


def painted(width: int = 96, height: int = 64, mode: str = "RGB") -> Image.Image:
    """A picture with a colour in each quarter."""
    image = Image.new("RGB", (width, height))
    for n, colour in enumerate(CORNERS):
        image.paste(colour, (n % 2 * width // 2, n // 2 * height // 2, width, height))
    return image.convert(mode)


def speckled(width: int, height: int) -> Image.Image:
    """A picture that no format makes small."""
    return Image.frombytes("RGB", (width, height), os.urandom(width * height * 3))


def encoded(image: Image.Image, sort: str = "JPEG", **more: Any) -> bytes:
    out = BytesIO()
    image.save(out, sort, **more)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def noted(orientation: int | None = None, **exif: str) -> Image.Exif:
    """What a camera notes: where, by whom, how it was held, and what is given here."""
    notes = Image.Exif()
    notes[0x010F], notes[0x013B], notes[0x9286] = "Maker of it", "Somebody", "a remark"
    if orientation:
        notes[0x0112] = orientation
    notes.get_ifd(0x8825).update(LISBON)
    tags = {"taken": 0x9003, "zone": 0x9011}
    notes.get_ifd(0x8769).update({tags[name]: text for name, text in exif.items()})
    return notes


def pdf(inside: bytes = b"", *, trailer: bytes = b"") -> bytes:
    """One empty page, its table of objects as ISO 32000-1, 7.5.4 has it."""
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 200] >>" + inside,
    ]
    data, starts = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", []
    for number, part in enumerate(parts, 1):
        starts.append(len(data))
        data += b"%d 0 obj\n%b\nendobj\n" % (number, part)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    end = b"trailer\n<< /Size 4 /Root 1 0 R %b>>\nstartxref\n%d\n%%%%EOF\n" % (trailer, len(data))
    return data + b"xref\n0 4\n0000000000 65535 f \n" + table + end
