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
    now = timezone.now()
    mine = Membership.objects.filter(person=request.user.pk)
    bases = [base for base in Base.objects.all() if mine.filter(base=base).on(base.day_of(now)).exists()]
    if len(bases) == 1:
        return redirect("week", base=bases[0].code)
    return render(request, "fleet/bases.html", {"bases": bases})
