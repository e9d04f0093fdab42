"""Deriving every due line: against one query for each thing read, numpy, and a plain rewrite of the rows."""

from contextlib import closing

import pytest

from tests.bench.big_base import BOATS
from tests.bench.big_parts import INTERVALS
from tests.bench.books import by_hand, in_a_process
from tests.bench.due_by_hand import due_by_hand, rewrite, stored
from tests.bench.side_by_side import tell, timed

MOST_MB = 1024
MOST_TIMES_BY_HAND = 18  # about twice what was measured


@pytest.mark.long
def test_reforecast_against_numpy(shelf, benchmark):
    """Both say the same of every line; the wanted 60 seconds are told, not asserted."""
    database, seconds = shelf.copy(BOATS, "reforecast"), []
    ours = benchmark.pedantic(in_a_process, args=("reforecast", database), rounds=1)
    with closing(by_hand(database)) as connection:
        said = stored(connection)
        assert len(said) == BOATS * len(INTERVALS)

        def floor():
            connection.execute("BEGIN IMMEDIATE")
            due = due_by_hand(connection)
            rewrite(connection)
            connection.execute("COMMIT")
            return due

        assert timed(floor, seconds) == said
    ratio = ours.seconds / seconds[0]
    tell(
        benchmark,
        lines=len(said),
        reforecast_s=ours.seconds,
        by_hand_s=seconds[0],
        ratio=ratio,
        peak_MB=ours.peak_mb,
    )
    assert ratio < MOST_TIMES_BY_HAND
    assert ours.peak_mb < MOST_MB
