"""`manage.py restore`: every row and every byte again, over nothing unasked, from nothing damaged."""

import io
import json
import tarfile
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connections
from django.db.migrations.loader import MigrationLoader

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.management.keeping import envelope, postgresql, restoring, sqlite
from fleet.management.keeping.papers import places
from fleet.management.keeping.which import database
from fleet.meters.models import Reading
from fleet.papers.models import Paper
from maintenance.servicing.actions import differences
from tests.cast import TODAY
from tests.factories import ReadingFactory
from tests.keeping.books import SQLITE, every_row, opened
from tests.keeping.test_backup import backup


def restore(*args: object) -> str:
    out = io.StringIO()
    call_command("restore", *map(str, args), stdout=out)
    return out.getvalue()


def papers() -> dict[str, bytes]:
    home = Path(settings.PAPERS)
    return {str(p.relative_to(home)): p.read_bytes() for p in home.rglob("*") if p.is_file()}


@pytest.fixture
def kept(base, tmp_path) -> Path:
    """A backup of the cast's base."""
    backup(tmp_path / "kept.tar")
    return tmp_path / "kept.tar"


@pytest.fixture
def other(shelf):
    """Another database, without a table, as on a new machine."""
    with opened(shelf.empty()):
        yield


def resealed(path: Path, change) -> Path:
    """The same backup with another manifest, sealed as if the program had made it so."""
    with tarfile.open(path) as tar:
        files = {name: tar.extractfile(name).read() for name in tar.getnames()}
    told = json.loads(files.pop("manifest.json"))
    change(told)
    changed = path.with_name("changed.tar")
    manifest = envelope.Manifest(**(told | {"files": {}}))
    parts = path.with_name("parts")
    parts.mkdir()
    with changed.open("wb") as out, envelope.written(out, manifest) as packing:
        for n, (name, content) in enumerate(files.items()):
            (parts / str(n)).write_bytes(content)
            packing.add(name, parts / str(n))
    return changed


def test_on_a_new_machine_every_row_and_every_byte_is_there_again(kept, shelf, settings, tmp_path):
    rows, bytes_of = every_row(), papers()
    assert sum(map(len, rows.values())) > 300
    assert len(bytes_of) == 2
    settings.PAPERS = tmp_path / "new machine"
    with opened(shelf.empty()):
        said = restore(kept)
        assert every_row() == rows
        assert papers() == bytes_of
        assert list(differences(on=TODAY)) == []
    assert "Restored and compared row by row" in said
    assert "reforecast" in said


def test_what_is_recorded_afterwards_gets_numbers_of_its_own(kept, base, other):
    restore(kept)
    latest = Reading.objects.latest("pk").pk
    assert ReadingFactory(meter_id=base.meter["far cry main"].pk, dial=600, day=TODAY).pk > latest


def test_a_database_with_tables_and_no_rows_is_restored_into(kept, shelf):
    rows = every_row()
    with opened(shelf.with_tables()):
        restore(kept)
        assert every_row() == rows


def test_rows_that_are_there_are_not_touched_unless_told(kept):
    Boat.objects.filter(code="blank-page").update(name="Written on since")
    rows = every_row()
    with pytest.raises(CommandError, match=r"the database holds \d+ rows already and nothing was touched"):
        restore(kept)
    assert every_row() == rows


def test_told_to_go_over_rows_what_was_there_is_kept_first_and_can_be_had_again(kept, shelf):
    rows = every_row()
    Boat.objects.filter(code="blank-page").update(name="Written on since")
    since = every_row()
    said = restore(kept, "--over")
    assert every_row() == rows
    [safe] = kept.parent.glob("before-restore-*.tar")
    assert f"What was there is kept in {safe}" in said
    with opened(shelf.empty()):
        restore(safe)
        assert every_row() == since


def test_where_what_is_there_cannot_be_kept_nothing_is_touched(kept, monkeypatch):
    Boat.objects.filter(code="blank-page").update(name="Written on since")
    rows = every_row()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(envelope.Packing, "add", full)
    with pytest.raises(CommandError, match="No space left on device"):
        restore(kept, "--over")
    assert every_row() == rows


def test_whoever_has_the_database_open_meanwhile_reads_the_restored_rows(kept):
    Boat.objects.filter(code="blank-page").update(name="Written on since")
    asked = "SELECT name FROM fleet_boat WHERE code = 'blank-page'"
    with closing(connections["default"].copy()) as another:
        with another.cursor() as cursor:
            assert cursor.execute(asked).fetchall() == [("Written on since",)]
        restore(kept, "--over")
        with another.cursor() as cursor:
            assert cursor.execute(asked).fetchall() == [("Blank Page",)]


def test_a_table_that_the_backup_does_not_know_is_gone_with_what_was_there(kept):
    rows = every_row()
    with connections["default"].cursor() as cursor:
        cursor.execute("CREATE TABLE fleet_later (base_id bigint REFERENCES fleet_base (id))")
        cursor.execute("INSERT INTO fleet_later SELECT id FROM fleet_base")
    restore(kept, "--over")
    assert every_row() == rows


