"""Signing in, and choosing a base where one works at several."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from fleet.bases.models import Base
from fleet.people.models import Membership


@login_required
def home(request: HttpRequest) -> HttpResponse:
    """Straight to the week of the base one works at, or a choice of bases."""
    today = timezone.now().date()
    mine = Membership.objects.filter(person=request.user.pk).on(today).values("base")
    bases = list(Base.objects.filter(pk__in=mine))
    if len(bases) == 1:
        return redirect("week", base=bases[0].code)
    return render(request, "fleet/bases.html", {"bases": bases})
