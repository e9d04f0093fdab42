"""Who stands under a release: said as a list, added to, confirmed, undone today; read by the manager."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat
from fleet.ledger import once, take_back
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.fields import faults_of, row_number, sent_id
from maintenance.pages.release_form import OtherName
from maintenance.release.actions import Name, ReleaseRefused, add_name
from maintenance.release.afterwards import Read, to_read
from maintenance.release.models import Release, ReleaseName

How = ReleaseName.How


def names_of(release: Release, desk: Desk) -> list[dict[str, Any]]:
    """Each name under a release with how and when, and whether one by telephone waits to be confirmed."""
    rows = list(release.names.standing().exclude(how=How.SEEN).order_by("pk"))
    confirmed = {row.confirms_id: row for row in rows if row.confirms_id is not None}
    return [_name(row, confirmed.get(row.pk), desk) for row in rows if row.confirms_id is None]


def read_by(release: Release, desk: Desk) -> list[str]:
    """Who read a release afterwards, and when: they do not stand under it."""
    rows = release.names.standing().filter(how=How.SEEN).order_by("pk")
    return [f"{row.name}, {wording.moment(row.at, desk.base.timezone)}" for row in rows]


def _name(row: ReleaseName, confirmed: ReleaseName | None, desk: Desk) -> dict[str, Any]:
    by_telephone = row.how == How.BY_TELEPHONE
    later = wording.moment(confirmed.at, desk.base.timezone) if confirmed else ""
    return {
        "pk": row.pk,
        "name": row.name,
        "how": row.how,
        "when": wording.moment(row.at, desk.base.timezone),
        "read_out": row.read_out,
        "confirmed": f"confirmed {later} by {confirmed.name}" if confirmed else "",
        "waits": by_telephone and confirmed is None,
    }


@require_POST
@at_base("release a boat")
def release_said(request: HttpRequest, desk: Desk, release: int) -> HttpResponse:
    """Adds a name to a release, confirms one given by telephone, or takes the release back today."""
    row = _row(release, desk)
    what = request.POST.get("what", "")
    try:
        if what == "undo":
            _undo(request, row, desk)
        elif what == "confirm":
            _confirm(request, row, desk)
        else:
            _add(request, row, desk)
    except ReleaseRefused as refused:
        messages.error(request, f"{row.boat.name}: {refused.wanted}")
    if request.POST.get("from") == "releases":
        return redirect("releases", base=desk.base.code)
    where = reverse("release", args=[desk.base.code, row.boat_id])
    return redirect(f"{where}?charter={row.charter_id}" if row.charter.ends_on > desk.today else where)


def _row(release: int, desk: Desk) -> Release:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Release.objects.select_related("boat", "charter", "replaced_by")
    row: Release = get_object_or_404(rows.filter(void=False), pk=release, boat__in=boats)
    return row


def _undo(request: HttpRequest, row: Release, desk: Desk) -> None:
    if not desk.is_today(row.recorded_at):
        raise ReleaseRefused("It was said before today: say that she is held, and why")
    take_back(row, at=desk.now, by=desk.person)
    messages.success(request, f"{row.boat.name}: “{row.verdict}” for {row.charter.code} is taken back.")


def _confirm(request: HttpRequest, row: Release, desk: Desk) -> None:
    pk = row_number(request.POST.get("name", "")) or 0
    name = get_object_or_404(row.names.standing(), pk=pk, how=How.BY_TELEPHONE)
    said = Name(desk.person.name, How.CONFIRMED, person=desk.person, at=desk.now)
    add_name(row, said, confirms=name, at=desk.now, by=desk.person)
    messages.success(request, f"{row.boat.name}: {name.name} by telephone is confirmed.")


def _add(request: HttpRequest, row: Release, desk: Desk) -> None:
    form = OtherName(request.POST, desk=desk, prefix="later")
    if not form.is_valid() or (name := form.second()) is None:
        messages.error(request, f"{row.boat.name}: no name was added. {faults_of(form)}")
        return
    client_id = sent_id(request.POST)
    known = ReleaseName.objects.filter(release=row, client_id=client_id or "").first
    once(known, lambda: add_name(row, name, at=desk.now, by=desk.person, client_id=client_id))
    messages.success(request, f"{row.boat.name}: {name.name} stands under the release too.")


@at_base("see", post="change the base's rules")
def releases(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What was said by one person, let be, or by telephone and not confirmed yet; seen by one tap."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    if request.method == "POST":
        rows = Release.objects.standing().select_related("boat", "charter")
        row = get_object_or_404(rows, pk=row_number(request.POST.get("release", "")) or 0, boat__in=boats)
        _seen(request, row, desk)
        return redirect("releases", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "boats",
        "rows": [_to_read(read, desk) for read in to_read(boats)],
        "may_see": desk.may("change the base's rules"),
        "may_confirm": desk.may("release a boat"),
    }
    return render(request, "maintenance/releases.html", context)


def _seen(request: HttpRequest, row: Release, desk: Desk) -> None:
    said = Name(desk.person.name, How.SEEN, person=desk.person, at=desk.now)
    known = ReleaseName.objects.standing().filter(release=row, how=How.SEEN).first
    once(known, lambda: add_name(row, said, at=desk.now, by=desk.person))
    messages.success(request, f"{row.boat.name}, {row.charter.code}: seen.")


def _to_read(read: Read, desk: Desk) -> dict[str, Any]:
    return {
        "release": read.release,
        "alone": read.alone,
        "unseen": read.unseen,
        "let_be": [reason["words"] for reason in read.release.reasons],
        "said_at": wording.moment(read.release.recorded_at, desk.base.timezone),
        "names": names_of(read.release, desk),
        "read_by": read_by(read.release, desk),
    }
