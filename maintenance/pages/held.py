"""The boats that are held, as the top of the week's page names them."""

from collections.abc import Collection, Mapping
from typing import Any

from maintenance.pages.may_go import after_word
from maintenance.release.facts import Judged
from maintenance.release.rule_list import HELD
from maintenance.release.rules import worst_first


def held_of(judged: Mapping[int, Judged], cards: Collection[int]) -> list[dict[str, Any]]:
    """Each held boat by name with the worst of what holds her; `card` is whether the week's page has
    one of hers to lead to, those laid up with nothing on their list have none."""
    held = sorted((j for j in judged.values() if j.standing.verdict == HELD), key=lambda j: j.boat.name)
    return [
        {"boat": j.boat, "why": _first(j), "more": max(0, len(j.standing.reasons) - 1), "card": pk in cards}
        for j in held
        for pk in (j.boat.pk,)
    ]


def _first(judged: Judged) -> str:
    reasons = worst_first(judged.standing.reasons)
    return after_word(HELD, reasons[0].words) if reasons else ""