def test_damage_anywhere_is_found_before_anything_is_touched(kept, other, settings, tmp_path):
    settings.PAPERS = tmp_path / "new machine"
    whole = kept.read_bytes()
    for place in (600, len(whole) // 3, len(whole) // 2, len(whole) - 11_000, len(whole) - 5):
        damaged = bytearray(whole)
        damaged[place] ^= 0x40
        kept.write_bytes(damaged)
        with pytest.raises(CommandError, match="damaged"):
            restore(kept)
    kept.write_bytes(whole[:-20])
    with pytest.raises(CommandError, match="cut short"):
        restore(kept)
    assert every_row() == {}
    assert papers() == {}


@pytest.mark.parametrize("what", ["missing.tar", "."])
def test_what_is_no_file_is_said(base, tmp_path, what):
    with pytest.raises(CommandError, match="cannot be read"):
        restore(tmp_path / what)


def test_a_tar_of_something_else_is_refused(base, tmp_path):
    with tarfile.open(tmp_path / "other.tar", "w") as tar:
        tar.add(settings.HOME / "manage.py", "manage.py")
    with pytest.raises(CommandError, match="not a backup, or cut short"):
        restore(tmp_path / "other.tar")


def test_a_backup_of_a_newer_program_is_refused_and_says_so(kept, other):
    newer = resealed(kept, lambda told: told["migrations"].append(["fleet", "0099_the_year_after"]))
    with pytest.raises(CommandError, match=r"newer program made it .fleet 0099_the_year_after is not known"):
        restore(newer)
    assert every_row() == {}


def test_a_newer_sort_of_backup_is_refused(kept, other):
    with pytest.raises(CommandError, match=r"newer program made this backup \(format 2\)"):
        restore(resealed(kept, lambda told: told.update(format=2)))


def test_a_backup_of_the_other_database_is_refused(kept, other):
    kind = "postgresql" if SQLITE else "sqlite"
    with pytest.raises(CommandError, match=f"it is a backup of {kind}"):
        restore(resealed(kept, lambda told: told.update(database=kind)))


def test_rows_that_are_not_what_was_counted_are_named(kept, other):
    """On SQLite before anything is touched; on PostgreSQL once the server has them."""

    def miscounted(told):
        told["tables"]["fleet_boat"]["rows"] += 1
        told["tables"]["fleet_kind"]["sum"] = "0" * 64

    with pytest.raises(
        CommandError, match=r"fleet_boat: wanted 5 rows, found 4 rows; fleet_kind: .* that differ"
    ):
        restore(resealed(kept, miscounted))
    assert SQLITE is (every_row() == {})


@pytest.mark.parametrize("name", ["papers/../../escaped", "papers//etc/passwd", "papers/notes.txt"])
def test_a_paper_is_put_among_the_papers_or_nowhere(name):
    with pytest.raises(CommandError, match="no name of a paper"):
        places([name])


def test_a_paper_that_rotted_here_is_made_whole_and_others_are_left(kept, base):
    bytes_of = papers()
    home = Path(settings.PAPERS)
    rotten, gone = (home / name for name in bytes_of)
    rotten.write_bytes(b"rotten")
    gone.unlink()
    newer = home / sha256(b"since").hexdigest()
    newer.write_bytes(b"since")
    restore(kept, "--over")
    assert papers() == bytes_of | {newer.name: b"since"}
    assert Paper.objects.count() == 2


def test_a_restore_that_breaks_off_leaves_what_was_there(kept, base, monkeypatch):
    """The copy is good in all but its last step: the database is as it was, to the row."""
    Base.objects.filter(code="harbour").update(name="Written on since")
    rows = every_row()
    if SQLITE:
        monkeypatch.setattr(sqlite, "put_back", broken_sqlite)
        wanted = "it is as it was"
    else:
        run = postgresql._run

        def bad_script(program, *args, **more):
            run(program, *args, **more)
            for arg in args:
                if arg.endswith(".sql") and program == "pg_restore":
                    with Path(arg.removeprefix("--file=")).open("a") as script:
                        script.write("\nSELECT 1/0;\n")

        monkeypatch.setattr(postgresql, "_run", bad_script)
        wanted = "division by zero"
    with pytest.raises(CommandError, match=wanted):
        restore(kept, "--over")
    assert every_row() == rows


put_back = sqlite.put_back


def broken_sqlite(copy: Path, told: dict) -> None:
    """A copy whose pages give out half way."""
    content = copy.read_bytes()
    copy.write_bytes(content[: len(content) // 2 // 4096 * 4096 + 7])
    put_back(copy, told)


def test_an_older_programs_backup_is_brought_forward(kept, other):
    """All but the last migration ran when it was made."""
    names = sorted(name for app, name in MigrationLoader(None).disk_migrations if app == "fleet")
    assert len(names) > 1
    call_command("migrate", "fleet", names[-2], verbosity=0, interactive=False)
    backup(kept.with_name("older.tar"))
    said = restore(kept.with_name("older.tar"))
    assert "It is of an older program" in said
    assert ("fleet", names[-1]) in MigrationLoader(connections["default"]).applied_migrations


def test_without_the_servers_programs_it_is_said_what_is_missing(base, tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    if SQLITE:
        backup(tmp_path / "now.tar")
        return
    with pytest.raises(CommandError, match=r"pg_dump is not on this machine.*postgresql-client"):
        backup(tmp_path / "now.tar")
    assert not (tmp_path / "now.tar").exists()


def test_each_database_is_kept_in_its_own_way(book):
    assert database() is (sqlite if SQLITE else postgresql)
    assert restoring.database is database
