"""A photo that follows piece by piece, in the words of the IETF draft “Resumable Uploads for HTTP”."""

from collections.abc import Iterator
from contextlib import suppress

from django.http import HttpRequest, HttpResponse
from django.http.request import UnreadablePostError
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from fleet.papers.arriving import TooLong, WrongOffset
from fleet.papers.refused import MEGABYTE, MOST_BYTES
from maintenance.pages.fields import row_number
from maintenance.pages.phone.door import for_phone, problem
from maintenance.pages.way_in import WayIn
from maintenance.turnaround.photos_to_come import Got, expected, got, take_piece

PIECE = 16 * 1024  # bytes taken off the line at a time: so much at most is lost where it is cut


@for_phone
@require_http_methods(["HEAD", "PATCH"])
def photo(request: HttpRequest, way: WayIn, photo_id: str) -> HttpResponse:
    """Says how far a photo has come (HEAD), or takes more of it (PATCH)."""
    row = expected(way.link, photo_id)
    if row is None:
        return problem(404, _("The report this photo belongs to is not here yet."))
    if request.method == "HEAD":
        return _said(got(row))
    offset = row_number(request.headers.get("Upload-Offset", ""))
    if offset is None:
        return problem(400, _("Upload-Offset: wanted the number of bytes sent before"))
    try:
        return _said(take_piece(row, _off_the_line(request), offset=offset, at=way.now))
    except WrongOffset as wrong:
        return _with(
            problem(409, _("Upload-Offset: wanted {offset}").format(offset=wrong.offset)), wrong.offset
        )
    except TooLong as long:
        return problem(413, long.wanted)


def _off_the_line(request: HttpRequest) -> Iterator[bytes]:
    """The body as it comes; where the line is cut, what came before stays."""
    with suppress(UnreadablePostError, OSError):
        while piece := request.read(PIECE):
            yield piece


def _said(so_far: Got) -> HttpResponse:
    if so_far.refused:
        return _with(problem(422, _why(so_far)), so_far.offset, so_far)
    return _with(HttpResponse(status=204), so_far.offset, so_far)


def _why(so_far: Got) -> str:
    """Why it is not kept, in the phone's language; the row says it in the base's."""
    if so_far.size > MOST_BYTES:
        return _("This photo is too big: wanted at most {most} MB.").format(most=MOST_BYTES // MEGABYTE)
    return _("This is no photo the base can open: wanted JPEG, PNG, WebP or HEIC. Your words are kept.")


def _with(answer: HttpResponse, offset: int, so_far: Got | None = None) -> HttpResponse:
    answer["Upload-Offset"] = str(offset)
    answer["Upload-Complete"] = "?1" if so_far is not None and so_far.is_whole else "?0"
    if so_far is not None:
        answer["Upload-Length"] = str(so_far.size)
    return answer
