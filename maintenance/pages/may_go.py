"""May she go: the verdict in a word, every reason with the page that does something about it."""

from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from fleet.charters.models import Charter
from fleet.charters.rules import LEAVES
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.release.actions import by_one_person
from maintenance.release.afterwards import AFTER
from maintenance.release.facts import Judged
from maintenance.release.known import Ship
from maintenance.release.rule_list import (
    ALARM,
    FIT,
    GEAR,
    HELD,
    NAMED,
    READY,
    SERVICE,
    TOUCH,
    TWO,
    WITH_LIMITS,
)
from maintenance.release.rules import Reason, not_graded, worst_first

NOT_YET = "not released yet"
SHAPES = {HELD: "is-held", FIT: "is-fit", WITH_LIMITS: "is-limited", NOT_YET: "is-open"}
# What is tapped to get rid of a reason, by the rule that gives it.
ACTS = {
    ALARM: "Look, and say what was seen",
    NAMED: "Lift it",
    TOUCH: "Record a look at the hull",
    TWO: "Open defects",
    SERVICE: "Record it done",
    GEAR: "Her gear",
    READY: "Fitting-out",
}

# The page of a boat that gets rid of a reason, where it needs no more than her number.
OF_BOAT = {TOUCH: "hull", READY: "winter-boat", GEAR: "safety-boat"}


def word_of(judged: Judged) -> str:
    return judged.standing.verdict or NOT_YET


def brief(judged: Judged | None) -> dict[str, Any]:
    """The word of a boat's card, and the first reason where she is held."""
    if judged is None:
        return {}
    reasons = worst_first(judged.standing.reasons)
    word = word_of(judged)
    return {
        "word": word,
        "shape": SHAPES[word],
        "first": after_word(word, reasons[0].words) if reasons else "",
        "more": len(reasons) - 1,
        "fell": judged.standing.fell,
        "beside": beside(word, judged.ship),
    }


def after_word(word: str, words: str) -> str:
    """A reason as it reads after the word: Held by Ilda: …, not Held: Held by Ilda."""
    said = f"{word} by "
    return f"by {words[len(said) :]}" if words.casefold().startswith(said) else words


def beside(word: str, ship: Ship, *, by_list: bool = True) -> str:
    """What holds nothing and is said beside the word: what nobody has graded where nobody has
    released her, and that she goes by no list of gear."""
    found, parts = not_graded(ship), []
    if found and word == NOT_YET:
        broken = sum(d.works == "no" for d in found)
        does = f", {wording.many(broken, 'does not work', 'do not work')}" if broken else ""
        parts.append(f"{wording.many(len(found), 'defect')} not graded{does}")
    if ship.by_no_list and by_list:
        parts.append("goes by no list of gear")
    return "; ".join(parts)


def briefs(stands: Mapping[int, Judged]) -> dict[int, dict[str, Any]]:
    return {boat: brief(judged) for boat, judged in stands.items()}


def told(judged: Judged, desk: Desk) -> dict[str, Any]:
    """How a boat stands for a charter, whole: reasons and ways out, limits, warnings, who released her."""
    word, release = word_of(judged), judged.release
    return {
        "word": word[0].upper() + word[1:],
        "shape": SHAPES[word],
        "for": going(judged.charter, desk),
        "charter": judged.charter,
        "reasons": [reason(r, judged, desk) for r in worst_first(judged.standing.reasons)],
        "let_be": [reason(r, judged, desk) for r in worst_first(judged.standing.let_be)],
        "limits": list(judged.limits),
        "warnings": list(judged.warnings),
        "beside": beside(word, judged.ship, by_list=False),  # that stands among the warnings
        "fell": judged.standing.fell,
        "release": release,
        "alone": release is not None and not judged.standing.fell and by_one_person(release),
        "names": names_under(judged),
    }


def names_under(judged: Judged) -> list[str]:
    """Who let her go, where a release stands: who read or confirmed it afterwards did not."""
    if judged.release is None or judged.standing.fell or judged.standing.verdict == HELD:
        return []
    return [name.name for name in judged.release.names.all() if name.how not in AFTER]


def going(charter: Charter | None, desk: Desk) -> str:
    """For which charter, and when she goes out."""
    if charter is None:
        return "no charter is booked"
    leaves = wording.clock(charter.leaves_at or LEAVES)
    berth = f", berth {charter.berth}" if charter.berth else ""
    return f"for charter {charter.code}, out {wording.day(charter.starts_on, desk.today)} {leaves}{berth}"


def reason(r: Reason, judged: Judged, desk: Desk) -> dict[str, Any]:
    return {
        "key": r.key,
        "words": r.words,
        "way_out": r.way_out,
        "href": _way(r, judged, desk.base.code),
        "act": "Release her" if r.said else ACTS.get(r.code, "Open"),
        "can": r.can_be_let_be and not r.said,
        "said": r.said,
    }


def _way(r: Reason, judged: Judged, base: str) -> str:
    """The page on which one person alone can do something about a reason."""
    boat, rest = [base, judged.boat.pk], r.key.split(":")[1:]
    if r.said:
        return reverse("release", args=boat)
    if r.code == NAMED:
        return reverse("lift-hold", args=[base, rest[0]])
    if r.code == SERVICE:
        return f"{reverse('work', args=boat)}?line={rest[0]}-{rest[1]}"
    if r.code == TWO:
        return f"{reverse('boat', args=boat)}#open"
    if r.code in OF_BOAT:
        return reverse(OF_BOAT[r.code], args=boat)
    return reverse("look" if r.code == ALARM else "defect", args=[base, r.row])
