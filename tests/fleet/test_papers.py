"""A paper is kept once, whole or not at all, and heals when it comes in again."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from stat import S_IMODE
from subprocess import Popen

import pytest
from django.conf import settings
from django.db import connection, transaction

from fleet.papers.actions import keep_paper
from fleet.papers.content import PaperRefused, clean
from fleet.papers.models import Paper, PaperAt
from fleet.papers.store import is_whole, place_of
from tests.cast import NOW
from tests.factories import BaseFactory, PersonFactory
from tests.papers import encoded, noted, painted


@pytest.fixture
def base(db):
    return BaseFactory(timezone="Europe/Athens")


@pytest.fixture
def photo():
    return encoded(painted(), exif=noted(6, taken="2026:05:28 15:30:00").tobytes())


def files(papers_here):
    return sorted(p.name for p in papers_here.rglob("*") if p.is_file())


def test_a_paper_is_known_by_the_hash_of_what_is_kept(base, photo, papers_here):
    by = PersonFactory()
    paper = keep_paper(photo, base=base, at=NOW, by=by)
    kept = place_of(paper.sha256).read_bytes()
    assert sha256(kept).hexdigest() == paper.sha256
    assert place_of(paper.sha256) == papers_here / paper.sha256[:2] / paper.sha256
    assert (paper.mime, paper.size, paper.by) == ("image/jpeg", len(kept), by)
    assert paper.taken_at == datetime(2026, 5, 28, 12, 30, tzinfo=UTC)  # 15:30 in Athens
    assert (PaperAt.objects.get().base, PaperAt.objects.get().at) == (base, NOW)


def test_only_we_may_read_the_files(base, photo, papers_here):
    paper = keep_paper(photo, base=base, at=NOW)
    assert S_IMODE(place_of(paper.sha256).stat().st_mode) == 0o600
    assert S_IMODE(place_of(paper.sha256).parent.stat().st_mode) == 0o700
    assert S_IMODE(papers_here.stat().st_mode) == 0o700


@pytest.mark.parametrize(
    "make", [lambda p: p, clean, lambda p: bytes(clean(p))], ids=["sent", "cleaned", "kept"]
)
def test_handed_in_again_it_is_the_same_paper(base, photo, papers_here, make):
    first = keep_paper(photo, base=base, at=NOW)
    again = keep_paper(make(photo), base=base, at=NOW + timedelta(hours=1), by=PersonFactory())
    assert (again, Paper.objects.count(), PaperAt.objects.count()) == (first, 1, 1)
    assert files(papers_here) == [first.sha256]
    assert PaperAt.objects.get().at == NOW


def test_cleaned_before_or_after_it_is_the_same_paper_taken_at_the_same_moment(base, photo):
    assert clean(photo).taken_at.tzinfo is None
    paper = keep_paper(clean(photo), base=base, at=NOW)
    assert Paper.objects.get(pk=paper.pk).taken_at == datetime(2026, 5, 28, 12, 30, tzinfo=UTC)


def test_two_bases_hold_one_file_and_each_its_row(base, photo, papers_here):
    other = BaseFactory()
    paper = keep_paper(photo, base=base, at=NOW)
    keep_paper(photo, base=other, at=NOW)
    assert files(papers_here) == [paper.sha256]
    assert {held.base for held in paper.bases.all()} == {base, other}
    assert list(Paper.objects.of_bases([other.pk])) == [paper]


def test_a_moment_to_come_is_no_moment_it_was_taken(base):
    sent = encoded(painted(), exif=noted(taken="2031:01:01 10:00:00").tobytes())
    assert keep_paper(sent, base=base, at=NOW).taken_at is None


def test_what_is_refused_leaves_nothing(base, papers_here):
    with pytest.raises(PaperRefused):
        keep_paper(b"<html>", base=base, at=NOW)
    assert not Paper.objects.exists()
    assert not papers_here.exists()


def test_a_file_whose_row_was_lost_gets_its_row_when_it_comes_in_again(base, photo, papers_here):
    with transaction.atomic():
        lost = keep_paper(photo, base=base, at=NOW)
        transaction.set_rollback(True)
    assert not Paper.objects.exists()
    assert files(papers_here) == [lost.sha256]
    assert keep_paper(photo, base=base, at=NOW).sha256 == lost.sha256
    assert Paper.objects.count() == PaperAt.objects.count() == 1


@pytest.mark.parametrize("harm", ["gone", "cut", "changed"])
def test_a_row_whose_file_was_lost_or_harmed_gets_it_back_when_it_comes_in_again(base, photo, harm):
    paper = keep_paper(photo, base=base, at=NOW)
    place = place_of(paper.sha256)
    whole = place.read_bytes()
    place.unlink()
    if harm != "gone":
        place.write_bytes(whole[:-5] if harm == "cut" else b"x" + whole[1:])
    assert not is_whole(paper.sha256)
    assert keep_paper(photo, base=base, at=NOW) == paper
    assert place.read_bytes() == whole


def test_a_whole_file_is_never_written_again(base, photo):
    paper = keep_paper(photo, base=base, at=NOW)
    place = place_of(paper.sha256)
    place.chmod(0o400)
    before = place.stat()
    keep_paper(photo, base=base, at=NOW)
    assert (place.stat().st_ino, place.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_disk_that_is_full_leaves_no_half_of_a_paper(base, papers_here):
    """A limit on the length of a file stands for the full disk: the write fails midway."""
    script = (
        "import resource, signal, sys; from pathlib import Path; from django.conf import settings\n"
        "settings.configure(PAPERS=Path(sys.argv[1]))\n"
        "from fleet.papers.store import write\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write('ab' * 32, b'x' * 100_000)\n"
    )
    done = subprocess.run([sys.executable, "-c", script, papers_here], capture_output=True, cwd=settings.HOME)
    assert b"File too large" in done.stderr
    assert files(papers_here) == []
    assert (papers_here / "ab").is_dir()


AT_ONCE = """
import sys, time
import django; django.setup()
from fleet.bases.models import Base
from fleet.papers.actions import keep_paper
from tests.cast import NOW
from tests.papers import pdf
base = Base.objects.get()
papers = [pdf(b"%d" % n) for n in range(20)]
print("ready", flush=True)
sys.stdin.readline()
print(*[keep_paper(paper, base=base, at=NOW).sha256 for paper in papers])
"""


def address_of_the_database(folder):
    """As another process reaches it; SQLite's lies in memory here, so it is copied to a file."""
    if connection.vendor == "postgresql":
        at = connection.settings_dict
        return f"postgres://{at['USER']}:{at['PASSWORD']}@{at['HOST']}:{at['PORT']}/{at['NAME']}"
    with closing(sqlite3.connect(folder / "at-once.sqlite3")) as copy:
        connection.connection.backup(copy)
    return f"sqlite:///{folder / 'at-once.sqlite3'}"


@pytest.mark.django_db(transaction=True)
def test_three_at_once_make_one_row_of_each_and_all_are_told_of_it(papers_here, tmp_path):
    BaseFactory()
    given = {"FETTLE_PAPERS": str(papers_here), "DJANGO_SETTINGS_MODULE": "fleet.settings"}
    given |= {"FETTLE_DATABASE_URL": address_of_the_database(tmp_path)}
    script, pipes = [sys.executable, "-c", AT_ONCE], {"stdin": -1, "stdout": -1, "text": True}
    started = [Popen(script, env=os.environ | given, cwd=settings.HOME, **pipes) for _ in range(3)]
    assert [one.stdout.readline() for one in started] == ["ready\n"] * 3
    for one in started:
        one.stdin.write("\n")
        one.stdin.flush()
    told = [one.communicate(timeout=60)[0].split() for one in started]
    assert told[0] == told[1] == told[2]
    assert files(papers_here) == sorted(told[0])
    assert len(told[0]) == 20
