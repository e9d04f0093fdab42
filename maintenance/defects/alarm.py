"""Which words of a report raise the alarm, in any language of the pages. Pure."""

import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from maintenance.defects.alarm_words import ABOUT, ALARMS, FILLERS, HARMLESS

MOST_LETTERS = 20_000
GAP = "…"  # in a phrase: up to so many other words of the same sentence
GAP_WORDS = 6
FILLERS_IN_A_ROW = 3
STOPS, COMMAS = frozenset(".!?;\n\r·。！？"), frozenset(",:()–—、")
# Letters that stand for themselves, as most keyboards lack them.
PLAIN = str.maketrans({"ł": "l", "đ": "d", "ø": "o", "ı": "i", "æ": "ae", "œ": "oe"})
# Scripts that put no spaces between words: Thai to Burmese, Khmer, kana, Han.
SPACELESS = ((0x0E00, 0x109F), (0x1780, 0x17FF), (0x3040, 0x30FF), (0x3400, 0x9FFF), (0xF900, 0xFAFF))


def raised_by(words: str, *, alarms: Iterable[str] = (), harmless: Iterable[str] = ()) -> str:
    """The phrase that raises the alarm, blank where none does; `alarms` and `harmless` are the base's
    own beside the list. A word of a phrase ending in * is the beginning of one; small words between
    are passed over. A phrase that lies within a harmless one, such as one for an empty gas bottle,
    raises nothing; the base's own alarm words always do."""
    said = _words(words)
    own, beside = tuple(alarms), tuple(harmless)
    covered = _covered(said, [_HARMLESS, _compiled(beside)])
    for start, end, phrase in _found(said, _ALARMS):
        if covered[start] < end:
            return phrase
    if (first := next(_found(said, _compiled(own)), None)) is not None:
        return first.phrase
    return _run_together(words, own)


def about(phrase: str) -> str:
    """What a phrase of the list is about: fire, gas, fumes ...; blank for one of a base's own."""
    return ABOUT.get(phrase, "")


def sort_of(phrase: str) -> str:
    """What a phrase is about, to tell dangers apart: a base's own phrase is a sort of its own."""
    return about(phrase) or phrase


def folded(text: str) -> str:
    """Small letters without accents, in any script, single spaces between."""
    return " ".join(word.text for word in _words(text))


class _Word(NamedTuple):
    """A word as it is compared, and the sentence and the part of it that it stands in."""

    text: str
    sentence: int
    part: int


class _Match(NamedTuple):
    start: int
    end: int
    phrase: str


@dataclass(frozen=True, slots=True)
class _Phrase:
    """A phrase in parts: each a word, open at its end or not; None where other words may stand."""

    said: str
    parts: tuple[tuple[str, bool] | None, ...]


@dataclass(frozen=True, slots=True)
class _Index:
    """Phrases by their first word, so that a report is read once; `within` are the harmless ones,
    held to one part of a sentence and to their first two words as they are."""

    whole: dict[str, list[_Phrase]] = field(default_factory=lambda: defaultdict(list))
    open: dict[str, list[_Phrase]] = field(default_factory=lambda: defaultdict(list))

    @property
    def lengths(self) -> set[int]:
        return {len(start) for start in self.open}

    def at(self, word: str, lengths: Iterable[int]) -> Iterator[_Phrase]:
        yield from self.whole.get(word, ())
        for length in lengths:
            if len(word) >= length:
                yield from self.open.get(word[:length], ())


def _words(text: str) -> list[_Word]:
    """The words of a text, each with its sentence and part; what no phrase is made of is left out."""
    found, letters, sentence, part = [], [""], 0, 0
    for c in _plain(text[:MOST_LETTERS]) + " ":
        kind = unicodedata.category(c)
        if kind[0] in "LN" or (kind[0] == "M" and not unicodedata.combining(c)):
            letters.append(c)
        elif kind[0] != "M" and kind != "Cf":
            if word := "".join(letters):
                found.append(_Word(word, sentence, part))
                letters = [""]
            sentence, part = sentence + (c in STOPS), part + (c in STOPS or c in COMMAS)
    return found


def _plain(text: str) -> str:
    return unicodedata.normalize("NFKD", text.casefold()).casefold().translate(PLAIN)


@lru_cache(maxsize=64)
def _compiled(phrases: tuple[str, ...]) -> _Index:
    index = _Index()
    for said in phrases:
        parts = tuple(_parts(said))
        if not parts or parts[0] is None or not parts[0][0]:
            continue
        start, is_open = parts[0]
        (index.open if is_open else index.whole)[start].append(_Phrase(said, parts))
    return index


def _parts(said: str) -> Iterator[tuple[str, bool] | None]:
    for given in said.split():
        if given in (GAP, "..."):
            yield None
            continue
        *first, last = [word.text for word in _words(given)] or [""]
        yield from ((word, False) for word in first)
        yield last, given.endswith("*")


def _found(said: Sequence[_Word], index: _Index, *, close: bool = False) -> Iterator[_Match]:
    """Every phrase that stands in the words, in their order; the longest first of one place."""
    lengths = sorted(index.lengths)
    for n, word in enumerate(said):
        ends = [(_end(said, n, phrase, close), phrase.said) for phrase in index.at(word.text, lengths)]
        for end, phrase in sorted(((e, p) for e, p in ends if e), reverse=True):
            yield _Match(n, end, phrase)


def _end(said: Sequence[_Word], start: int, phrase: _Phrase, close: bool) -> int:
    """Where a phrase that starts at a word ends; 0 where it does not stand there. `close`: within
    one part of a sentence, its first two words side by side, so that “no, smoke!” is not “no smoke”."""
    at, gap = start + 1, False
    for number, part in enumerate(phrase.parts[1:], 1):
        if part is None:
            gap = True
            continue
        found = _next(said, at, part, GAP_WORDS if gap else 0, passes=not (close and number == 1))
        if found is None or (close and said[found].part != said[start].part):
            return 0
        at, gap = found + 1, False
    return at


def _next(
    said: Sequence[_Word], at: int, part: tuple[str, bool], between: int, *, passes: bool
) -> int | None:
    """The place of the next word of a phrase from a place on, past small words and a gap's."""
    passed, text = 0, part[0]
    for n in range(at, min(len(said), at + between + FILLERS_IN_A_ROW + 1)):
        word = said[n].text
        if between and said[n].sentence != said[at - 1].sentence:
            return None
        if word == text or (part[1] and word.startswith(text)):
            return n
        if not (passes and word in _FILLERS):
            passed += 1
        if passed > between:
            return None
    return None


def _covered(said: Sequence[_Word], indexes: Iterable[_Index]) -> list[int]:
    """For each word, the farthest end of a harmless phrase that begins there or before."""
    ends = [0] * (len(said) + 1)
    for index in indexes:
        for start, end, _ in _found(said, index, close=True):
            ends[start] = max(ends[start], end)
    for n in range(1, len(ends)):
        ends[n] = max(ends[n], ends[n - 1])
    return ends


def _run_together(words: str, phrases: Sequence[str]) -> str:
    """A base's own phrase in a script without spaces stands anywhere in the words."""
    text = _plain(words[:MOST_LETTERS])
    apart = [p for p in phrases if any(low <= ord(c) <= high for c in p for low, high in SPACELESS)]
    return next((p for p in apart if _plain(p.strip(" *")) in text), "")


_ALARMS, _HARMLESS = _compiled(ALARMS), _compiled(HARMLESS)
_FILLERS = frozenset(folded(word) for word in FILLERS)
