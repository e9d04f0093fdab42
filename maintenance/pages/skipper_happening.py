"""The skipper's answer to “is it happening now?”, of a report by a link of the charter."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from maintenance.pages.asked import answer
from maintenance.pages.way_in import WayIn, through_link
from maintenance.turnaround.models import LinkDefect, ReturnDefect


def cases_of(way: WayIn) -> list[int]:
    """What came by the charter's links, in a report or in a return."""
    reports = LinkDefect.objects.filter(link__charter=way.charter).values_list("defect", flat=True)
    told = ReturnDefect.objects.filter(filed__came_by__link__charter=way.charter)
    return [*reports, *told.values_list("defect", flat=True)]


@require_http_methods(["GET", "HEAD", "POST"])
@through_link
def happening(request: HttpRequest, way: WayIn) -> HttpResponse:
    """Keeps the answer, once; opened by hand it leads to what was sent, where it is asked."""
    if request.method == "POST":
        tag, words = answer(request, cases_of(way), at=way.now)
        getattr(messages, tag)(request, words)
    return redirect("skipper-sent", secret=way.secret)
