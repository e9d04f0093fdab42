"""The cleaners' pages: two taps, the boat and what was seen; no account, no script, only boats' names."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import wraps
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from fleet.boats.models import Boat
from fleet.charters.facts import spans_by_boat
from fleet.pages.fields import PhotosField
from fleet.people.cleaners import cleaners_link, was_copied_whole
from fleet.people.models import CleanersLink
from fleet.refused import Refused
from fleet.secret import as_copied
from maintenance.defects.models import Defect
from maintenance.pages import alarm_wording, wording
from maintenance.pages.asked import answer, questions
from maintenance.pages.skipper_form import MOST_NAME
from maintenance.pages.way_in import kept_apart, telephone
from maintenance.pages.words_field import WordsField
from maintenance.turnaround.by_cleaners import (
    CleanersLinkClosed,
    Seen,
    name_of,
    report_by_cleaners,
    report_of,
)
from maintenance.turnaround.let_in import MOST_AN_HOUR, MOST_PHOTOS, TooManyForNow

MOST_TYPED = 4_000
# What is tapped, and what stands small below it; the first words of the report.
SEEN = (
    ("Wet bilge", "water below the floor"),
    ("Something broken", ""),
    ("Smell of gas or fuel", "out first, then write"),
    ("Something burnt", "burnt, melted, black"),
    ("Head not working", "toilet, pump, smell"),
    ("Water leaks in", "hatch, window, deck"),
    ("Lost things found", "whose are they?"),
    ("Something else", "in your words"),
)
ELSE, FOUND = "Something else", "seen"
WORDS_WANTED = "In your words: wanted what it is, or a photo"
WHAT_WANTED = "What you saw: wanted one of the tiles"
OFTEN = (
    f"This link takes {MOST_AN_HOUR} reports an hour of one boat, and that many came. What you typed stands "
    "below: send it again in an hour, or ring the base."
)
UNSURE = "unsure"
NOT_KNOWN = "Thank you. Somebody of the base looks: ring them, so that it is soon."
CLOSED = ("The base closed this way in", "Ask the base for a new one if you still need it.")
NOT_WHOLE = (
    "This address is not complete",
    "Something of it was lost or changed when it was copied. Scan the code again, or copy all of it.",
)
UNKNOWN = ("This way in is not known here", "Ask the base for a new one.")


@dataclass(frozen=True, slots=True)
class Cleaner:
    """What a cleaner's page knows before it asks anything; the clock is read here and nowhere below."""

    secret: str
    link: CleanersLink
    now: datetime

    @property
    def boats(self) -> Any:
        return Boat.objects.of_base(self.link.base_id, self.link.base.day_of(self.now)).order_by("name")


