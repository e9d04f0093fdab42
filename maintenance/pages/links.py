"""The office's side of a skipper's link: made, shown once as text and code, and closed again."""

import segno
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat
from fleet.charters.links import LinkRefused, State, end_of, make_link, revoke_link, state_of
from fleet.charters.models import Charter, Link
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.way_in import kept_apart

HERE_ONLY = ("localhost", "127.0.0.1", "[::1]")


@require_POST
@at_base("change charters")
def new_link(request: HttpRequest, desk: Desk, charter: int) -> HttpResponse:
    """Makes a way in and shows it this once: what is kept of it cannot be turned back."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Charter.objects.booked().filter(boat__in=boats).select_related("boat")
    row = get_object_or_404(rows, pk=charter)
    try:
        link, secret = make_link(row, at=desk.now, by=desk.person)
    except LinkRefused as refused:
        messages.error(request, wording.sentence(f"{refused}."))
        return redirect("charter", base=desk.base.code, charter=row.pk)
    address = request.build_absolute_uri(reverse("skipper", args=[secret]))
    context = {
        "desk": desk,
        "here": "charters",
        "charter": row,
        "address": address,
        "code": qr_code(address),
        "ends": wording.moment(link.ends_at, desk.base.timezone),
        "here_only": request.get_host().rsplit(":", 1)[0] in HERE_ONLY,
    }
    return kept_apart(render(request, "maintenance/link.html", context))


@require_POST
@at_base("change charters")
def close_link(request: HttpRequest, desk: Desk, link: int) -> HttpResponse:
    """Closes a way in that got into the wrong hands, or is not wanted any more."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(Link.objects.select_related("charter"), pk=link, charter__boat__in=boats)
    revoke_link(row, at=desk.now, by=desk.person)
    messages.success(request, f"{row.charter.code}: the link is closed. What came by it stays.")
    return redirect("charter", base=desk.base.code, charter=row.charter_id)


def qr_code(address: str) -> SafeString:
    """The address as a code to scan: a drawing without style or script."""
    drawn = segno.make(address, error="m", micro=False)
    # Marks and numbers of segno's own making; nothing of the address is in them.
    return mark_safe(drawn.svg_inline(omitsize=True, border=2, svgclass="qr", lineclass=None))


def links_of(charter: Charter, desk: Desk) -> list[dict[str, str | int | bool]]:
    """A charter's links in words, the latest first."""
    rows = Link.objects.filter(charter=charter).select_related("charter", "made_by", "revoked_by")
    return [_said(link, desk) for link in rows]


def may_have_more(charter: Charter, desk: Desk) -> bool:
    """Whether a link made now would open anything."""
    return desk.now < end_of(charter)


def _said(link: Link, desk: Desk) -> dict[str, str | int | bool]:
    zone = desk.base.timezone
    state = state_of(link, at=desk.now)
    made = f"made {wording.moment(link.made_at, zone)}" + (f" by {link.made_by.name}" if link.made_by else "")
    ends = f"{'ended' if state is State.ENDED else 'ends'} {wording.moment(link.ends_at, zone)}"
    if link.revoked_at is not None:
        ends = f"closed {wording.moment(link.revoked_at, zone)}"
        ends += f" by {link.revoked_by.name}" if link.revoked_by else ""
    return {"pk": link.pk, "made": wording.sentence(made), "ends": ends, "open": state is State.GOOD}
