"""Which language a skipper's pages speak: the one chosen before, else the phone's own, else English."""

from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Final

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.utils.translation.trans_real import get_supported_language_variant, parse_accept_lang_header

COOKIE, PARAMETER, PATH = "spoken", "speak", "/s/"
KEPT = timedelta(days=365)
NAMES: Final = {code.partition("-")[0]: name for code, name in settings.LANGUAGES}  # each in its own
IN_DJANGO: Final = {code.partition("-")[0]: code for code, _ in settings.LANGUAGES}
ENGLISH = "en"


def spoken(request: HttpRequest) -> str:
    """The language wanted, by its two letters: what was chosen, else the phone's best that is here."""
    chosen = request.COOKIES.get(COOKIE, "")
    return chosen if chosen in NAMES else next(_asked_for(request), ENGLISH)


def _asked_for(request: HttpRequest) -> Iterator[str]:
    """What the phone asks for and is here, the best first; de-CH is German, zh is not here."""
    for code, weight in parse_accept_lang_header(request.headers.get("Accept-Language", "")):
        if code == "*" or not weight:
            continue
        try:
            yield get_supported_language_variant(code).partition("-")[0]
        except (LookupError, ValueError):  # not here; or longer than any language's code
            continue


def speaking(request: HttpRequest) -> AbstractContextManager[None]:
    """Whatever is put into words inside is put in the language wanted; the time zone stays as it is."""
    return translation.override(IN_DJANGO[spoken(request)])


def now_spoken() -> str:
    """The language words are put in just now, by its two letters."""
    return (translation.get_language() or ENGLISH).partition("-")[0]


def marked(answer: HttpResponse) -> HttpResponse:
    """Says in an answer's headers which language it is in, and what that was chosen by."""
    answer["Content-Language"] = now_spoken()
    patch_vary_headers(answer, ["Accept-Language", "Cookie"])
    return answer


def chosen(request: HttpRequest) -> HttpResponse | None:
    """Keeps the language tapped (`?speak=de`) and leads back to the page without it; None where a
    page was only opened. A language that is not here changes nothing."""
    if request.method not in ("GET", "HEAD") or PARAMETER not in request.GET:
        return None
    rest = request.GET.copy()
    code = rest.pop(PARAMETER)[-1]
    # Some phones begin an address with a capital; a cookie's path heeds it, so all go on with a small s.
    page = PATH + request.path[len(PATH) :]
    answer = HttpResponseRedirect(f"{page}?{rest.urlencode()}" if rest else page)
    if code in NAMES:
        answer.set_cookie(
            COOKIE,
            code,
            max_age=KEPT,
            path=PATH,
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
    return answer
