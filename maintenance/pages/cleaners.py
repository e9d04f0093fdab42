"""The manager's side of the cleaners' link: made, shown once as text and code, and closed again."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.pages.desk import Desk, at_base
from fleet.people.cleaners import LinkRefused, close_cleaners_link, make_cleaners_link
from fleet.people.models import CleanersLink
from maintenance.pages import wording
from maintenance.pages.fields import row_number
from maintenance.pages.links import HERE_ONLY, qr_code
from maintenance.pages.way_in import kept_apart


@at_base("change people")
def cleaners(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The links of a base's cleaners; one is made or closed."""
    what = request.POST.get("what", "")
    if what == "close":
        return _close(request, desk)
    if what == "make":
        return _make(request, desk)
    context = {"desk": desk, "here": "people", "links": _links(desk)}
    status = 422 if request.method == "POST" else 200
    return render(request, "maintenance/cleaners.html", context, status=status)


def _make(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Makes a way in and shows it this once: what is kept of it cannot be turned back."""
    try:
        _, secret = make_cleaners_link(desk.base, at=desk.now, by=desk.person)
    except LinkRefused as refused:
        messages.error(request, wording.sentence(f"{refused}."))
        return redirect("cleaners", base=desk.base.code)
    address = request.build_absolute_uri(reverse("cleaner", args=[secret]))
    context = {
        "desk": desk,
        "here": "people",
        "address": address,
        "code": qr_code(address),
        "here_only": request.get_host().rsplit(":", 1)[0] in HERE_ONLY,
    }
    return kept_apart(render(request, "maintenance/cleaners_link.html", context))


def _close(request: HttpRequest, desk: Desk) -> HttpResponse:
    number = row_number(request.POST.get("link", "")) or 0
    row = get_object_or_404(CleanersLink, base=desk.base, pk=number)
    close_cleaners_link(row, at=desk.now)
    messages.success(request, "The link is closed. What came by it stays.")
    return redirect("cleaners", base=desk.base.code)


def _links(desk: Desk) -> list[dict[str, Any]]:
    zone = desk.base.timezone
    rows = CleanersLink.objects.filter(base=desk.base).select_related("made_by")
    return [
        {
            "pk": row.pk,
            "made": f"Made {wording.moment(row.made_at, zone)}"
            + (f" by {row.made_by.name}" if row.made_by else ""),
            "closed": f"closed {wording.moment(row.revoked_at, zone)}" if row.revoked_at else "",
        }
        for row in rows
    ]
