"""What a base may change of the rules that hold its boats."""

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.refused import Refused
from maintenance.release.facts import rules_of
from maintenance.release.models import HoldRule
from maintenance.release.rule_list import ALARM, BY_CODE

MOST_NAMES = 3  # own choice: more are not on a pontoon


class RuleRefused(Refused):
    """A rule that cannot be as given; `field` names what to put right."""


@transaction.atomic
def set_rule(base: Base, code: str, *, on: bool, names: int, paper: str = "", source: str = "") -> bool:
    """Changes a rule of a base; whether anything changed. RuleRefused where the alarm would be switched
    off, or where the names are none or more than three."""
    take_turn()
    if code == ALARM and not on:
        raise RuleRefused("on: wanted on: somebody told of danger, and nobody looked")
    if not 1 <= names <= MOST_NAMES:
        raise RuleRefused(f"names: wanted 1 to {MOST_NAMES}")
    was = rules_of(base)[code]
    source = source.strip() or BY_CODE[code].source
    if (was.on, was.names, was.paper, was.source) == (on, names, paper.strip(), source):
        return False
    said = {"on": on, "names_needed": names, "paper_needed": paper.strip(), "source": source}
    HoldRule.objects.update_or_create(base=base, code=code, defaults=said)
    return True
