"""Whether bytes are a PDF that anybody can open, now and in ten years. Pure."""

import re

from fleet.papers.refused import PaperRefused

# ISO 32000-1, 7.5: a header, objects, a table of where they are, and a trailer that says where that is.
HEADER = re.compile(rb"%PDF-[12]\.\d")
TRAILER = re.compile(rb"startxref\s+(\d{1,10})\s+%%EOF")
TABLE = re.compile(rb"\s{0,4}(xref\b|\d+\s+\d+\s+obj\b)")
LOCK = re.compile(rb"/Encrypt\s*(\d+\s+\d+\s+R\b|<<)")
TAIL = 1024  # the trailer stands in the last 1024 bytes, as every reader looks for it there

WHOLE = "a PDF that opens in any reader"
OPEN = "a PDF without password or lock (print it to a new PDF, or photograph it)"


def refuse_unless_readable(data: bytes) -> None:
    """PaperRefused where the file is cut short, is no PDF behind its first line, or is locked.

    A lock against printing looks the same as a password until one has been tried: both are refused,
    because a certificate that nobody can open in an audit proves nothing.
    """
    trailers = TRAILER.findall(data, max(0, len(data) - TAIL))
    if not HEADER.match(data) or not trailers or not TABLE.match(data, int(trailers[-1])):
        raise PaperRefused(WHOLE, "one that is broken or cut short")
    if LOCK.search(data):
        raise PaperRefused(OPEN, "a locked one")
