"""A base's words of alarm: the list every base has, its own beside it, and a report to try them on."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.defects.alarm import MOST_LETTERS, about, raised_by
from maintenance.defects.alarm_words import ALARMS_IN, HARMLESS_IN, LANGUAGES
from maintenance.defects.models import AlarmWord
from maintenance.defects.own_words import MOST_LETTERS as MOST_OF_A_WORD
from maintenance.defects.own_words import add_word, remove_word
from maintenance.pages.fields import row_number
from maintenance.pages.tiles import tiles_field
from maintenance.pages.worded import words_field

SORTS = {"alarm": "Raises the alarm", "harmless": "Harmless here"}


class WordForm(forms.Form):
    """A word of the base's own."""

    phrase = words_field(
        "Word or words",
        "a word or a few",
        most=MOST_OF_A_WORD,
        help_text="as they are said together; a * at the end of a word stands for any ending",
    )
    sort = tiles_field("It", SORTS.items(), "one of the two")
    language = forms.ChoiceField(
        label="Language",
        required=False,
        choices=[("", "any"), *LANGUAGES.items()],
        error_messages={"invalid_choice": "Language: wanted one of the list"},
    )


class TryForm(forms.Form):
    """A report, to see what it would raise."""

    words = words_field("A report to try", "a few words", most=MOST_LETTERS, rows=3)


@at_base("change the base's rules")
def alarm_words(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The list by language, the base's own words, and what a report would raise."""
    what = request.POST.get("what", "")
    form = WordForm(request.POST if what == "add" else None, initial={"sort": "alarm"})
    trial = TryForm(request.POST if what == "try" else None)
    if what == "add" and form.is_valid() and _added(request, form, desk):
        return redirect("alarm-words", base=desk.base.code)
    if what == "remove":
        return _removed(request, desk)
    told = _tried(trial.cleaned_data["words"], desk) if what == "try" and trial.is_valid() else None
    wrong = bool(request.method == "POST" and not told)
    context = _context(desk) | {"form": form, "trial": trial, "told": told}
    return render(request, "maintenance/alarm_words.html", context, status=422 if wrong else 200)


def _added(request: HttpRequest, form: WordForm, desk: Desk) -> bool:
    try:
        word = add_word(desk.base, **form.cleaned_data)
    except (Refused, ValidationError) as refused:
        say(form, refused)
        return False
    if word.sort == AlarmWord.Sort.ALARM:
        messages.success(request, f"“{word.phrase}” raises the alarm from now on.")
    else:
        messages.warning(
            request, f"“{word.phrase}” raises no alarm from now on, whoever writes it. What it raised stays."
        )
    return True


def _removed(request: HttpRequest, desk: Desk) -> HttpResponse:
    number = row_number(request.POST.get("word", ""))
    word = get_object_or_404(AlarmWord, base=desk.base, pk=number or 0)
    said = word.phrase
    remove_word(word)
    messages.success(request, f"“{said}” is off your own list.")
    return redirect("alarm-words", base=desk.base.code)


def _tried(words: str, desk: Desk) -> dict[str, str]:
    """Which word of a report raises the alarm, and what it tells of."""
    own = AlarmWord.objects.filter(base=desk.base)
    of = {sort: [word.phrase for word in own if word.sort == sort] for sort in SORTS}
    word = raised_by(words, alarms=of["alarm"], harmless=of["harmless"])
    return {"word": word.replace("*", ""), "about": about(word) or ("your own word" if word else "")}


def _context(desk: Desk) -> dict[str, Any]:
    shown = [
        {
            "name": name,
            "alarms": [(told, "; ".join(phrases)) for told, phrases in ALARMS_IN[code].items()],
            "harmless": "; ".join(HARMLESS_IN[code]),
        }
        for code, name in LANGUAGES.items()
    ]
    own = AlarmWord.objects.filter(base=desk.base).order_by("sort", "phrase")
    return {
        "desk": desk,
        "here": "rules",
        "books": shown,
        "own": [(word, SORTS[word.sort], LANGUAGES.get(word.language, "")) for word in own],
        "back": reverse("rules", args=[desk.base.code]),
    }
