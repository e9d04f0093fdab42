"""Words of alarm in the longest report there can be, against splitting it into words once."""

import re
import unicodedata

import pytest

from maintenance.defects.alarm import raised_by
from tests.bench.side_by_side import by_turns

MOST_LETTERS = 20_000
ROUNDS = 8
MOST_TIMES_SPLIT = (
    1_000  # about twice the worst measured, 0.3 s; a search that grows with the square is far above
)


def split(text: str) -> list[str]:
    """The least that any search for words must do."""
    return re.findall(r"\w+", unicodedata.normalize("NFKD", text.casefold()))


@pytest.mark.parametrize(
    "text",
    [
        "no gas ",
        "no ",
        "gas bottle empty ",
        "water the the ",
        "bilge pump a b c ",
        "ﷺ",
        "x",
        "\n",
        "á̂̃",
        "漏气",
    ],
)
@pytest.mark.long
def test_the_longest_report_against_splitting_it_into_words(benchmark, text):
    said = (text * MOST_LETTERS)[:MOST_LETTERS]

    def ready():
        return (
            lambda: raised_by(said, alarms=["whistl*", "漏水"], harmless=["water pump"]),
            lambda: split(said),
        )

    turns = by_turns(benchmark, ready, rounds=ROUNDS, against="split")
    assert turns.ratio < MOST_TIMES_SPLIT
