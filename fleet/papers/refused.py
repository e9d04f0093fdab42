"""The one way a paper is refused: what was wanted, and what was found instead. Pure."""

from fleet.refused import Refused

MEGABYTE = 1_000_000
MOST_BYTES = 15 * MEGABYTE
A_PAPER = "a photo (JPEG, PNG, WebP, HEIC) or a PDF"


class PaperRefused(Refused):
    """A file that is not kept; the text says what is wanted instead, ready to stand after a label, and
    `asked` and `found` are its two halves."""

    def __init__(self, wanted: str, found: str) -> None:
        self.asked, self.found = wanted, found
        super().__init__(f"wanted {wanted}, found {found}")
