"""What is to be counted because the book says less than nothing: who took it, when, each for what."""

from collections.abc import Collection
from dataclasses import dataclass

from fleet.pages.desk import Desk
from maintenance.pages import move_words, wording
from maintenance.pages.stores import stores_of
from maintenance.spares.facts import ToCount, lots_at, negative_hands
from maintenance.spares.history import TakenTwice, taken_twice
from maintenance.spares.models import StockMove

MOST = 40  # counts told at once: who has more to make counts whole shelves, no source


@dataclass(frozen=True, slots=True)
class Told:
    """One count to make, with the story of how it came; `lots`: it is counted lot by lot on its page."""

    count: ToCount
    path: str
    story: str
    lots: bool


@dataclass(frozen=True, slots=True)
class Notice:
    """The first counts to make, and how many more there are."""

    told: list[Told]
    left: int = 0

    def __bool__(self) -> bool:
        return bool(self.told)


def counts_told(desk: Desk, boats: Collection[int]) -> Notice:
    """Those of a base; a fixed number of queries, and one for each time a move was put right."""
    counts = negative_hands(desk.base.pk, boats)
    return Notice(_told(counts[:MOST], desk), max(len(counts) - MOST, 0)) if counts else Notice([])


def _told(counts: list[ToCount], desk: Desk) -> list[Told]:
    stores = stores_of(desk)
    twice = taken_twice({(c.spare.pk, c.place.pk) for c in counts})
    moves = [move for one in twice.values() for move in (one.before, one.flagged) if move is not None]
    with_what = move_words.with_what(moves, desk)
    lots = lots_at({c.place.pk for c in counts})
    return [
        Told(
            count=c,
            path=stores.path(stores.places.get(c.place.pk, c.place)),
            story=_story(twice.get((c.spare.pk, c.place.pk)), with_what, desk),
            lots=(c.spare.pk, c.place.pk) in lots,
        )
        for c in counts
    ]


def _story(one: TakenTwice | None, with_what: dict[int, move_words.For], desk: Desk) -> str:
    """Tome took 1 on Fri 27 Nov for work on Limpet, then Ilda 1 on Sat 28 Nov: both are kept."""
    if one is None:
        return ""
    later = _took(one.flagged, with_what, desk)
    if one.before is None:
        had = wording.quantity(one.had) if one.had > 0 else "none"
        return f"{wording.sentence(later)}; the book had {had} there."
    earlier = _took(one.before, with_what, desk)
    return f"{wording.sentence(earlier)}; then {later}, when the book had none left. Both are kept."


def _took(move: StockMove, with_what: dict[int, move_words.For], desk: Desk) -> str:
    who = move.recorded_by.name if move.recorded_by is not None else "somebody"
    text = f"{who} took {move_words.amount(move.quantity, move.spare)} on {wording.day(move.day, desk.today)}"
    made = with_what.get(move.pk)
    if made is not None:
        text += f" with {made.says}"
    elif move.why != StockMove.Why.USED:
        text += f", {move.why}"
    return text + (f" ({move.words})" if move.words else "")
