"""A backup put back: looked over first, never over rows unless told, and proved equal afterwards."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from fleet.management.keeping import envelope, making, papers
from fleet.management.keeping.rows import differing
from fleet.management.keeping.which import database

# What `migrate` itself writes: a database that holds no more has nothing to lose.
_MADE_BY_MIGRATE: Final = {"django_migrations", "django_content_type", "auth_permission"}

Tell = Callable[[str], None]


def check(path: Path) -> envelope.Manifest:
    """Looks a whole backup over and touches nothing; CommandError where anything is wrong."""
    manifest = envelope.checked(path)
    if manifest.database == database().KIND:
        with TemporaryDirectory(prefix="fettle-check-") as folder:
            _unpacked(path, manifest, Path(folder))
    return manifest


def restore(path: Path, *, at: datetime, over: bool, tell: Tell) -> envelope.Manifest:
    """Puts a backup back where the settings say; CommandError before anything is touched where it
    is damaged, made by a newer program, of the other database, or rows are there and not `over`."""
    manifest = envelope.checked(path)
    _refuse_other(manifest)
    with TemporaryDirectory(prefix="fettle-restore-") as folder:
        copy = _unpacked(path, manifest, Path(folder))
        _keep_what_is_there(path.parent, at, over, tell)
        _put_papers(path, manifest)
        database().put_back(copy, manifest.tables)
    _prove(manifest)
    if _migrations_since(manifest):
        tell("It is of an older program: its tables are brought forward.")
        call_command("migrate", verbosity=0, interactive=False)
    return manifest


def _unpacked(path: Path, manifest: envelope.Manifest, folder: Path) -> Path:
    """The database's copy, looked over once more as a database."""
    kept = database()
    copy = folder / kept.FILE
    envelope.unpack(path, manifest, {kept.FILE: copy})
    holds = kept.looked_over(copy)
    if holds is not None and (wrong := differing(manifest.tables, holds)):
        raise CommandError(f"{path}: the database in it is not what was counted: {'; '.join(wrong[:5])}")
    return copy


def _refuse_other(manifest: envelope.Manifest) -> None:
    kept = database()
    if manifest.database != kept.KIND:
        raise CommandError(
            f"it is a backup of {manifest.database}, and FETTLE_DATABASE_URL names {kept.KIND}: "
            f"restore it to {manifest.database}"
        )
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations or {}
    unknown = [f"{app} {name}" for app, name in manifest.migrations if (app, name) not in known]
    if unknown:
        raise CommandError(
            f"a newer program made it ({unknown[0]} is not known here); install that one first"
        )


def _migrations_since(manifest: envelope.Manifest) -> set[tuple[str, str]]:
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations or {}
    return set(known) - {(app, name) for app, name in manifest.migrations}


def _keep_what_is_there(folder: Path, at: datetime, over: bool, tell: Tell) -> None:
    """Refuses a database that holds rows; told to go over it, backs it up first, beside the other."""
    rows = sum(t["rows"] for name, t in database().tables().items() if name not in _MADE_BY_MIGRATE)
    if not rows:
        return
    if not over:
        raise CommandError(
            f"the database holds {rows} rows already and nothing was touched; "
            "--over replaces them, after a backup of what is there"
        )
    made = making.make(making.target(folder, at, "before-restore"), at=at)
    tell(f"What was there is kept in {made.path}")


def _put_papers(path: Path, manifest: envelope.Manifest) -> None:
    """Each paper into its place, but where it lies already; no other is touched."""
    wanted = {n: p for n, p in papers.places(manifest.papers).items() if not papers.is_whole(p)}
    for place in wanted.values():
        place.parent.mkdir(parents=True, exist_ok=True)
    envelope.unpack(path, manifest, {name: papers.beside(place) for name, place in wanted.items()})
    for place in wanted.values():
        papers.settle(place)


def _prove(manifest: envelope.Manifest) -> None:
    wrong = differing(manifest.tables, database().tables())
    connection.close()
    if wrong:
        raise CommandError(
            f"what is there now differs from the backup: {'; '.join(wrong[:5])}. "
            "Is something writing to it? Stop it and restore again"
        )
