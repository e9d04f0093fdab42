"""Every page of a skipper's link in every language: marked with it, and with nothing left in English."""

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from django.test import Client
from django.urls import reverse

from fleet.boats.models import Boat, Place
from fleet.charters.models import Charter
from maintenance.pages.phone.language import NAMES
from maintenance.spares.models import Spare
from tests.doors.catalogs import PLACEHOLDER, TRANSLATED, po_of, told
from tests.doors.crew_scenes import GAS_WORDS, Crew, pages

# Short for things that have no other name in Greek either, and the language's marks in the mast.
NO_OTHER_NAME = {"VHF", "PDF", "JPEG", "PNG", "WebP", "HEIC", "MB", "EPIRB", "saildrive", "Saildrive"}
NO_OTHER_NAME |= {"zip", "jpg", "h", "SVG", "GIF", "x"}
SPOKEN = ("aria-label", "alt", "title", "placeholder")


class Reader(HTMLParser):
    """What a page says, piece by piece: between its marks, in what is read aloud, in its script's words."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.language, self._in, self._quiet = "", "", 0

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self._in = given.get("id", "") if tag == "script" else tag
        if tag == "html":
            self.language = given["lang"]
        self._quiet += given.get("class") == "tongues"
        if not self._quiet:
            self.pieces += [given[name] for name in SPOKEN if given.get(name)]

    def handle_endtag(self, tag):
        self._quiet -= bool(self._quiet) and tag == "details"
        self._in = ""

    def handle_data(self, data):
        if self._in == "phone-words":
            self.pieces += _strings(json.loads(data))
        elif not self._quiet and data.strip():
            self.pieces.append(" ".join(data.split()))


def _strings(found) -> Iterator[str]:
    if isinstance(found, dict):
        for one in found.values():
            yield from _strings(one)
    elif isinstance(found, str):
        yield found


def read(page) -> Reader:
    reader = Reader()
    reader.feed(page.content.decode())
    return reader


def english_of(language: str) -> re.Pattern[str]:
    """Anything that is said otherwise in a language, as English has it, whatever is put into it."""
    found = {"nothing is said otherwise in English"}
    for message, strings in told(po_of(language)).items() if language in TRANSLATED else ():
        words = (message.words,) if isinstance(message.words, str) else message.words
        found |= {one for one in words if one not in strings}
    pieces = {piece.strip(" ,;:.") for one in found for piece in re.split(r"</?\w+[^>]*>", one)}
    whole = [PLACEHOLDER.sub("\0", piece) for piece in pieces if re.search(r"[a-z]{2}", piece)]
    plain = [re.escape(piece).replace("\0", ".+") for piece in whole if re.search(r"[a-z]{2}", piece)]
    return re.compile("|".join(sorted(plain, key=len, reverse=True)))


@pytest.fixture
def pages_in(cast, today_is, settings):
    type(cast.base).objects.update(phone="+30 210 555 0101")
    return lambda language: list(pages(cast, language))


# Every string is looked after in tests/doors/test_languages.py; this goes through the pages, in another
# script, in many plurals, in the longest words; in the rest where a whole run is asked for.
READ = {"el", "pl", "de"}
EACH = [pytest.param(name, marks=[] if name in READ else pytest.mark.long) for name in NAMES]


@pytest.mark.parametrize("language", EACH)
def test_every_page_is_there_in_its_language_and_nothing_is_left_in_english(pages_in, language):
    seen, english = pages_in(language), english_of(language)
    assert len({name for name, _ in seen}) == len(seen) > 35
    for name, page in seen:
        assert page.status_code in (200, 404, 410, 422, 429), name
        assert (read(page).language, page["Content-Language"]) == (language, language), name
        assert {"Accept-Language", "Cookie"} <= {one.strip() for one in page["Vary"].split(",")}, name
    left = {name: [one for one in parts(page) if english.fullmatch(one)] for name, page in seen}
    assert not {name: pieces for name, pieces in left.items() if pieces}


def parts(page) -> Iterator[str]:
    """Each piece of a page, whole and apart where several are put in a line."""
    for piece in read(page).pieces:
        yield from (part.strip(" ,;:.") for part in (piece, *piece.split("; ")))


def test_in_greek_every_latin_letter_is_a_name_of_the_bases_or_has_no_other(pages_in):
    """What nobody marked for translation is in no catalog: in another alphabet it shows."""
    seen = pages_in("el")
    rows = [*Boat.objects.all(), *Spare.objects.all(), *Place.objects.all(), *Charter.objects.all()]
    ours = NO_OTHER_NAME | GAS_WORDS | _latin(" ".join(map(str, ["Harbour Fettle", *rows])))
    pieces = {(name, piece) for name, page in seen for piece in read(page).pieces}
    assert not {one for one in pieces if not _latin(PLACEHOLDER.sub("", one[1])) <= ours}


def _latin(text: str) -> set[str]:
    return set(re.findall(r"[A-Za-z]+", text))


def test_the_languages_are_named_each_in_its_own_and_the_present_one_is_marked(cast, today_is):
    html = Crew(cast, "fr").get().content.decode()
    for code, name in NAMES.items():
        assert f'<a href="?speak={code}" lang="{code}" hreflang="{code}"' in html
        assert f">{name}</a>" in html
    assert html.count('aria-current="true"') == 1
    assert 'lang="fr" hreflang="fr" aria-current="true"' in html


def test_the_bases_and_the_cleaners_pages_stay_english(cast, engineer):
    for address in (reverse("week", args=["harbour"]), reverse("sign-in"), "/c/"):
        answer = engineer.get(address, headers={"accept-language": "el"})
        html = answer.content.decode()
        assert '<html lang="en">' in html
        assert not re.search(r"[α-ω]", html)
        assert "speak=" not in html
    assert (
        Client(headers={"accept-language": "el"}).get(f"/s/{'x' * 28}/").headers["Content-Language"] == "el"
    )
