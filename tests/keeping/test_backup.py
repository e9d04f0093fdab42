"""`manage.py backup`: one file, made while others write, whole under its name or not there at all."""

import json
import os
import re
import signal
import stat
import subprocess
import sys
import tarfile
import time
from datetime import UTC, datetime
from hashlib import sha256
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connections

from fleet.management.keeping import making, restoring
from fleet.meters.models import Reading
from fleet.papers.models import Paper
from tests.cast import NOW
from tests.keeping.books import SQLITE, address, every_row
from tests.keeping.conftest import PHOTO

WRITES = """
import sys, time, django
django.setup()
from django.db import transaction
from fleet.bases.models import Base
from fleet.boats.models import Kind
n, until = 0, time.monotonic() + float(sys.argv[1])
while time.monotonic() < until:
    n += 1
    with transaction.atomic():
        Base.objects.create(code=f"pair-{n}", name="one", timezone="UTC")
        Kind.objects.create(code=f"pair-{n}", name="other", system="none")
    if n == 1:
        print("writing", flush=True)
print(n, flush=True)
"""


def backup(*args: object, **options: object) -> str:
    out = StringIO()
    call_command("backup", *map(str, args), stdout=out, **options)
    return out.getvalue()


# A run in the background shuts Ctrl-C out and hands that on: it is let in again, by the process itself,
# for what runs between fork and exec in a process with threads may wait for ever on one of their locks.
HEEDS = """
import runpy, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
sys.argv = sys.argv[1:]
runpy.run_path(sys.argv[0], run_name="__main__")
"""


def process(*command: str) -> subprocess.Popen[str]:
    """Another process of this program on the database now open."""
    env = os.environ | {
        "FETTLE_DATABASE_URL": address(),
        "FETTLE_PAPERS": str(settings.PAPERS),
        "DJANGO_SETTINGS_MODULE": "fleet.settings",
    }
    given = {"cwd": settings.HOME, "env": env, "text": True}
    return subprocess.Popen([sys.executable, *command], stdout=-1, stderr=-1, **given)


def test_a_backup_tells_when_of_what_and_how_much_of_each_table(base, tmp_path):
    said = backup(tmp_path / "now.tar")
    with tarfile.open(tmp_path / "now.tar") as tar:
        manifest = json.load(tar.extractfile("manifest.json"))
        files = {name: tar.extractfile(name).read() for name in tar.getnames() if name != "manifest.json"}
    rows = every_row()
    assert {name: table["rows"] for name, table in manifest["tables"].items()} == {
        name: len(found) for name, found in rows.items() if name != "sqlite_sequence"
    }
    assert manifest["files"] == {
        name: {"size": len(content), "sha256": sha256(content).hexdigest()} for name, content in files.items()
    }
    assert ["fleet", "0002_doors"] in manifest["migrations"]
    assert (manifest["program"], manifest["format"]) == ("0.1.0", 1)
    assert datetime.fromisoformat(manifest["made_at"]).tzinfo is not None
    assert f"{sum(t['rows'] for t in manifest['tables'].values())} rows" in said
    assert "2 papers" in said
    assert PHOTO in files.values()


def test_what_a_backup_holds_is_for_its_owners_eyes(base, tmp_path):
    backup(tmp_path / "now.tar")
    assert stat.S_IMODE((tmp_path / "now.tar").stat().st_mode) == 0o600
    assert sorted(tmp_path.iterdir()) == [tmp_path / "now.tar", tmp_path / "papers"]


def test_nothing_is_replaced(base, tmp_path):
    path = tmp_path / "now.tar"
    path.write_bytes(b"last week's")
    with pytest.raises(CommandError, match=r"now\.tar: is there already; a backup replaces nothing"):
        backup(path)
    assert path.read_bytes() == b"last week's"


def test_one_that_came_under_the_same_name_meanwhile_stays(base, tmp_path, monkeypatch):
    path = tmp_path / "now.tar"
    fill = making._fill

    def other_first(*args):
        path.write_bytes(b"another's")
        return fill(*args)

    monkeypatch.setattr(making, "_fill", other_first)
    with pytest.raises(CommandError, match="is there already"):
        backup(path)
    assert path.read_bytes() == b"another's"
    assert sorted(tmp_path.iterdir()) == [path, tmp_path / "papers"]


def test_a_folder_that_is_not_there_is_named(base, tmp_path):
    with pytest.raises(CommandError, match=r"away: there is no such folder"):
        backup(tmp_path / "away" / "now.tar")


def test_in_a_folder_each_is_named_for_its_moment_and_only_the_latest_are_kept(base, tmp_path):
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    older = [shelf / f"fettle-2026050{n}T020000Z.tar" for n in range(1, 5)]
    strangers = [shelf / "fettle-before-the-move.tar", shelf / "before-restore-20200101T000000Z.tar"]
    for path in [*older, *strangers]:
        path.write_bytes(b"of before")
    said = backup(shelf, keep=3)
    new = [path for path in shelf.iterdir() if path not in older and path not in strangers]
    assert [bool(re.fullmatch(r"fettle-\d{8}T\d{6}Z\.tar", path.name)) for path in new] == [True]
    assert sorted(shelf.iterdir()) == sorted([*older[2:], *strangers, *new])
    assert said.splitlines()[1:] == [f"Deleted: {path}" for path in older[:2]]


@pytest.mark.parametrize("n", ["0", "-1", "many"])
def test_how_many_to_keep_is_a_number_from_one(base, tmp_path, n):
    with pytest.raises(CommandError, match=f'found "{n}"; wanted a whole number from 1'):
        backup(tmp_path, f"--keep={n}")


def test_keeping_some_wants_a_folder(base, tmp_path):
    with pytest.raises(CommandError, match="--keep: wanted a folder"):
        backup(tmp_path / "now.tar", "--keep=2")
    assert not (tmp_path / "now.tar").exists()


