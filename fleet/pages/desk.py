"""Who stands at the door: the person, the base, what they may do, and the moment."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from fleet.bases.models import Base
from fleet.people.models import Membership, Person
from fleet.people.roles import may


@dataclass(frozen=True, slots=True)
class Desk:
    """What a page knows before it asks anything; the clock is read here and nowhere below."""

    base: Base
    person: Person
    roles: frozenset[str]
    now: datetime

    @property
    def today(self) -> date:
        return self.base.day_of(self.now)

    def is_today(self, moment: datetime) -> bool:
        """Whether something was recorded on this day of the base's."""
        return self.base.day_of(moment) == self.today

    def may(self, action: str) -> bool:
        return may(self.roles, action)


def open_desk(request: HttpRequest, code: str) -> Desk:
    """The desk of a base for the person signed in; 404 where the base is not theirs."""
    now = timezone.now()
    base = Base.objects.filter(code=code).first()
    person = request.user
    if base is None or not isinstance(person, Person):
        raise Http404
    roles = Membership.objects.filter(person=person, base=base).on(base.day_of(now))
    desk = Desk(base, person, frozenset(roles.values_list("role", flat=True)), now)
    if not desk.roles:
        raise Http404
    return desk


def at_base(action: str, post: str | None = None) -> Callable[..., Callable[..., HttpResponse]]:
    """Opens a page to people who may do this at the base in its address; `post` is what sending
    its form needs, where that is more."""

    def door(page: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(page)
        @login_required
        def opened(request: HttpRequest, base: str, **rest: Any) -> HttpResponse:
            desk = open_desk(request, base)
            timezone.activate(ZoneInfo(desk.base.timezone))
            needed = post if post and request.method not in ("GET", "HEAD") else action
            if not desk.may(needed):
                raise PermissionDenied(needed)
            return page(request, desk, **rest)

        return opened

    return door
