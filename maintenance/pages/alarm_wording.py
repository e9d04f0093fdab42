"""What to beware of, by what an alarm tells of: aboard, in port, and going to look: the one source.

What a crew is told is in the catalogs, the rest is for the base and English only.
"""

from collections.abc import Iterable
from typing import Final

from django.utils.translation import gettext, gettext_noop

from maintenance.defects.alarm import about
from maintenance.defects.alarm_words import ENGINE, FIRE, FUMES, GAS, PEOPLE, STEERING, WATER

ABOARD = {
    FIRE: gettext_noop(
        "Smoke or a burning smell: everyone on deck, lifejackets on; engine, shore power and battery "
        "switches off where you reach them without breathing it. What is not out at once: VHF channel 16."
    ),
    GAS: gettext_noop(
        "Gas or fuel vapour: shut off at the bottle, everyone out on deck or ashore, no flame, touch no "
        "switch. Do not ring from inside the boat."
    ),
    FUMES: gettext_noop(
        "Fumes or a carbon monoxide alarm: everyone into fresh air at once, and stay there. Headache or "
        "dizziness: get medical help."
    ),
    WATER: gettext_noop(
        "Water: taste it, look where it comes from, shut the seacock, pump. If it rises: VHF channel 16 "
        "at once, lifejackets on."
    ),
    STEERING: gettext_noop(
        "Steering: keep clear of shore and others, anchor where you can, try the emergency tiller as "
        "you were shown. Drifting into danger: VHF channel 16."
    ),
    PEOPLE: gettext_noop(
        "Somebody hurt: VHF channel 16 or the emergency number first. Electric shock: pull the shore "
        "plug before you touch anybody."
    ),
    ENGINE: gettext_noop(
        "An engine that will not stop: nobody near the propeller or in the water, keep her where she can "
        "drive no harm. Stop it the way its manual says."
    ),
}
LOOKING = {
    FIRE: "Feel before you open: air feeds what smoulders. Power off first; call the fire service rather "
    "than going in.",
    GAS: "Shut off at the bottle, everyone out, touch no switch, nobody goes in while it smells. A licensed "
    "gas fitter finds the leak.",
    FUMES: "Air her first, engines off; nobody goes into fumes alone. A carbon monoxide alarm that is silent "
    "proves nothing where it is old.",
    WATER: "Current and bilge water together can kill: shore power off before you reach in.",
    PEOPLE: "See to people first. A live part is for a licensed electrician.",
    ENGINE: "Keep clear of belts and propeller, have somebody at the fuel shut-off.",
}
ANY = "If it can hurt somebody: people out first, then look; maker, local rules and licensed people decide."


IN_PORT: Final = {
    FIRE: "Smoke or a burning smell: off the boat, and the fire service first if it burns. Pull the shore "
    "plug on the quay if you reach it without breathing it.",
    GAS: "Gas or fuel: out first; shut off at the bottle if you reach it from outside, touch no switch, no "
    "flame. Ring from the quay, not from inside the boat.",
    FUMES: "Fumes: off the boat into fresh air, and stay there. Headache or dizziness: get medical help.",
    WATER: "Water: do not reach into it, shore power may be on. If it rises: off the boat, and ring.",
}
SORTS: Final = (FIRE, GAS, FUMES, PEOPLE, WATER, STEERING, ENGINE)  # own choice: what hurts soonest first
CANNOT_WAIT: Final = (FIRE, GAS, FUMES, WATER)


def aboard(phrase: str) -> str:
    """What the sender of a report does first; blank where the word is the base's own."""
    words = ABOARD.get(about(phrase), "")
    return gettext(words) if words else ""


def advice(phrase: str, *, in_port: bool = False) -> str:
    """The same, or what somebody does who is alone on a boat in port."""
    return (IN_PORT.get(about(phrase), "") if in_port else "") or aboard(phrase)


def in_port_first() -> list[str]:
    """What who cleans a boat does before writing anything."""
    return [IN_PORT[GAS], IN_PORT[FIRE]]


def cannot_wait(phrases: Iterable[str] = ()) -> list[str]:
    """What is said to a crew before anything else: of what they tell of, else of what cannot wait."""
    told = {about(phrase) for phrase in phrases} - {""}
    return [gettext(ABOARD[sort]) for sort in SORTS if sort in (told or CANNOT_WAIT)]


def question(phrase: str, *, in_port: bool = False) -> dict[str, str]:
    """How it is asked whether it is happening now: of water in a bilge in port, whether it rises."""
    if in_port and about(phrase) == WATER:
        return {"asks": "Is the water rising?", "yes": "Yes, it rises", "no": "No", "unsure": "Don’t know"}
    never = {} if in_port else {"never": gettext("It never was")}
    return {
        "asks": gettext("Is it happening now?"),
        "yes": gettext("Yes, now"),
        "no": gettext("Not any more"),
        **never,
    }


def rank(phrase: str) -> int:
    """The place of an alarm among several, the worst first; a base's own word comes last."""
    return (*SORTS, "").index(about(phrase))


def before_looking(phrase: str) -> str:
    """What who goes to look bewares of."""
    return LOOKING.get(about(phrase), ANY)
