"""The rules that hold boats, as a base finds them: names, paper and source of each. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from maintenance.defects.rules import UNSAFE

FIT, WITH_LIMITS, HELD = "fit", "fit with limits", "held"
VERDICTS = (FIT, WITH_LIMITS, HELD)
ALARM, NAMED, TOUCH, TWO, DEFERRAL = "alarm", "named hold", "touched", "two together", "deferral ends"
SERVICE, GEAR, READY, PAPER = "service", "gear", "fitting-out", "paper"
CODES = (ALARM, UNSAFE, NAMED, TOUCH, TWO, DEFERRAL, SERVICE, GEAR, READY, PAPER)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule that holds boats: how many names its release wants, which paper, and whose rule it is."""

    code: str
    words: str
    names: int = 1
    paper: str = ""
    source: str = "common practice, no source"
    on: bool = True


RULES = (
    Rule(
        ALARM, "an alarm was raised and nobody has looked", source="own rule: told of danger, somebody looks"
    ),
    Rule(
        UNSAFE,
        "an open defect of grade unsafe",
        names=2,
        source="common practice, no source: who did the work and one other",
    ),
    Rule(NAMED, "somebody holds her by name"),
    Rule(
        TOUCH,
        "touched bottom or hit something, and not looked at since",
        names=2,
        source="MAIB reports 8/2015 and 13/2019; MGN 280 27.7 on groundings",
    ),
    Rule(
        TWO,
        "two open defects, unsafe or limits use, among charging, bilge, radio, raft and steering",
        names=2,
        source="common practice, no source: failures came in chains in published inquiries",
    ),
    Rule(
        DEFERRAL,
        "something deferred would fall due before she is back",
        source="own rule: nothing falls due at sea",
    ),
    Rule(SERVICE, "a critical service past its limit before she is back", source="the interval's own source"),
    Rule(GEAR, "required gear short of the list she goes by", source="the list's own source"),
    Rule(READY, "laid up, or fitting-out not signed", source="common practice, no source"),
    Rule(
        PAPER,
        "fixed gas, structure or the raft itself was opened, and its paper is not here",
        paper="of the licensed fitter, surveyor or approved service station",
        source="common practice, no source; the local code decides who is licensed",
    ),
)
BY_CODE: Mapping[str, Rule] = {rule.code: rule for rule in RULES}