def test_a_paper_that_is_not_what_its_name_says_is_kept_and_named_and_the_end_is_an_error(base, tmp_path):
    bad = next(path for path in settings.PAPERS.rglob("*") if path.is_file())
    bad.write_bytes(b"rotten")
    with pytest.raises(CommandError, match=f"is made, but not what their names say are: papers/.*{bad.name}"):
        backup(tmp_path / "now.tar")
    assert "2 papers" in backup(tmp_path / "now.tar", check=True)


def test_half_a_paper_and_a_strangers_file_are_left_out(base, tmp_path):
    name = sha256(b"x").hexdigest()
    for stranger in (f"_{name}", f"{name}~", "notes.txt"):
        (settings.PAPERS / stranger).write_bytes(b"half")
    assert "2 papers" in backup(tmp_path / "now.tar")


def test_papers_whose_rows_came_after_the_databases_copy_do_no_harm(base, tmp_path):
    Paper.objects.all()[0].bases.all().delete()
    assert "2 papers" in backup(tmp_path / "now.tar")


@pytest.mark.parametrize(
    "how",
    [
        signal.SIGKILL,
        pytest.param(signal.SIGTERM, marks=pytest.mark.long),
        pytest.param(signal.SIGINT, marks=pytest.mark.long),
    ],
)
def test_a_backup_that_is_killed_leaves_nothing_under_the_name(base, tmp_path, how):
    """It is stopped while it waits for a paper's bytes, with the database copied already."""
    slow = settings.PAPERS / sha256(b"slow").hexdigest()
    with slow.open("wb") as file:
        file.truncate(6_000_000_000)  # no byte of it lies on the disk, yet it takes long to read
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    running = process("-c", HEEDS, "manage.py", "backup", str(shelf / "now.tar"))
    try:
        until = time.monotonic() + 30
        while not any(part.stat().st_size > 1_000_000 for part in shelf.glob(".unfinished-backup-*/backup")):
            assert running.poll() is None, running.communicate()
            assert time.monotonic() < until
            time.sleep(0.02)
    finally:
        running.send_signal(how)
        running.communicate(timeout=30)
    assert not (shelf / "now.tar").exists()
    left = list(shelf.iterdir())
    assert [path.name.startswith(".unfinished-backup-") for path in left] == ([True] if how == 9 else [])
    slow.unlink()
    for path in left:
        os.utime(path, (0, 0))
    backup(shelf / "now.tar")
    assert [path.name for path in shelf.iterdir()] == ["now.tar"]


def test_a_backup_under_another_processs_steady_writes_is_of_one_moment(base, tmp_path):
    """Pairs of rows are written in one transaction each: no copy has half of one."""
    writer = process("-c", WRITES, "4")
    assert writer.stdout.readline() == "writing\n", writer.communicate()
    counted = []
    for n in range(3):
        backup(tmp_path / f"{n}.tar")
        tables = restoring.check(tmp_path / f"{n}.tar").tables
        counted.append((tables["fleet_base"]["rows"] - 2, tables["fleet_kind"]["rows"] - 5))
    out, err = writer.communicate(timeout=30)
    assert writer.returncode == 0, err
    assert [bases for bases, _ in counted] == [kinds for _, kinds in counted]
    assert 0 < counted[0][0] < counted[1][0] < counted[2][0] <= int(out)


def test_every_byte_counts_a_flipped_one_is_found_wherever_it_is(base, tmp_path):
    path = tmp_path / "now.tar"
    backup(path)
    whole = path.read_bytes()
    step = max(len(whole) // 150, 1)
    for place in {*range(0, len(whole), step), *range(len(whole) - 90, len(whole))}:
        damaged = bytearray(whole)
        damaged[place] ^= 1
        path.write_bytes(damaged)
        with pytest.raises(CommandError, match=r"damaged|not a backup"):
            backup(path, check=True)
    for length in (0, 50, 512, len(whole) // 2, len(whole) - 1):
        path.write_bytes(whole[:length])
        with pytest.raises(CommandError, match=r"damaged|not a backup"):
            backup(path, check=True)
    path.write_bytes(whole)
    assert backup(path, check=True).startswith("Whole: ")


def test_a_database_that_is_not_there_is_said(empty, tmp_path):
    with pytest.raises(CommandError, match=r"there is no database|cannot be used"):
        backup(tmp_path / "now.tar")
    assert not (tmp_path / "now.tar").exists()


def test_rows_written_after_it_are_not_in_it(base, tmp_path):
    backup(tmp_path / "now.tar")
    before = restoring.check(tmp_path / "now.tar").tables["fleet_reading"]["rows"]
    Reading.objects.create(meter=base.meter["far cry main"], day=NOW.date(), dial=9, recorded_at=NOW)
    backup(tmp_path / "then.tar")
    after = restoring.check(tmp_path / "then.tar").tables["fleet_reading"]["rows"]
    assert (before + 1, after) == (after, Reading.objects.count())


def test_the_password_is_in_no_argument(base, tmp_path, monkeypatch):
    """Whoever is on the machine sees the arguments of every process; SQLite starts none."""
    started = []
    run = subprocess.run
    monkeypatch.setattr(subprocess, "run", lambda args, **more: started.append(args) or run(args, **more))
    backup(tmp_path / "now.tar")
    secret = connections["default"].settings_dict["PASSWORD"]
    assert len(started) == (0 if SQLITE else 2)
    assert SQLITE or (secret and not any(secret in word for args in started for word in args))


def test_made_at_is_told_in_utc(base, tmp_path):
    assert datetime.now(UTC).strftime("of %Y-%m-%d") in backup(tmp_path / "now.tar")
