"""The one address of a link's page, and the word by which its copies on a phone are kept or dropped."""

from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect

from fleet.charters.links import State
from fleet.secret import as_copied, is_whole
from maintenance.pages.phone.language import PATH

STANDS = "Way-In"  # the worker believes only an answer that has it: a harbour's sign-in page has not


def elsewhere(request: HttpRequest, secret: str) -> HttpResponse | None:
    """Leads from an address begun with a capital, or written in capitals, to the one the worker and the
    app's scope are of. What is sent is taken where it comes in."""
    whole = as_copied(secret)
    if request.method not in ("GET", "HEAD") or not is_whole(whole):
        return None
    page = PATH + whole + request.path[len(PATH) + len(secret) :]
    query = request.META.get("QUERY_STRING", "")
    if page == request.path:
        return None
    return HttpResponseRedirect(f"{page}?{query}" if query else page)


def marked(request: HttpRequest, answer: HttpResponse, state: State) -> HttpResponse:
    """Says in a header whether copies may be kept (open), this answer is for once (passing: “Sent, thank
    you”), or all of them are to be dropped (closed)."""
    passing = len(get_messages(request)) > 0
    answer[STANDS] = "closed" if state is not State.GOOD else "passing" if passing else "open"
    return answer
