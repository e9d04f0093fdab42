"""A photo that follows piece by piece, in the words of the IETF draft “Resumable Uploads for HTTP”."""

from collections.abc import Iterator
from contextlib import suppress

from django.http import HttpRequest, HttpResponse
from django.http.request import UnreadablePostError
from django.utils.translation import gettext as _

from fleet.papers.arriving import TooLong, WrongOffset
from fleet.papers.refused import MEGABYTE, MOST_BYTES
from maintenance.pages.fields import row_number
from maintenance.pages.phone.door import for_phone, problem
from maintenance.pages.way_in import WayIn
from maintenance.turnaround.photos_to_come import Got, Row, expected, got, take_piece

PIECE = 16 * 1024  # bytes taken off the line at a time: so much at most is lost where it is cut
MOST_READ_OFF = 1024 * 1024  # bytes of a body nobody wants


@for_phone("HEAD", "PATCH")
def photo(request: HttpRequest, way: WayIn, photo_id: str) -> HttpResponse:
    """Says how far a photo has come (HEAD), or takes more of it (PATCH)."""
    row = expected(way.link, photo_id)
    if row is None:
        answer = problem(404, _("The report this photo belongs to is not here yet."))
    elif request.method == "HEAD":
        return _stands(got(row))
    else:
        answer = _take(request, row, way)
    _read_off(request)
    return answer


def _take(request: HttpRequest, row: Row, way: WayIn) -> HttpResponse:
    offset = row_number(request.headers.get("Upload-Offset", ""))
    if offset is None:
        return problem(400, _("Upload-Offset: wanted the number of bytes sent before"))
    try:
        return _said(take_piece(row, _off_the_line(request), offset=offset, at=way.now))
    except WrongOffset as wrong:
        said = _("Upload-Offset: wanted {offset}").format(offset=wrong.offset)
        return _with(problem(409, said), Got(wrong.offset, row.size, is_whole=False))
    except TooLong:
        said = _("More came of this photo than was announced. Your words are kept.")
        return _with(problem(413, said), got(row))


def _off_the_line(request: HttpRequest) -> Iterator[bytes]:
    """The body as it comes; where the line is cut, what came before stays."""
    with suppress(UnreadablePostError, OSError):
        while piece := request.read(PIECE):
            yield piece


def _read_off(request: HttpRequest) -> None:
    """Takes the rest of a body nobody wants off the line, within reason: where a server hangs up with
    something unread, the phone sees a cut line instead of the answer."""
    rest = MOST_READ_OFF
    for piece in _off_the_line(request):
        if (rest := rest - len(piece)) <= 0:
            break


def _stands(so_far: Got) -> HttpResponse:
    """How far it has come. An answer to HEAD has no words to say why a photo was refused: one that
    was is said to be all here and not ended, so that the phone asks on and is told."""
    return _with(HttpResponse(status=204), so_far)


def _said(so_far: Got) -> HttpResponse:
    """The answer to more of a photo; all of one is here that did not match its digest: from the start."""
    if so_far.refused:
        status = 413 if so_far.size > MOST_BYTES else 422
        answer = _with(problem(status, why_refused(so_far)), so_far)
        answer["Upload-Complete"] = "?1"
        return answer
    return _with(HttpResponse(status=204), so_far)


def why_refused(so_far: Got) -> str:
    """Why it is not kept, in the phone's language; the row says it in the base's."""
    if so_far.size > MOST_BYTES:
        return _("This photo is too big: wanted at most {most} MB.").format(most=MOST_BYTES // MEGABYTE)
    return _("This is no photo the base can open: wanted JPEG, PNG, WebP or HEIC. Your words are kept.")


def _with(answer: HttpResponse, so_far: Got) -> HttpResponse:
    answer["Upload-Offset"] = str(so_far.offset)
    answer["Upload-Complete"] = "?1" if so_far.is_whole and not so_far.refused else "?0"
    answer["Upload-Length"] = str(so_far.size)
    return answer
