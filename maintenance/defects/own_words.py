"""A base's own words of alarm, and those that are harmless there: added and taken off."""

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.refused import Refused, Taken
from maintenance.defects.alarm import folded
from maintenance.defects.alarm_words import LANGUAGES
from maintenance.defects.models import AlarmWord

MOST_OWN, MOST_LETTERS, LEAST_LETTERS = 200, 60, 2


class WordRefused(Refused):
    """A word that cannot be kept; the text says what is wanted."""


@transaction.atomic
def add_word(base: Base, *, phrase: str, sort: str, language: str = "") -> AlarmWord:
    """Keeps a word that raises the alarm at a base, or one that is harmless there; Taken or WordRefused."""
    take_turn()
    said = " ".join(phrase.split())
    if len(said) > MOST_LETTERS or len(folded(said).replace(" ", "")) < LEAST_LETTERS:
        raise WordRefused(f"phrase: wanted a word or a few, {LEAST_LETTERS} to {MOST_LETTERS} letters")
    if sort not in AlarmWord.Sort.values:
        raise WordRefused("sort: wanted alarm or harmless")
    if language and language not in LANGUAGES:
        raise WordRefused(f"language: wanted {', '.join(LANGUAGES)}, or none")
    own = list(AlarmWord.objects.filter(base=base))
    if any(_same(word.phrase, said) for word in own):
        raise Taken("phrase", f"“{said}”")
    if len(own) >= MOST_OWN:
        raise WordRefused(f"phrase: wanted at most {MOST_OWN} words of your own; take one off first")
    word = AlarmWord(base=base, phrase=said, sort=sort, language=language)
    word.full_clean()
    word.save()
    return word


@transaction.atomic
def remove_word(word: AlarmWord) -> None:
    """Takes a word off a base's own list; what it raised stays raised."""
    word.delete()


def _same(one: str, other: str) -> bool:
    return (folded(one), one.endswith("*")) == (folded(other), other.endswith("*"))
