"""The alarms that wait for a look, on top of the week and of a boat's page."""

from typing import Any

from django import template

from maintenance.pages.alarms import alarms_of

register = template.Library()


@register.inclusion_tag("maintenance/alarms.html")
def alarms(desk: Any, boat: int | None = None) -> dict[str, Any]:
    """Those of a base's boats, or of one of them."""
    return {"desk": desk, "alarms": alarms_of(desk, None if boat is None else [boat])}
