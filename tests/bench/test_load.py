"""Loading a thousand boats: against csv, executemany and hand-written SQL, and within a gigabyte."""

from contextlib import closing

import pytest

from tests.bench.big_base import BOATS
from tests.bench.books import by_hand, in_a_process
from tests.bench.load_by_hand import counts, load_by_hand
from tests.bench.side_by_side import tell, timed

MOST_MB = 1024
MOST_TIMES_BY_HAND = 15  # about twice what was measured


@pytest.mark.long
def test_load_against_hand_written_sql(shelf, benchmark):
    """The seconds and the memory are of a process of its own; the wanted 3 minutes are told, not asserted."""
    folder, seconds = shelf.folder(BOATS), []
    floor = shelf.home / "by-hand.sqlite3"
    in_a_process("migrate", floor)
    with closing(by_hand(floor)) as connection:
        timed(lambda: load_by_hand(connection, folder), seconds)
        by_hand_has = counts(connection)
    loaded = shelf.home / "loaded.sqlite3"
    ours = benchmark.pedantic(shelf.load, args=(BOATS, loaded), rounds=1)
    with closing(by_hand(loaded)) as connection:
        assert counts(connection) == by_hand_has, "what is timed is not the same work"
    ratio = ours.seconds / seconds[0]
    tell(benchmark, boats=BOATS, load_s=ours.seconds, by_hand_s=seconds[0], ratio=ratio, peak_MB=ours.peak_mb)
    assert ratio < MOST_TIMES_BY_HAND
    assert ours.peak_mb < MOST_MB
