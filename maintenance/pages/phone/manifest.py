"""What a telephone is told to put a link among its apps: a name, a mark, and where it begins."""

from typing import Final

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

from maintenance.pages.phone.language import now_spoken
from maintenance.pages.way_in import WayIn, through_link

PAPER: Final = "#faf7ef"  # of the almanac: what is behind every page, and behind the mark
# Drawn from fleet/mark.svg: plain, and with room around for telephones that cut an icon round
# (W3C, Web App Manifest, “maskable”: what matters lies within 40 % of the width around the middle).
ICONS: Final = (
    ("mark-192.png", "192x192", "any"),
    ("mark-512.png", "512x512", "any"),
    ("mark-round-512.png", "512x512", "maskable"),
)


@require_safe
@through_link
def manifest(request: HttpRequest, way: WayIn) -> HttpResponse:
    """The link as an app of its own, beside those of other charters (W3C, Web App Manifest)."""
    begins = reverse("skipper", args=[way.secret])
    told = {
        "name": f"{way.boat.name}, {way.base.name}",
        "short_name": way.boat.name,
        "id": begins,
        "start_url": begins,
        "scope": begins,
        "display": "standalone",
        "lang": now_spoken(),
        "dir": "auto",
        "theme_color": PAPER,
        "background_color": PAPER,
        "icons": [_icon(*icon) for icon in ICONS],
    }
    return JsonResponse(told, content_type="application/manifest+json")


def _icon(name: str, sizes: str, purpose: str) -> dict[str, str]:
    address = static(f"maintenance/phone/{name}")
    return {"src": address, "sizes": sizes, "type": "image/png", "purpose": purpose}
