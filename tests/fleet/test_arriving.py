"""A file that comes in pieces: what came stays, two that send do not mix, and the disk stays free."""

import errno
import os
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from fleet.management.keeping.papers import files
from fleet.papers import arriving
from fleet.papers.arriving import Arriving, NoRoomNow, TooLong, WrongOffset

DATA = bytes(range(256)) * 40
FILE = Arriving("a photo", len(DATA))


def in_pieces(data: bytes, length: int = 1000):
    return (data[n : n + length] for n in range(0, len(data), length))


def lying(papers_here):
    return [path for path in papers_here.rglob("*") if path.is_file()]


def test_a_file_comes_whole_in_one_go(papers_here):
    assert FILE.here == 0
    assert FILE.whole() == b""
    assert FILE.add(in_pieces(DATA), offset=0) == len(DATA)
    assert FILE.whole() == DATA
    [there] = lying(papers_here)
    assert there.stat().st_mode & 0o777 == 0o600
    assert there.parent.stat().st_mode & 0o777 == 0o700


def test_what_came_before_the_line_was_cut_stays_and_is_built_upon():
    def cut():
        yield DATA[:700]
        raise OSError("the line")

    with pytest.raises(OSError, match="the line"):
        FILE.add(cut(), offset=0)
    assert FILE.here == 700
    assert FILE.add(in_pieces(DATA[700:]), offset=700) == len(DATA)
    assert FILE.whole() == DATA


@hypothesis_settings(max_examples=60, deadline=None, database=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, 600), st.integers(1, 200)), max_size=30), st.integers(0, 9999))
def test_cut_at_any_byte_and_gone_on_from_where_it_stands_it_is_whole(cuts, number):
    file = Arriving(f"cut {number} {cuts}", 600)
    for upto, piece in cuts:
        here = file.here
        assert file.add(in_pieces(DATA[here : max(here, upto)], piece), offset=here) == max(here, upto)
    file.add([DATA[file.here : 600]], offset=file.here)
    assert file.whole() == DATA[:600]
    file.leave()
    assert file.here == 0


@pytest.mark.parametrize("offset", [0, 99, 101, 10**17])
def test_a_piece_that_begins_elsewhere_is_told_where_to_go_on(offset):
    FILE.add([DATA[:100]], offset=0)
    with pytest.raises(WrongOffset) as wrong:
        FILE.add([DATA[offset : offset + 5]], offset=offset)
    assert wrong.value.offset == 100
    assert FILE.whole() == DATA[:100]


def test_more_than_was_announced_is_not_taken():
    with pytest.raises(TooLong):
        FILE.add(in_pieces(DATA + b"x"), offset=0)
    assert FILE.here <= len(DATA)
    with pytest.raises(TooLong):
        FILE.add([DATA[FILE.here :] + b"x"], offset=FILE.here)


def test_nothing_sent_makes_no_file(papers_here):
    assert FILE.add([], offset=0) == 0
    FILE.leave()
    assert lying(papers_here) == []


def test_two_names_and_two_sizes_are_two_files():
    FILE.add([b"abc"], offset=0)
    assert Arriving("another", FILE.size).here == 0
    assert Arriving(FILE.name, FILE.size + 1).here == 0


def test_a_sender_whose_line_hangs_keeps_nobody_out():
    """The phone has long gone to another net while the first line is still waited for."""
    begun, go_on = threading.Event(), threading.Event()

    def slowly():
        yield DATA[:100]
        begun.set()
        go_on.wait(timeout=20)
        yield DATA[100:200]

    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(FILE.add, slowly(), offset=0)
        assert begun.wait(timeout=20)
        assert FILE.add(in_pieces(DATA[100:]), offset=100) == len(DATA)
        go_on.set()
        with pytest.raises(WrongOffset):
            first.result(timeout=20)
    assert FILE.whole() == DATA


def test_of_many_senders_of_one_file_none_spoils_it():
    """Each asks how far it is and goes on, as a phone does with two tabs; pieces of any length."""
    for seed in range(5):
        file, together = Arriving(f"together {seed}", len(DATA)), threading.Barrier(6)
        chances = [Random(f"{seed} {n}") for n in range(6)]

        def send(chance: Random, file=file, together=together) -> None:
            together.wait(timeout=20)
            while (here := file.here) < file.size:
                with suppress(WrongOffset):  # another was quicker
                    file.add(in_pieces(DATA[here:], chance.randrange(1, 900)), offset=here)

        with ThreadPoolExecutor(6) as pool:
            list(pool.map(send, chances))
        assert file.whole() == DATA


def test_begun_again_while_another_still_sends_no_byte_of_the_old_stays():
    """One found that the whole was not what was said, and forgot it; the other still sends."""

    def on_and_on():
        yield DATA[:10]
        FILE.leave()
        yield DATA[10:20]

    with pytest.raises(WrongOffset) as wrong:
        FILE.add(on_and_on(), offset=0)
    assert wrong.value.offset == 0
    assert FILE.add([DATA], offset=0) == len(DATA)
    assert FILE.whole() == DATA


def test_a_file_left_between_opening_and_locking_it_is_begun_anew(monkeypatch):
    FILE.add([DATA[:10]], offset=0)
    locked, meanwhile = arriving.fcntl.flock, []

    def late(file, how):
        if not meanwhile:
            meanwhile.append(FILE._place.unlink())
        locked(file, how)

    monkeypatch.setattr(arriving.fcntl, "flock", late)
    with pytest.raises(WrongOffset) as wrong:
        FILE.add([DATA[10:20]], offset=10)
    assert wrong.value.offset == 0


def test_what_files_were_announced_with_is_counted_and_one_begun_goes_on(monkeypatch):
    monkeypatch.setattr(arriving, "MOST_ARRIVING", 2 * FILE.size)
    other, third = Arriving("other", FILE.size), Arriving("third", 1)
    FILE.add([b"a"], offset=0)
    other.add([b"a"], offset=0)
    with pytest.raises(NoRoomNow):
        third.add([b"a"], offset=0)
    assert other.add([b"b"], offset=1) == 2
    other.leave()
    assert third.add([b"a"], offset=0) == 1


def test_what_nobody_sent_on_for_a_month_is_swept_and_what_was_is_not(monkeypatch):
    monkeypatch.setattr(arriving, "MOST_ARRIVING", FILE.size + 2)
    month = arriving.GIVEN_UP
    FILE.add([b"a"], offset=0)
    for ago, here in ((month - 3600, 1), (month + 3600, 0)):
        then = time.time() - ago
        os.utime(FILE._place, (then, then))
        Arriving(f"new {ago}", 1).add([b"a"], offset=0)
        assert FILE.here == here


def test_where_the_disk_is_full_it_may_come_later_and_what_came_before_stays():
    class Full:
        """A disk as Linux has one: /dev/full takes nothing."""

        def __iter__(self):
            yield DATA[:100]
            with Path("/dev/full").open("wb", buffering=0) as full:
                full.write(b"x")

    with pytest.raises(NoRoomNow, match="the disk is full") as refused:
        FILE.add(Full(), offset=0)
    assert refused.value.__cause__.errno == errno.ENOSPC
    assert FILE.here == 100


def test_another_fault_of_the_disk_is_no_want_of_room(papers_here):
    papers_here.mkdir(parents=True)
    (papers_here / "arriving").write_text("in the way")
    with pytest.raises(OSError, match="Not a directory"):
        FILE.add([b"a"], offset=0)


def test_no_backup_takes_what_is_half_here(papers_here):
    FILE.add([DATA[:500]], offset=0)
    assert len(lying(papers_here)) == 1
    assert list(files()) == []
