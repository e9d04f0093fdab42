"""What a skipper was told at the handover, by the charter's link."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from maintenance.pages.phone import local
from maintenance.pages.told import told_said
from maintenance.pages.way_in import WayIn, telephone, through_link
from maintenance.release.facts import judge
from maintenance.turnaround.facts import handed_before, handover_of


@require_http_methods(["GET", "HEAD"])
@through_link
def told(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Limits, known damage and deferred things of the boat the charter has now, as they were told."""
    row = handover_of(way.charter)
    context = {
        "way": way,
        "base": way.base,
        "telephone": telephone(way.base),
        "handover": row,
        "told": told_said(row.told, way.base.timezone) if row else None,
        "when": local.moment(row.recorded_at, way.base.timezone) if row else "",
        "before": [old.boat.name for old in handed_before(way.charter)],
        "begun": way.charter.starts_on <= way.today,
        "limits": _limits_now(way) if row is None else (),
    }
    return render(request, "maintenance/skipper_told.html", context)


def _limits_now(way: WayIn) -> tuple[str, ...]:
    """What of the boat has a limit today, where nobody recorded what was told of it."""
    return judge(way.boat, way.charter, base=way.base, on=way.today, now=way.now).limits


def told_photos(way: WayIn) -> set[str]:
    """The photos of known damage a skipper was shown at the handover, by their hash."""
    row = handover_of(way.charter)
    damage = row.told.get("damage", []) if row else []
    return {sha256 for one in damage for sha256 in one.get("photos", [])}
