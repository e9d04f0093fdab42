"""Addresses that can be nobody's, turned away before any page asks the database about them."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse


def no_nul(answer: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Nothing lies at an address with a byte 0: PostgreSQL takes it in no text and would fail."""

    def turned_away(request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info:
            raise Http404
        return answer(request)

    return turned_away
