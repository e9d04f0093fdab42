"""Which words of a report raise the alarm, in any language of the pages. Pure."""

import re
import unicodedata
from collections.abc import Iterable

from maintenance.defects.alarm_words import ALARMS, HARMLESS


def raised_by(words: str, *, alarms: Iterable[str] = (), harmless: Iterable[str] = ()) -> str:
    """The phrase that raises the alarm, blank where none does; `alarms` and `harmless` are the base's
    own beside the list. A word ending in * is the beginning of one. A harmless phrase, such as one
    for an empty gas bottle, is taken out of the words first; the base's own alarm words are looked
    for in all of them."""
    said = folded(words)
    left = said
    for phrase in (*HARMLESS, *harmless):
        left = _pattern(phrase).sub(" ", left)
    found = [(left, phrase) for phrase in ALARMS] + [(said, phrase) for phrase in alarms]
    return next((phrase for text, phrase in found if _pattern(phrase).search(text)), "")


def folded(text: str) -> str:
    """Small letters without accents, in any script, single spaces between."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(c for c in parts if not unicodedata.combining(c))
    return " ".join(re.split(r"[^\w]+", bare)).strip()


def _pattern(phrase: str) -> re.Pattern[str]:
    """A phrase as whole words in their order, each but for what * leaves open."""
    words = [folded(w.rstrip("*")) + (r"\w*" if w.endswith("*") else "") for w in phrase.split()]
    return re.compile(r"\b" + r"\s".join(words) + r"\b")