def through_cleaners_link(page: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Opens a page to whoever has the secret in its address; else says in plain words why not."""

    @wraps(page)
    def opened(request: HttpRequest, secret: str = "", **rest: Any) -> HttpResponse:
        link = cleaners_link(secret)
        if link is None:
            return _closed(request, *(UNKNOWN if was_copied_whole(secret) else NOT_WHOLE), status=404)
        if link.revoked_at is not None:
            return _closed(request, *CLOSED, status=410, link=link)
        try:
            answered = page(request, Cleaner(as_copied(secret), link, timezone.now()), **rest)
        except Http404:
            return _closed(
                request, "Nothing here", "Go back to the page your link opens.", status=404, link=link
            )
        return kept_apart(answered)

    return opened


def _closed(
    request: HttpRequest, heading: str, text: str, *, status: int, link: CleanersLink | None = None
) -> HttpResponse:
    """A plain word, the telephone, and what was typed, to be copied: nothing of it was kept."""
    base = link.base if link else None
    typed = "\n\n".join(filter(None, (request.POST.get(n, "").replace("\0", "") for n in (FOUND, "words"))))
    context = {
        "heading": heading,
        "text": text,
        "base": base,
        "telephone": telephone(base),
        "typed": typed,
        "was_sent": request.method == "POST",
    }
    return kept_apart(render(request, "maintenance/skipper_closed.html", context, status=status))


class SeenForm(forms.Form):
    """Words, photos and a name beside the tile that was tapped; none has to be given."""

    words = WordsField("In your words", MOST_TYPED, rows=3)
    photos = PhotosField("Photos", most=MOST_PHOTOS)
    reporter = WordsField("Your name", MOST_NAME)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        found = self.data.get(FOUND, "")
        if found not in dict(SEEN):
            self.add_error(None, WHAT_WANTED)
        elif found == ELSE and not (cleaned.get("words") or cleaned.get("photos")):
            self.add_error("words", WORDS_WANTED)
        return cleaned

    def seen(self) -> Seen:
        data, found = self.cleaned_data, self.data[FOUND]
        first = "" if found == ELSE and data["words"] else found
        words = ": ".join(part for part in (first, data["words"]) if part)
        return Seen(words, data["photos"], data["reporter"])


@require_http_methods(["GET", "HEAD"])
@through_cleaners_link
def which_boat(request: HttpRequest, way: Cleaner) -> HttpResponse:
    """The first tap: the boats in port today, and all others below."""
    boats = list(way.boats)
    today = way.link.base.day_of(way.now)
    spans = spans_by_boat([boat.pk for boat in boats])
    out = {pk for pk, had in spans.items() if any(s.starts_on < today < s.ends_on for s in had)}
    context = _about(way) | {
        "here": [boat for boat in boats if boat.pk not in out],
        "away": [boat for boat in boats if boat.pk in out],
    }
    return render(request, "maintenance/cleaner_boats.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@through_cleaners_link
def what_seen(request: HttpRequest, way: Cleaner, boat: int) -> HttpResponse:
    """The second tap: what was seen, with words, photos and a name where they want to."""
    row = get_object_or_404(way.boats, pk=boat)
    sent = request.method == "POST"
    form = SeenForm(*((request.POST, request.FILES) if sent else ()))
    client_id = request.POST.get("client_id") or uuid.uuid4().hex
    status = 422 if sent else 200
    if sent and form.is_valid():
        try:
            kept = report_by_cleaners(way.link, row, form.seen(), at=way.now, client_id=client_id)
            return redirect("cleaner-sent", secret=way.secret, name=name_of(way.link, kept))
        except CleanersLinkClosed:
            return _closed(request, *CLOSED, status=410, link=way.link)
        except TooManyForNow:
            form.add_error(None, OFTEN)
            status = 429
        except Refused as refused:
            form.add_error(None, wording.sentence(refused.wanted))
    context = _about(way) | {
        "boat": row,
        "form": form,
        "tiles": SEEN,
        "first": alarm_wording.in_port_first(),
        "client_id": client_id,
    }
    return render(request, "maintenance/cleaner_seen.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@through_cleaners_link
def sent(request: HttpRequest, way: Cleaner, name: str) -> HttpResponse:
    """What the base has of one report, and “is it happening now?” where its words raise the alarm."""
    row = report_of(way.link, name)
    if row is None:
        raise Http404
    if request.method == "POST":
        return _answered(request, way, name, row)
    context = _about(way) | {
        "report": row,
        "boat": row.boat,
        "when": wording.moment(row.recorded_at, way.link.base.timezone),
        "photos": row.papers.count(),
        "questions": [] if UNSURE in request.GET else _asked(way, row),
        "first": alarm_wording.advice(row.alarm, in_port=True),
        "answer_at": request.path,
    }
    return render(request, "maintenance/cleaner_sent.html", context)


def _asked(way: Cleaner, row: Defect) -> list[dict[str, Any]]:
    return questions([row.case], way.link.base.timezone, in_port=True)


def _answered(request: HttpRequest, way: Cleaner, name: str, row: Defect) -> HttpResponse:
    """Keeps a yes or a no. Who does not know says so and is not asked again; the alarm stands."""
    there = reverse("cleaner-sent", args=[way.secret, name])
    if request.POST.get("happening") == UNSURE:
        messages.success(request, NOT_KNOWN)
        return redirect(f"{there}?{UNSURE}=1")
    tag, words = answer(request, [row.case], at=way.now)
    getattr(messages, tag)(request, words)
    return redirect(there)


def _about(way: Cleaner) -> dict[str, Any]:
    base = way.link.base
    return {"way": way, "base": base, "telephone": telephone(base)}
