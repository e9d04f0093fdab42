"""A paper as an answer, the same at every door; the door has asked whether it may be seen."""

import logging

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response

from fleet.papers.models import Paper
from fleet.papers.store import read

# What a browser is told a paper is, and whether it shows it in place. A PDF may hold scripts: it is
# handed to the device's own viewer, and never opened as a page of ours.
SHOWN = {
    "image/jpeg": ("jpg", "inline"),
    "image/png": ("png", "inline"),
    "application/pdf": ("pdf", "attachment"),
}
# The name of a paper is its content, so what lies under an address never changes.
FOR_A_YEAR = "private, max-age=31536000, immutable"
HEADERS = {
    "Cache-Control": FOR_A_YEAR,
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}

log = logging.getLogger(__name__)


def serve(paper: Paper, request: HttpRequest) -> HttpResponse:
    """The file itself, or 304 where the browser has it; 404 where the store has lost it."""
    response = HttpResponse(headers=HEADERS | _named(paper) | {"ETag": f'"{paper.sha256}"'})
    told = get_conditional_response(request, etag=response["ETag"], response=response)
    if told is not None and told is not response:
        return told
    try:
        response.content = read(paper.sha256)
    except FileNotFoundError as error:
        log.error("the file of paper %s is gone: restore it, or hand it in again", paper.sha256)
        raise Http404("This paper's file is gone.") from error
    return response


def _named(paper: Paper) -> dict[str, str]:
    ending, shown = SHOWN.get(paper.mime, ("bin", "attachment"))
    mime = paper.mime if paper.mime in SHOWN else "application/octet-stream"
    name = f"paper-{paper.sha256[:8]}.{ending}"
    return {"Content-Type": mime, "Content-Disposition": f'{shown}; filename="{name}"'}
