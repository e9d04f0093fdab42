"""Chance that falls the same way every time: one fixed seed, one stream for each thing asked about."""

from random import Random

SEED = 1871


def chance(*of: object) -> Random:
    """A stream of its own for each thing, so that a change to one leaves all others as they were."""
    return Random("/".join(map(str, (SEED, *of))))
