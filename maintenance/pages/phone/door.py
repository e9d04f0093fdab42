"""What a phone's own calls come in by: the secret in the address, JSON, and problems said in its language."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt

from fleet.charters.links import State, Verdict, by_secret
from fleet.papers.arriving import NoRoomNow
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.phone import language
from maintenance.pages.way_in import GONE, SAYS, WayIn, base_to_ring, kept_apart, telephone, way_of
from maintenance.turnaround.let_in import LinkClosed, TooManyForNow, comes_late

PROBLEM = "application/problem+json"  # RFC 9457
LATER = 600  # seconds after which a phone that was put off may try again
TITLES = {
    400: "Not understood",
    404: "Not found",
    409: "Not as things stand now",
    410: "Closed",
    413: "Too large",
    422: "Cannot be",
    429: "Too many at once",
    503: "Not now",
}


def for_phone(call: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Opens a call to whoever has the secret, also after the charter was called off or the link ended,
    as `comes_late` says. No cookie says who calls, so no other site can make a browser call for us."""

    @csrf_exempt
    @wraps(call)
    def opened(request: HttpRequest, secret: str, **rest: Any) -> HttpResponse:
        now = timezone.now()
        verdict = by_secret(secret, at=now)
        with language.speaking(request):
            taken = _takes(verdict, now)
            answer = (
                _answer(call, request, way_of(verdict, secret, now), rest) if taken else shut(verdict, now)
            )
            return kept_apart(language.marked(answer))

    return opened


def _takes(verdict: Verdict, now: Any) -> bool:
    link = verdict.link
    late = link is not None and comes_late(link, verdict.state, at=now)
    return verdict.state is State.GOOD or late


def _answer(
    call: Callable[..., HttpResponse], request: HttpRequest, way: WayIn, rest: dict[str, Any]
) -> HttpResponse:
    try:
        return call(request, way, **rest)
    except LinkClosed as closed:
        return shut(Verdict(closed.state, way.link), way.now)
    except TooManyForNow:
        said = _("So many reports came by this link that the rest has to wait. They go by themselves later.")
        return problem(429, said, retry=LATER)
    except NoRoomNow:
        return problem(
            503, _("There is no room for photos just now. They go by themselves later."), retry=LATER
        )
    except Refused as refused:
        return problem(422, _("The base could not take this ({why}).").format(why=refused))


def shut(verdict: Verdict, now: Any) -> HttpResponse:
    """That nothing comes in here any more, why, and whom to ring."""
    heading, text = SAYS[verdict.state]
    base = base_to_ring(verdict, now)
    answer = problem(410 if verdict.state in GONE else 404, f"{heading}. {text}")
    return answer if base is None else problem(answer.status_code, f"{heading}. {text}", ring=telephone(base))


def problem(status: int, detail: str, *, retry: int | None = None, ring: str = "") -> HttpResponse:
    """A problem document: one plain sentence, and what to do next where that is known."""
    body = {
        "type": "about:blank",
        "title": TITLES[status],
        "status": status,
        "detail": wording.sentence(detail),
    }
    answer = JsonResponse(body | ({"telephone": ring} if ring else {}), status=status, content_type=PROBLEM)
    if retry is not None:
        answer["Retry-After"] = str(retry)
    return answer
