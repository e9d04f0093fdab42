"""The catalogs of the skipper's pages are whole: nothing missing, doubtful, left over or broken."""

from pathlib import Path
from shutil import copytree

import pytest
from babel.messages.pofile import write_po
from django.conf import settings
from django.utils import translation

from fleet.pages.paper_words import FOUND, WANTED, pattern_of
from fleet.papers import photos, signs
from fleet.papers.pdf import OPEN, WHOLE
from fleet.papers.refused import A_PAPER, MEGABYTE, MOST_BYTES
from maintenance.defects.rules import GRADES, HULL_PLACES
from maintenance.pages.alarm_wording import ABOARD as FIRST
from maintenance.pages.phone import known
from maintenance.turnaround.questions import QUESTIONS
from tests.doors.catalogs import (
    LOCALES,
    TRANSLATED,
    Message,
    faults,
    in_sources,
    mo_of,
    plural_pairs,
    po_of,
    told,
)

SOURCES = in_sources()


def test_the_pages_speak_eight_languages_and_each_but_english_has_a_catalog():
    assert [code for code, _ in settings.LANGUAGES] == ["en-gb", *TRANSLATED]
    assert TRANSLATED == ["de", "fr", "it", "es", "el", "hr", "pl"]
    assert sorted(path.name for path in LOCALES.iterdir()) == sorted(TRANSLATED)


def test_the_sources_are_read_whole():
    """One of each way of marking: a call, a lazy one, one with a count, a context, a template's tags."""
    found = SOURCES
    assert found[Message(None, "Nothing here")] == "maintenance/pages/way_in.py"
    assert Message("aboard", "engine") in found
    assert Message(None, ("%(number)s photo", "%(number)s photos")) in found
    assert Message(None, "Not sent yet.") in found
    assert Message(None, "About %(boat)s") in found
    assert len(found) > 350


@pytest.mark.parametrize("language", TRANSLATED)
def test_nothing_is_missing_fuzzy_left_over_or_broken(language):
    assert not faults(po_of(language), set(SOURCES))


@pytest.mark.parametrize("language", TRANSLATED)
def test_what_is_compiled_is_what_is_written(language):
    written, compiled = told(po_of(language)), told(mo_of(language))
    assert compiled == written
    # of what Django looks up too: with a context, and the form for many
    with translation.override(language):
        assert translation.pgettext("aboard", "engine") == written[Message("aboard", "engine")][0]
        many = written[Message(None, ("%(number)s photo", "%(number)s photos"))][-1]
        assert translation.ngettext("%(number)s photo", "%(number)s photos", 5) == many


@pytest.mark.parametrize("language", TRANSLATED)
def test_plural_forms_are_those_of_the_language(language):
    """Source: Unicode CLDR, plural rules, cardinal, as Babel has them, for 0 to 120."""
    pairs = plural_pairs(po_of(language))
    assert len(pairs) == len({form for form, _ in pairs}) == len({category for _, category in pairs})


PHONE = 'Ring the base, <span class="nobr">%(phone)s</span>'
PHOTOS = ("%(number)s photo", "%(number)s photos")
DAMAGE = {
    "missing": lambda catalog: catalog.delete("The base closed this way in"),
    "empty": lambda catalog: put(catalog, "The base closed this way in", ""),
    "fuzzy": lambda catalog: catalog.get("The base closed this way in").flags.add("fuzzy"),
    "left over": lambda catalog: catalog.add("Nobody says this", "Niemand sagt das"),
    "placeholder": lambda catalog: put(catalog, "until %(day)s", "bis %(tag)s"),
    "placeholder gone": lambda catalog: put(catalog, "until %(day)s", "bis dann"),
    "mark-up": lambda catalog: put(catalog, PHONE, "Basis anrufen, %(phone)s"),
    "plural": lambda catalog: put(catalog, PHOTOS, ("%(number)s Foto", "")),
    "space": lambda catalog: put(catalog, ", or ", ", oder"),
}


def put(catalog, words, string):
    catalog.get(words).string = string


@pytest.mark.parametrize("how", DAMAGE)
def test_the_check_finds_what_is_broken_in_a_copy(tmp_path: Path, how):
    copied = copytree(LOCALES, tmp_path / "locale")
    catalog = po_of("de", copied)
    DAMAGE[how](catalog)
    with (copied / "de/LC_MESSAGES/django.po").open("wb") as file:
        write_po(file, catalog)
    assert len(faults(po_of("de", copied), set(SOURCES))) == 1
    assert not faults(po_of("fr", copied), set(SOURCES))


def test_the_check_finds_a_rule_for_plurals_that_is_another_languages():
    catalog = po_of("pl")
    catalog._num_plurals, catalog._plural_expr = 2, "(n != 1)"
    pairs = plural_pairs(catalog)
    assert len(pairs) > len({form for form, _ in pairs})


# What pure modules say is known to the catalogs


def test_every_sentence_of_a_pure_module_that_a_skipper_reads_is_in_the_catalogs():
    said = {*GRADES, *(q.asks for q in QUESTIONS), *(q.opens for q in QUESTIONS)}
    assert said <= set(known.SENTENCES)
    assert {Message(None, words) for words in (*known.SENTENCES, *FIRST.values())} <= SOURCES.keys()


def test_every_slip_of_a_dial_is_in_the_catalogs():
    from decimal import Decimal

    from fleet.meters.mistakes import _slips

    slips = {meant.slip for dial in ("12124", "-3") for meant in _slips(Decimal(dial))}
    assert len(slips) == 4
    assert slips <= set(known.SENTENCES)


def test_every_place_of_the_hull_is_in_the_catalogs():
    assert {Message("aboard", place) for place in HULL_PLACES} <= SOURCES.keys()


def test_everything_a_paper_is_refused_with_is_in_the_catalogs():
    wanted = {A_PAPER, f"at most {MOST_BYTES // MEGABYTE} MB", OPEN, WHOLE, photos.WHOLE, photos.SMALLER}
    found = {word for _, word in (*signs.WORDS, *signs.MARKUP)}
    found |= {
        signs.found(data)
        for data in (b"", b"words", b"\x01\x02", b"\0\0\0\x18ftypavif", b"\0\0\0\x18ftypisom")
    }
    assert {pattern_of(words) for words in wanted} <= set(WANTED)
    assert {pattern_of(words) for words in found} <= set(FOUND)
