"""A file as it came in, a paper as it is kept: told by its content, checked, and cleaned. Pure."""

from datetime import datetime, tzinfo
from typing import Self

from fleet.papers.pdf import refuse_unless_readable
from fleet.papers.photos import clean_photo
from fleet.papers.refused import A_PAPER, MEGABYTE, MOST_BYTES, PaperRefused
from fleet.papers.signs import found, is_also_a_zip, sort_of

__all__ = ["Clean", "PaperRefused", "clean"]


class Clean(bytes):
    """The bytes of a paper as they are kept, with what they are and when the photo was taken.

    Only `clean` makes one, so whoever holds one need not check again. `taken_at` has no zone where
    the camera noted none and `clean` was told none: it is then the time of the base's wall clock.
    """

    mime: str
    taken_at: datetime | None

    def __new__(cls, data: bytes, mime: str, taken_at: datetime | None = None) -> Self:
        made = super().__new__(cls, data)
        made.mime, made.taken_at = mime, taken_at
        return made

    @property
    def data(self) -> bytes:
        return self


def clean(data: bytes, zone: tzinfo | None = None) -> Clean:
    """A paper from what was handed in; PaperRefused says what is wanted where it is none.

    `zone` is the base's, for a camera that noted the time and no zone.
    """
    if len(data) > MOST_BYTES:
        raise PaperRefused(f"at most {MOST_BYTES // MEGABYTE} MB", "more")
    sort = sort_of(data)
    if sort is None or is_also_a_zip(data):
        raise PaperRefused(A_PAPER, "a zip archive behind a picture or a PDF" if sort else found(data))
    if sort == "PDF":
        refuse_unless_readable(data)
        return Clean(data, "application/pdf")
    picture, mime, taken = clean_photo(data, sort)
    return Clean(picture, mime, taken.replace(tzinfo=zone) if taken and not taken.tzinfo else taken)
