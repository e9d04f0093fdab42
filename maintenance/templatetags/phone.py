"""What a page of the link carries for the phone: what is kept on it, the script's words, the scripts."""

from typing import Any

from django import template
from django.urls import reverse

from fleet.secret import as_copied
from maintenance.pages.phone.said import said
from maintenance.pages.phone.scripts import address_of

register = template.Library()
register.simple_tag(address_of, name="script_address")


@register.inclusion_tag("maintenance/skipper_phone.html", takes_context=True)
def kept_on_phone(context: dict[str, Any], *, open: bool = False) -> dict[str, Any]:
    """The line of what is kept and not sent yet, `open` with all of it; nothing beside a skipper's link."""
    match = context["request"].resolver_match
    secret = match.kwargs.get("secret") if match and match.url_name.startswith("skipper") else None
    if not (secret and as_copied(secret)):
        return {}
    link = reverse("skipper", kwargs={"secret": as_copied(secret)})
    ring = {name: context.get(name) for name in ("base", "telephone")}
    return ring | {"link": link, "open": open, "words": said()}
