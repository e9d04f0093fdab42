"""What a phone's own calls come in by: the secret in the address, JSON, and problems said in its language."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import wraps
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import UnreadablePostError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt

from fleet.charters.links import State, Verdict, by_secret
from fleet.papers.arriving import NoRoomNow
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.phone import language
from maintenance.pages.phone.refusals import refusal
from maintenance.pages.way_in import GONE, SAYS, WayIn, base_to_ring, kept_apart, telephone, way_of
from maintenance.turnaround.by_phone import PhoneRefused
from maintenance.turnaround.let_in import LinkClosed, TooManyForNow, comes_late

Call = Callable[..., HttpResponse]

PROBLEM = "application/problem+json"  # RFC 9457
LATER = 600  # seconds after which a phone that was put off may try again
TITLES = {
    400: "Not understood",
    404: "Not found",
    405: "Not in this way",
    409: "Not as things stand now",
    410: "Closed",
    413: "Too large",
    422: "Cannot be",
    429: "Too many at once",
    503: "Not now",
}


class NothingSaid(PhoneRefused):
    """A return without hours, an answer, a word, a spare or a photo: a slip of the thumb."""


def for_phone(*methods: str) -> Callable[[Call], Call]:
    """Opens a call to whoever has the secret, also after the charter was called off or the link ended,
    as `comes_late` says. No cookie says who calls, so no other site can make a browser call for us."""

    def door(call: Call) -> Call:
        @csrf_exempt
        @wraps(call)
        def opened(request: HttpRequest, secret: str, **rest: Any) -> HttpResponse:
            now = timezone.now()
            verdict = by_secret(secret, at=now)
            with language.speaking(request):
                if request.method not in methods:
                    answer = _other_way(methods)
                elif _takes(verdict, now):
                    answer = _answer(call, request, way_of(verdict, secret, now), rest)
                else:
                    answer = shut(verdict, now)
                return kept_apart(language.marked(answer))

        return opened

    return door


def _other_way(methods: Sequence[str]) -> HttpResponse:
    answer = problem(405, _("Wanted: {methods}").format(methods=", ".join(methods)))
    answer["Allow"] = ", ".join(methods)
    return answer


def _takes(verdict: Verdict, now: datetime) -> bool:
    link = verdict.link
    late = link is not None and comes_late(link, verdict.state, at=now)
    return verdict.state is State.GOOD or late


def _answer(call: Call, request: HttpRequest, way: WayIn, rest: dict[str, Any]) -> HttpResponse:
    try:
        return call(request, way, **rest)
    except LinkClosed as closed:
        return shut(Verdict(closed.state, way.link), way.now)
    except RequestDataTooBig:
        return problem(413, _("This is more than the base takes at once."))
    except UnreadablePostError:
        return problem(400, _("The line was cut."))  # nobody hears it; it is sent again
    except Refused as refused:
        return _refused(refused)


def _refused(refused: Refused) -> HttpResponse:
    """What is in the way, and when to try again where that helps."""
    match refused:
        case TooManyForNow():
            said = _(
                "So many reports came by this link that the rest has to wait. They go by themselves later."
            )
            return problem(429, said, retry=LATER)
        case NoRoomNow():
            said = _("There is no room for photos just now. They go by themselves later.")
            return problem(503, said, retry=LATER)
        case NothingSaid():
            return problem(422, _("Nothing was said: wanted hours, an answer, a word or a spare"))
    return problem(422, refusal(refused))


def shut(verdict: Verdict, now: datetime) -> HttpResponse:
    """That nothing comes in here any more, why, and whom to ring."""
    heading, text = SAYS[verdict.state]
    status = 410 if verdict.state in GONE else 404
    return problem(status, f"{heading}. {text}", ring=telephone(base_to_ring(verdict, now)))


def whole_body(request: HttpRequest) -> bytes:
    """All of a body; UnreadablePostError where the line was cut before its end."""
    if len(request.body) < int(request.META.get("CONTENT_LENGTH") or 0):
        raise UnreadablePostError("shorter than was announced")
    return request.body


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
