"""The languages of the skipper's pages, to choose from."""

from typing import Any

from django import template

from maintenance.pages.phone.language import NAMES, PATH, now_spoken

register = template.Library()


@register.inclusion_tag("maintenance/tongues.html", takes_context=True)
def tongues(context: Any) -> dict[str, Any]:
    """Each language in its own name; none on pages that speak English only, as the cleaners' do."""
    request = context["request"]
    if not request.path.lower().startswith(PATH):
        return {}
    spoken = now_spoken()
    return {"request": request, "tongues": NAMES.items(), "spoken": spoken, "name": NAMES[spoken]}
