"""The round most bases walk before a boat leaves, to begin with and to be changed by each. Pure."""

from dataclasses import dataclass
from typing import Final

SOURCE: Final = "common practice, no source"
IN_ORDER, SEAL = "in order", "seal"
GOOD, FAILS, NOT_ABOARD = "in order", "fails", "not aboard"
# What the seal of the kit box is said to be, by the state its line is kept in.
SEALS: Final = {GOOD: "intact", FAILS: "broken", NOT_ABOARD: "no box"}


@dataclass(frozen=True, slots=True)
class Usual:
    """One check as a base finds it: what it touches where two failing together hold a boat, and the
    caution where the check itself, or what it finds, can hurt somebody."""

    words: str
    caution: str = ""
    function: str = ""
    asks: str = IN_ORDER


USUAL_ROUND: Final = (
    Usual(
        "Bilge dry, pump tried",
        "Find where water comes from before she leaves: shaft, seacocks, hoses, tanks.",
        "bilge",
    ),
    Usual(
        "Water from the exhaust with the engine run",
        "Everyone clear of belts and propeller, warps made fast, out of gear, air through the cabin. "
        "No water within the time its maker gives: stop.",
    ),
    Usual("Batteries charge with the engine run", function="charging"),
    Usual(
        "Gas off at the bottle, leak test holds",
        "If it smells or does not hold: shut at the bottle, everyone out, no flame, no switch. "
        "A licensed gas fitter finds it.",
    ),
    Usual("Lifejackets: as many as persons, indicators green, cylinders tight"),
    Usual(
        "Carbon monoxide alarm tested",
        "It is no cure: headache or sickness below means everyone out into the air, engine and heater off.",
    ),
    Usual("Navigation lights, all of them"),
    Usual("Radio heard by another set", function="radio"),
    Usual("Steering hard over both ways, emergency tiller there", function="steering"),
    Usual("Anchor and windlass, bitter end fast", "Hands and hair clear of chain and gypsy."),
    Usual("Seacocks open and shut, a plug beside each", function="bilge"),
    Usual("Extinguishers in place, gauges in the green"),
    Usual(
        "Life raft lashed, painter made fast",
        "Do not pull the painter: it fires the raft. Only its approved service station opens it.",
        "raft",
    ),
    Usual("Kill cord with the outboard, and it stops her"),
    Usual("Settings put back: language, units, depth"),
    Usual("Seal of the kit box", asks=SEAL),
)
