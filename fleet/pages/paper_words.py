"""Why a photo or paper is refused, in the language of the page it was handed in on."""

import re
from typing import Final

from django.utils.translation import gettext, gettext_noop

from fleet.papers.refused import PaperRefused

# Everything a paper is refused with (fleet/papers): pure, so these stand here to be found by the catalogs.
# A number in it stands as a placeholder, the first as %(one)s, the second as %(two)s.
WANTED: Final = (
    gettext_noop("a photo (JPEG, PNG, WebP, HEIC) or a PDF"),
    gettext_noop("at most %(one)s MB"),
    gettext_noop("a picture as a camera makes it"),
    gettext_noop("a whole picture"),
    gettext_noop("a picture of at most %(one)s megapixels"),
    gettext_noop("a PDF that opens in any reader"),
    gettext_noop("a PDF without password or lock (print it to a new PDF, or photograph it)"),
    gettext_noop("this file once more"),
)
FOUND: Final = (
    gettext_noop("more"),
    gettext_noop("a larger one"),
    gettext_noop("one that is broken or cut short"),
    gettext_noop("a locked one"),
    gettext_noop("that it is no longer here"),
    gettext_noop("one of %(one)s x %(two)s"),
    gettext_noop("a JPEG of more than %(one)s scans"),
    gettext_noop("a zip archive behind a picture or a PDF"),
    gettext_noop("a zip archive or an office document"),
    gettext_noop("a GIF"),
    gettext_noop("a TIFF or a camera's raw file"),
    gettext_noop("a BMP"),
    gettext_noop("an archive"),
    gettext_noop("an old office document"),
    gettext_noop("a program"),
    gettext_noop("a video"),
    gettext_noop("a sound"),
    gettext_noop("an SVG drawing"),
    gettext_noop("a web page"),
    gettext_noop("an empty file"),
    gettext_noop("an AVIF picture"),
    gettext_noop("text"),
    gettext_noop("a file of another sort"),
)
PLACEHOLDERS: Final = ("one", "two")


def paper_said(refused: PaperRefused) -> str:
    """What is wanted and what was found, ready to stand after a label."""
    return gettext("wanted %(wanted)s, found %(found)s") % {
        "wanted": _said(refused.asked),
        "found": _said(refused.found),
    }


def pattern_of(words: str) -> str:
    """The words with a placeholder for each number, as the catalogs have them."""
    names = iter(PLACEHOLDERS)
    return re.sub(r"\d+", lambda _: f"%({next(names)})s", words)


def _said(words: str) -> str:
    return gettext(pattern_of(words)) % dict(zip(PLACEHOLDERS, re.findall(r"\d+", words), strict=False))
