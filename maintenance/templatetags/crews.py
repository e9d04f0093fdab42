"""What is new from the crews, on top of a page, and how a report or a return came in."""

from typing import Any

from django import template

from maintenance.pages.new_done import done_of
from maintenance.pages.new_reports import new_at

register = template.Library()


@register.inclusion_tag("maintenance/new_reports.html", takes_context=True)
def new_reports(context: Any, of: str) -> dict[str, Any]:
    """The list as it is when the page opens; `of` names the page, for the ways back to it."""
    desk, request = context["desk"], context["request"]
    return {
        "desk": desk,
        "of": of,
        "new": new_at(desk),
        "done": done_of(request.GET.get("done", ""), desk),
        "may_join": desk.may("grade and defer"),
    }
