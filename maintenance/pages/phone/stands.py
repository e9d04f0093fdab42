"""How what a phone sent stands with the base, by the ids the phone made."""

from django.http import HttpRequest, HttpResponse, JsonResponse

from maintenance.pages.phone.door import for_phone
from maintenance.pages.skipper_sent import own_reports, own_returns
from maintenance.pages.way_in import WayIn

MOST_TOLD = 1_000  # own choice: more than a charter of weeks sends


@for_phone("GET", "HEAD")
def stands(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Each report and return of the charter's links that a phone made an id for."""
    entries = [*own_reports(way, MOST_TOLD), *own_returns(way, MOST_TOLD)]
    told = {e["id"]: {"stand": e["stand"], "said": e["state"]} for e in entries if e["id"]}
    return JsonResponse({"stands": told})
