"""A photo or certificate, to whoever may look around at a base that holds it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from fleet.pages.desk import Desk, at_base
from fleet.papers.models import Paper
from fleet.papers.serving import serve

__all__ = ["paper", "serve"]


@at_base("see")
def paper(request: HttpRequest, desk: Desk, sha256: str) -> HttpResponse:
    """One paper; the same answer for one of another base and for one that nobody has."""
    return serve(get_object_or_404(Paper.objects.of_bases([desk.base.pk]), sha256=sha256), request)
