"""Signing in, and choosing a base where one works at several."""

from ipaddress import ip_address

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from fleet.bases.models import Base
from fleet.people.models import Membership


def address_of(request: HttpRequest) -> str | None:
    """Where somebody signs in from, for counting wrong passwords: behind a proxy all would otherwise
    come from one address. Its last word counts; what stands before it anybody can write."""
    direct: str | None = request.META.get("REMOTE_ADDR")
    if not settings.BEHIND_PROXY:
        return direct
    said = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].partition("%")[0].strip()
    try:
        return str(ip_address(said))
    except ValueError:
        return direct


@login_required
def home(request: HttpRequest) -> HttpResponse:
    """Straight to the week of the base one works at, or a choice of bases."""
    now = timezone.now()
    mine = Membership.objects.filter(person=request.user.pk)
    bases = [base for base in Base.objects.all() if mine.filter(base=base).on(base.day_of(now)).exists()]
    if len(bases) == 1:
        return redirect("week", base=bases[0].code)
    return render(request, "fleet/bases.html", {"bases": bases})
