"""The words that raise the alarm and those that do not, in every language of the pages. Pure.

Common practice, no source: what a sailor would shout about. A base adds its own beside them. A word
ending in * is the beginning of one, … stands for up to six others of the sentence, accents and
capitals count for nothing. A word that means something harmless in another of the languages (dim,
brand, pali, falla, tone, hissen) stands only in a phrase: nobody says which language a report is in.
"""

from typing import Final

from maintenance.defects.words import de, el, en, es, fr, hr, it, pl

LANGUAGES: Final = {
    "en": "English",
    "de": "German",
    "fr": "French",
    "it": "Italian",
    "es": "Spanish",
    "el": "Greek",
    "hr": "Croatian",
    "pl": "Polish",
}
FIRE, GAS, FUMES, WATER = "fire", "gas", "fumes", "water"
STEERING, PEOPLE, ENGINE = "steering", "people", "engine"
TOLD_OF: Final = (FIRE, GAS, FUMES, WATER, STEERING, PEOPLE, ENGINE)


def _apart(phrases: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(" ".join(phrase.split()) for phrase in phrases.split("|")))


_BOOKS: Final = {"en": en, "de": de, "fr": fr, "it": it, "es": es, "el": el, "hr": hr, "pl": pl}

# By language: what raises the alarm, by what it tells of, and what is harmless in spite of it.
ALARMS_IN: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    language: {about: _apart(text) for about, text in book.ALARMS.items()}
    for language, book in _BOOKS.items()
}
HARMLESS_IN: Final[dict[str, tuple[str, ...]]] = {
    language: _apart(book.HARMLESS) for language, book in _BOOKS.items()
}
ALARMS: Final = tuple(p for book in ALARMS_IN.values() for phrases in book.values() for p in phrases)
HARMLESS: Final = tuple(phrase for phrases in HARMLESS_IN.values() for phrase in phrases)
ABOUT: Final[dict[str, str]] = {
    p: about for book in ALARMS_IN.values() for about, phrases in book.items() for p in phrases
}
# Small words that may stand between those of a phrase; none that says no.
FILLERS: Final[frozenset[str]] = frozenset(word for book in _BOOKS.values() for word in book.FILLERS.split())
