"""Ways on from a defect and from a boat's card: go out to her, take the part from another boat."""

from typing import Any

from django import template

from maintenance.defects.models import Defect
from maintenance.jobs.under_way import called_for
from maintenance.pages.call_outs import calls_told
from maintenance.turnaround.at_sea import under_way

register = template.Library()


@register.inclusion_tag("maintenance/ways_on.html")
def ways_on(desk: Any, defect: Defect) -> dict[str, Any]:
    """What can be done about an open defect besides ending it, by who may."""
    still = Defect.objects.open().filter(pk=defect.pk).exists()
    call = called_for(defect) if still else None
    out = under_way(defect.boat, desk.base, desk.now) if still and call is None else None
    return {
        "desk": desk,
        "defect": defect,
        "call": call,
        "may_go": out is not None and desk.may("go out to a boat"),
        "may_take": still and desk.may("put a defect right"),
    }


@register.simple_tag(takes_context=True)
def calls_open(context: Any) -> list[dict[str, Any]]:
    """Call-outs under way at a base, in words."""
    return _calls(context)


@register.inclusion_tag("maintenance/call_word.html", takes_context=True)
def call_word(context: Any, boat: int) -> dict[str, Any]:
    """A boat's call-outs on her card."""
    return {"desk": context["desk"], "calls": [c for c in _calls(context) if c["boat"].pk == boat]}


def _calls(context: Any) -> list[dict[str, Any]]:
    """Read once a page, however many cards: a fixed number of queries."""
    request = context["request"]
    if not hasattr(request, "call_outs_told"):
        request.call_outs_told = calls_told(context["desk"])
    told: list[dict[str, Any]] = request.call_outs_told
    return told
