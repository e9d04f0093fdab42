"""The catalogs of the skipper's pages, held against the sources without any program but Python's own."""

import re
from collections.abc import Iterator, Sequence
from gettext import c2py
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

from babel import Locale
from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po
from django.conf import settings
from django.utils.translation.template import templatize

HOME: Path = settings.HOME
LOCALES = HOME / "maintenance" / "locale"
TRANSLATED = [code for code, _ in settings.LANGUAGES if not code.startswith("en")]  # English is the source
# What Django's makemessages tells xgettext to look for.
KEYWORDS = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "npgettext_lazy": ((1, "c"), 2, 3),
}
PLACEHOLDER = re.compile(r"%\(\w+\)[sd]|\{\w+\}|</?\w+[^>]*>")
COUNTED = range(121)
Words = str | tuple[str, str]


class Message(NamedTuple):
    """What is put into other words: its context, and its words or one and many."""

    context: str | None
    words: Words


def in_sources() -> dict[Message, str]:
    """Everything marked in the two apps, and the file it was found in."""
    found = {}
    for app in ("fleet", "maintenance"):
        for path in sorted((HOME / app).rglob("*")):
            if path.suffix in (".py", ".html") and "migrations" not in path.parts:
                found |= dict.fromkeys(_marked(path), str(path.relative_to(HOME)))
    return found


def _marked(path: Path) -> Iterator[Message]:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".html":  # as Python, a call a line; what stands before it means nothing
        text = "\n".join(line.lstrip() for line in templatize(text, origin=str(path)).splitlines())
    for _, words, _, context in extract("python", BytesIO(text.encode()), keywords=KEYWORDS):
        yield Message(context, _words(words))


def po_of(language: str, locales: Path = LOCALES) -> Catalog:
    with (locales / language / "LC_MESSAGES" / "django.po").open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def mo_of(language: str, locales: Path = LOCALES) -> Catalog:
    with (locales / language / "LC_MESSAGES" / "django.mo").open("rb") as file:
        return read_mo(file)


def told(catalog: Catalog) -> dict[Message, tuple[str, ...]]:
    """Each message of a catalog and its words, one for each plural form."""
    return {Message(m.context, _words(m.id)): _forms(m.string) for m in catalog if m.id}


def _words(found: str | Sequence[str]) -> Words:
    return found if isinstance(found, str) else (found[0], found[1])


def _forms(found: str | Sequence[str] | None) -> tuple[str, ...]:
    return (found or "",) if isinstance(found, str) or found is None else tuple(found)


def faults(catalog: Catalog, wanted: set[Message]) -> list[str]:
    """Everything wrong with a catalog, by what the sources mark."""
    has = told(catalog)
    found = [f"missing: {message}" for message in wanted - has.keys()]
    found += [f"nobody says it any more: {message}" for message in has.keys() - wanted]
    found += [f"left as obsolete: {message}" for message in catalog.obsolete]
    found += [f"fuzzy: {message.id}" for message in catalog if message.id and message.fuzzy]
    for message, strings in has.items():
        found += _faults_of(message, strings, catalog.plural_expr, catalog.num_plurals)
    return found


def _faults_of(message: Message, strings: tuple[str, ...], plural: str, forms: int) -> Iterator[str]:
    one, many = (message.words, message.words) if isinstance(message.words, str) else message.words
    if len(strings) != (1 if isinstance(message.words, str) else forms):
        yield f"{len(strings)} forms: {message}"
    numbers = _numbers(plural)
    for form, string in enumerate(strings):
        if not string.strip():
            yield f"not translated: {message}"
        elif string.startswith(" ") != one.startswith(" ") or string.endswith(" ") != one.endswith(" "):
            yield f"a space at an end: {message}"
        elif _put_in(string) != _put_in(many) and (numbers[form] != {1} or _put_in(string) != _put_in(one)):
            yield f"placeholders: {message}: {string}"


def _put_in(words: str) -> list[str]:
    return sorted(PLACEHOLDER.findall(words))


def _numbers(plural: str) -> dict[int, set[int]]:
    """Which numbers each plural form is for."""
    which = c2py(plural)
    return {form: {n for n in COUNTED if which(n) == form} for form in {which(n) for n in COUNTED}}


def plural_pairs(catalog: Catalog) -> set[tuple[int, str]]:
    """The catalog's plural form of each number beside its category in Unicode CLDR, as Babel has it."""
    which, locale = c2py(catalog.plural_expr), Locale.parse(str(catalog.locale))
    return {(which(number), locale.plural_form(number)) for number in COUNTED}
