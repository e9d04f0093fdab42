"""What a file is by its first bytes, whatever it is called; and the plain word for what it is not. Pure."""

import re

# The brands of ISO/IEC 23008-12 (HEIF) whose pictures are coded in HEVC, and the general ones.
HEIF_BRANDS = frozenset(
    {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1"}
)
AVIF_BRANDS = frozenset({b"avif", b"avis"})
END_OF_ZIP = b"PK\x05\x06"
ZIP_TAIL = 22  # bytes of the end record, without its comment (at most 65 535)

WORDS = (
    (rb"PK\x03\x04|PK\x05\x06", "a zip archive or an office document"),
    (rb"GIF8", "a GIF"),
    (rb"II\*\x00|MM\x00\*", "a TIFF or a camera's raw file"),
    (rb"BM", "a BMP"),
    (rb"\x1f\x8b|7z\xbc\xaf|Rar!|\xfd7zXZ", "an archive"),
    (rb"\xd0\xcf\x11\xe0", "an old office document"),
    (rb"MZ|\x7fELF", "a program"),
    (rb"\x1aE\xdf\xa3|RIFF....AVI ", "a video"),
    (rb"ID3|OggS|fLaC|RIFF....WAVE", "a sound"),
)
MARKUP = ((rb"<svg[\s>]", "an SVG drawing"), (rb"<!doctype html|<html|<head|<body|<script", "a web page"))


def sort_of(data: bytes) -> str | None:
    """JPEG, PNG, WEBP, HEIF or PDF by content; None for anything else."""
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if data[8:12] in HEIF_BRANDS and data[4:8] == b"ftyp" and not _brands(data) & AVIF_BRANDS:
        return "HEIF"
    return "PDF" if data.startswith(b"%PDF-") else None


def is_also_a_zip(data: bytes) -> bool:
    """Whether a zip archive hangs on the end: its end record closes the file to the byte."""
    at = data.rfind(END_OF_ZIP, -(ZIP_TAIL + 0xFFFF))
    tail = data[at:] if at >= 0 else b""
    return len(tail) >= ZIP_TAIL and len(tail) == ZIP_TAIL + int.from_bytes(tail[20:22], "little")


def found(data: bytes) -> str:
    """The plain word for a file that is no photo and no PDF."""
    if not data:
        return "an empty file"
    for sign, word in WORDS:
        if re.match(sign, data, re.DOTALL):
            return word
    if data[4:8] == b"ftyp":
        return "an AVIF picture" if _brands(data) & AVIF_BRANDS else "a video"
    for sign, word in MARKUP:
        if re.search(sign, data[:2000], re.IGNORECASE):
            return word
    return "text" if _is_text(data[:2000]) else "a file of another sort"


def _brands(data: bytes) -> set[bytes]:
    end = min(int.from_bytes(data[:4], "big"), 256)
    return {data[8:12]} | {data[n : n + 4] for n in range(16, end, 4)}


def _is_text(start: bytes) -> bool:
    return all(byte >= 32 or byte in b"\t\n\r\f" for byte in start)
