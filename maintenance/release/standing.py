"""How a release stands: what it said, and whether it fell since. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from maintenance.release.known import Arisen, Ship, Trip
from maintenance.release.rule_list import BY_CODE, HELD, NAMED, WITH_LIMITS, Rule
from maintenance.release.rules import Reason, lasts, limits_of, may_sail

SAID = "said"  # begins the key of the reason that a release of verdict held is itself


@dataclass(frozen=True, slots=True)
class Said:
    """A release that stands: its verdict, when it was said, and the keys of what was let be."""

    verdict: str
    at: datetime
    let_be: frozenset[str] = frozenset()
    why: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """How a boat stands for a charter: the verdict, blank where nothing holds her and nobody has
    released her; the reasons that hold her still; whether a release fell, and by what."""

    verdict: str
    reasons: tuple[Reason, ...] = ()
    fell: bool = False
    let_be: tuple[Reason, ...] = field(default_factory=tuple)

    @property
    def word(self) -> str:
        return self.verdict or "not released"


def standing(
    ship: Ship, trip: Trip | None, said: Said | None, rules: Mapping[str, Rule] = BY_CODE
) -> Standing:
    """How she stands: a release falls when anything holds her that it did not let be, or was made to
    hold her since it was given, and it does not come back when that is settled: she is released
    again. What began to hold her by itself (a day past, hours run, gear short) holds her while it does."""
    reasons = may_sail(ship, trip, rules)
    if said is None:
        return Standing(HELD if reasons else "", reasons)
    holding = tuple(r for r in reasons if not covered(r.key, said.let_be))
    let_be = tuple(r for r in reasons if covered(r.key, said.let_be))
    fell = bool(holding) or any(_fells(a, said, ship, trip) for a in ship.arisen)
    if said.verdict == HELD:
        return Standing(HELD, (_as_said(said), *reasons))
    if fell:
        return Standing(HELD if reasons else "", reasons, fell=True)
    verdict = WITH_LIMITS if limits_of(ship) else said.verdict
    return Standing(verdict, (), let_be=let_be)


def covered(key: str, let_be: Iterable[str]) -> bool:
    """Whether a reason was let be: it, or all of it that is left: two of three that stood open
    together, one lifejacket short where two were."""
    head, _, left = key.rpartition(":")
    for was_head, _, was in (other.rpartition(":") for other in let_be):
        if head == was_head and set(left.split("+")) <= set(was.split("+")):
            return True
    return False


def _fells(a: Arisen, said: Said, ship: Ship, trip: Trip | None) -> bool:
    holds = a.waits is None or not lasts(a.waits, ship, trip)
    return a.at > said.at and a.key not in said.let_be and holds


def _as_said(said: Said) -> Reason:
    words = f"Held by {said.by or 'a named person'}: {said.why}"
    return Reason(NAMED, f"{SAID}:{said.at.isoformat()}", words, "Release her, by name", said=True)
