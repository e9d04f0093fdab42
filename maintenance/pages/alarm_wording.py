"""What to beware of, by what an alarm tells of: for who is aboard, and for who goes to look. Pure."""

from maintenance.defects.alarm import about
from maintenance.defects.alarm_words import ENGINE, FIRE, FUMES, GAS, PEOPLE, STEERING, WATER

ABOARD = {
    FIRE: "Smoke or a burning smell: everyone on deck, lifejackets on; engine, shore power and battery "
    "switches off where you reach them without breathing it. What is not out at once: VHF channel 16.",
    GAS: "Gas or fuel vapour: shut off at the bottle, everyone out on deck or ashore, no flame, touch no "
    "switch. Do not ring from inside the boat.",
    FUMES: "Fumes or a carbon monoxide alarm: everyone into fresh air at once, and stay there. Headache or "
    "dizziness: get medical help.",
    WATER: "Water: taste it, look where it comes from, shut the seacock, pump. If it rises: VHF channel 16 "
    "at once, lifejackets on.",
    STEERING: "Steering: keep clear of shore and others, anchor where you can, try the emergency tiller as "
    "you were shown. Drifting into danger: VHF channel 16.",
    PEOPLE: "Somebody hurt: VHF channel 16 or the emergency number first. Electric shock: pull the shore "
    "plug before you touch anybody.",
    ENGINE: "An engine that will not stop: nobody near the propeller or in the water, keep her where she can "
    "drive no harm. Stop it the way its manual says.",
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


def aboard(phrase: str) -> str:
    """What the sender of a report does first; blank where the word is the base's own."""
    return ABOARD.get(about(phrase), "")


def before_looking(phrase: str) -> str:
    """What who goes to look bewares of."""
    return LOOKING.get(about(phrase), ANY)
