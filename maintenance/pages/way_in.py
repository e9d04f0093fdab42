"""A skipper's way in: what the secret in an address opens, and what is said where it opens nothing."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property, wraps
from typing import Any

from csp.decorators import csp_update
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.bases.models import Base
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.facts import boats_had
from fleet.charters.links import State, Verdict, by_secret
from fleet.charters.models import Charter, Link
from fleet.secret import as_copied
from maintenance.pages.fields import row_number
from maintenance.pages.phone import address, language, local

SAYS = {
    State.INCOMPLETE: (
        gettext_lazy("This address is not complete"),
        gettext_lazy(
            "Something of it was lost or changed when it was copied. Scan the code again, or copy all of it."
        ),
    ),
    State.UNKNOWN: (
        gettext_lazy("This way in is not known here"),
        gettext_lazy("It may be of another base or of another season. Ask the base for a new one."),
    ),
    State.REVOKED: (
        gettext_lazy("The base closed this way in"),
        gettext_lazy("Ask the base for a new one if you still need it."),
    ),
    State.CANCELLED: (
        gettext_lazy("This charter was called off"),
        gettext_lazy("Nothing can be reported for it. If that is wrong, ring the base."),
    ),
    State.ENDED: (
        gettext_lazy("This way in has ended"),
        gettext_lazy("What you sent before stays with the base. If there is more to say, ring the base."),
    ),
}
PREVIEWS = {"img-src": ["blob:"]}  # photos that are on the phone only
GONE = (State.REVOKED, State.CANCELLED, State.ENDED)
TYPED = ("words", "used_words", "lost", "defects")


@dataclass(frozen=True)
class WayIn:
    """What a skipper's page knows before it asks anything; the clock is read here and nowhere below.
    Boats and base are read when they are asked for: a piece of a photo wants neither."""

    secret: str
    link: Link
    charter: Charter
    now: datetime

    @cached_property
    def boats(self) -> tuple[Boat, ...]:
        """Those the charter had, the present one last."""
        return tuple(boats_had(self.charter))

    @cached_property
    def base(self) -> Base:
        return base_of(self.charter.boat, self.now.date())

    @property
    def boat(self) -> Boat:
        """The boat the charter has now."""
        return self.charter.boat

    @property
    def before(self) -> tuple[Boat, ...]:
        """The boats it had before."""
        return self.boats[:-1]

    @property
    def today(self) -> date:
        return self.base.day_of(self.now)

    def asked(self, data: Mapping[str, str]) -> tuple[Boat, bool]:
        """The boat a form is about, and whether that is sure: one opened for another boat than the
        charter has now, and sent after the change, is not guessed at."""
        by_number = {boat.pk: boat for boat in self.boats}
        if about := by_number.get(row_number(data.get("about", "")) or 0):
            return about, True
        opened = by_number.get(row_number(data.get("boat", "")) or 0)
        return opened or self.boat, opened == self.boat


def through_link(page: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Opens a page to whoever has the secret in its address, in the language wanted; else says in plain
    words why not."""

    @wraps(page)
    def opened(request: HttpRequest, secret: str = "", **rest: Any) -> HttpResponse:
        if (kept := language.chosen(request)) is not None:
            return kept_apart(kept)
        if (other := address.elsewhere(request, secret)) is not None:
            return kept_apart(other)
        now = timezone.now()
        verdict = by_secret(secret, at=now)
        with language.speaking(request):
            try:
                good = verdict.state is State.GOOD
                answer = (
                    page(request, way_of(verdict, secret, now), **rest)
                    if good
                    else closed(request, verdict, now)
                )
            except Http404:
                answer = _nothing_here(request)
            return kept_apart(address.marked(request, language.marked(answer), verdict.state))

    shown: Callable[..., Any] = csp_update(PREVIEWS)(opened)
    return shown


def kept_apart(answer: HttpResponse) -> HttpResponse:
    """What a secret opens stays out of caches, search engines and other sites' logs. `same-origin`
    tells other sites nothing, as `no-referrer` would; with that, browsers send our own forms with
    the origin `null`, which the check against forged forms must refuse."""
    answer["Cache-Control"] = "no-store"
    answer["Referrer-Policy"] = "same-origin"
    answer["X-Robots-Tag"] = "noindex"
    return answer


def way_of(verdict: Verdict, secret: str, now: datetime) -> WayIn:
    """What is known by a link that is one of ours."""
    if verdict.link is None:
        raise Http404
    return WayIn(as_copied(secret), verdict.link, verdict.link.charter, now)


def closed(request: HttpRequest, verdict: Verdict, now: datetime) -> HttpResponse:
    """A plain word, the telephone, and what was typed, to be copied: nothing of it was kept."""
    heading, text = (str(said) for said in SAYS[verdict.state])
    base = base_to_ring(verdict, now)
    if verdict.state is State.ENDED and verdict.link is not None and base is not None:
        ended = local.moment(verdict.link.ends_at, base.timezone)
        text = gettext(
            "It ended on %(moment)s. What you sent before stays with the base. If there is more to say, "
            "ring the base."
        ) % {"moment": ended}
    return _said(request, heading, text, base, 410 if verdict.state in GONE else 404)


def base_to_ring(verdict: Verdict, now: datetime) -> Base | None:
    """The base to ring: the charter's, or the only one there is."""
    if verdict.link is not None:
        return base_of(verdict.link.charter.boat, now.date())
    bases = list(Base.objects.all()[:2])
    return bases[0] if len(bases) == 1 else None


def _nothing_here(request: HttpRequest) -> HttpResponse:
    text = gettext("Go back to the page your link opens.")
    return _said(request, gettext("Nothing here"), text, None, 404)


def _said(request: HttpRequest, heading: str, text: str, base: Base | None, status: int) -> HttpResponse:
    typed = [request.POST.get(name, "").replace("\0", "").strip() for name in TYPED]
    context = {
        "heading": heading,
        "text": text,
        "base": base,
        "telephone": telephone(base),
        "typed": "\n\n".join(words for words in typed if words),
        "was_sent": request.method == "POST",
    }
    return render(request, "maintenance/skipper_closed.html", context, status=status)


def telephone(base: Base | None) -> str:
    """A base's number as a telephone dials it; blank where it is not one plain number."""
    if base is None or not re.fullmatch(r"\+?[\d\s().-]{3,}", base.phone):
        return ""
    return re.sub(r"[^+\d]", "", base.phone)
