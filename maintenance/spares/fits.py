"""Whether a part fits a thing aboard, by what its list says: kind, maker, model, serial numbers. Pure."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import zip_longest
from typing import Final

PIECES: Final = re.compile(r"\d+|[^\W\d_]+")


class Fit(StrEnum):
    """`MAY` where what is known of the thing is not enough to say: read its plate first."""

    YES = "fits"
    MAY = "may fit"
    NO = "does not fit"


@dataclass(frozen=True, slots=True)
class Says:
    """One line of what a part fits; what is blank is not asked."""

    kind: int | None = None
    maker: str = ""
    model: str = ""
    serial_from: str = ""
    serial_to: str = ""


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing aboard, as its plate was written down; blank: nobody did."""

    kind: int
    maker: str = ""
    model: str = ""
    serial: str = ""


def wrong_line(says: Says) -> tuple[str, str] | None:
    """What is wrong with a line on its own, and what is wanted there: it says of what, and its serial
    numbers run forwards."""
    if says.kind is None and not says.maker and not says.model:
        return "kind", "a kind of thing, a maker or a model"
    both = says.serial_from and says.serial_to
    if both and _not_before(says.serial_to, says.serial_from) is not Fit.YES:
        return "serial_to", "a number after the first, written as that is"
    return None


def fits(lines: Iterable[Says], thing: Thing) -> Fit | None:
    """The best word of all lines; None where nothing is said of the part at all."""
    found = {_fits(line, thing) for line in lines}
    return next((word for word in Fit if word in found), None)


def _fits(line: Says, thing: Thing) -> Fit:
    if line.kind is not None and line.kind != thing.kind:
        return Fit.NO
    words = [_same(line.maker, thing.maker), _same(line.model, thing.model), _inside(line, thing.serial)]
    return max(words, key=list(Fit).index)


def _same(wanted: str, found: str) -> Fit:
    """Makers' names are written as people write them: capitals, blanks and dots do not tell apart."""
    if not wanted:
        return Fit.YES
    if not found:
        return Fit.MAY
    return Fit.YES if _pieces(wanted) == _pieces(found) else Fit.NO


def _inside(line: Says, serial: str) -> Fit:
    if not line.serial_from and not line.serial_to:
        return Fit.YES
    if not serial:
        return Fit.MAY
    words = []
    if line.serial_from:
        words.append(_not_before(serial, line.serial_from))
    if line.serial_to:
        words.append(_not_before(line.serial_to, serial))
    return max(words, key=list(Fit).index)


def _not_before(later: str, earlier: str) -> Fit:
    """Whether one serial number is not before another: number by number, where their letters are the
    same; of other letters nobody knows which came first, the same number written shorter apart."""
    for one, other in zip_longest(_pieces(later), _pieces(earlier)):
        if not (isinstance(one, int) and isinstance(other, int)):
            if one != other:
                return Fit.MAY
        elif one != other:
            return Fit.YES if one > other else Fit.NO
    return Fit.YES


def _pieces(text: str) -> list[int | str]:
    """Its numbers and its letters apart: E-00412 and e412 say the same."""
    return [int(piece) if piece.isdecimal() else piece.casefold() for piece in PIECES.findall(text)]
