"""Parts found by the words of their names, numbers, makers and suppliers."""

from collections.abc import Sequence

from django.db.models import QuerySet

from maintenance.spares.models import Spare


def has_words(spare: Spare, words: Sequence[str]) -> bool:
    """Whether all of these stand somewhere in what it is called by."""
    return stand_in(called(spare), words)


def called(spare: Spare) -> str:
    """All it is called by."""
    return " ".join((spare.name, spare.code, spare.part_number, spare.maker, spare.supplier))


def stand_in(told: str, words: Sequence[str]) -> bool:
    """Whether all of these words stand in a text, capitals apart."""
    folded = told.casefold()
    return all(word.casefold() in folded for word in words)


def found_by(words: Sequence[str], spares: QuerySet[Spare] | None = None) -> list[Spare]:
    """The parts that have all of them, by name; one query. Compared here, not by the database, which
    takes an accented capital for another letter."""
    rows = (Spare.objects.all() if spares is None else spares).order_by("name", "code")
    return [spare for spare in rows if has_words(spare, words)]
