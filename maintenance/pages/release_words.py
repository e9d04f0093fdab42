"""What is said about a release: why so many names, what to read out, who stands under it. Pure."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from maintenance.pages import wording
from maintenance.release.rule_list import Rule

ONE = "Released by one person"
DISCLAIMS = "Records show dates, not condition: that nothing recorded holds her says no more than that."


@dataclass(frozen=True, slots=True)
class Wants:
    """A rule that wants more than one name under a release, or a paper with it."""

    words: str
    source: str
    names: int
    paper: str
    settled: bool


def wants(codes: Collection[str], settled: Collection[str], rules: Mapping[str, Rule]) -> list[Wants]:
    """Which rules in play want more than one name or a paper, those that hold her still first."""
    found = [rules[code] for code in rules if code in {*codes, *settled} and rules[code].on]
    return [
        Wants(r.words, r.source, r.names, r.paper, r.code not in codes)
        for r in found
        if r.names > 1 or r.paper
    ]


def names_said(number: int) -> str:
    """How many names are wanted, and what happens with one."""
    if number < 2:
        return "The base's rules want one name."
    text = f"The base's rules want {wording.many(number, 'name')}: who did the work, and another one, "
    text += "here or by telephone."
    return f"{text} With one name she can go too: it then prints “{ONE.lower()}”, and the manager reads it."


def read_out(
    boat: str,
    going: str,
    *,
    let_be: Sequence[str],
    settled: Iterable[str],
    limits: Sequence[str],
) -> str:
    """What is read out to somebody on the telephone who is to stand under a release."""
    parts = [f"{boat}, {going}."]
    parts += [f"Holds her: {words}." for words in let_be]
    parts += [f"Settled since she last went out: {words}." for words in settled]
    parts += [f"The skipper is told: {_ended(limit)}" for limit in limits]
    if not let_be:
        parts.append("Nothing recorded holds her.")
    return " ".join([*parts, "Do you say too that she goes?"])


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def listed(names: Sequence[str]) -> str:
    """A, B and C."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
