"""A database of a test's own, open while it runs, and a base to put into it."""

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from fleet.papers.models import Paper, PaperAt
from maintenance.defects.actions import end_defect, report_defect
from maintenance.jobs.actions import Work, record_work, take_back_job
from tests.cast import NOW, TODAY, Cast, assemble, back
from tests.keeping.books import Shelf, opened

PHOTO = b"\xff\xd8 not looked into here \x00\xff" * 4000


@pytest.fixture(scope="session")
def shelf(tmp_path_factory, worker_id, django_db_blocker):
    with django_db_blocker.unblock():
        shelf = Shelf(tmp_path_factory.mktemp("books"), f"fettle_own_{worker_id}")
        yield shelf
        shelf.remove()


@pytest.fixture
def empty(shelf, django_db_blocker):
    """A database without a table, open."""
    with django_db_blocker.unblock(), opened(shelf.empty()):
        yield


@pytest.fixture
def book(shelf, django_db_blocker):
    """A database with its tables and no row of ours, open."""
    with django_db_blocker.unblock(), opened(shelf.with_tables()):
        yield


@pytest.fixture
def base(book, papers_here) -> Cast:
    """The cast's base with work, returns, defects, what was taken back, and papers."""
    cast = assemble()
    back(cast, "sandpiper", main="1210.5")
    back(cast, "twice shy", port="1810", starboard="99")
    done = Work(TODAY, [cast.task("sandpiper rigging", "rig")], who="Žaklina 🔧", minutes=200)
    record_work(cast.boat["sandpiper"], done, at=NOW, client_id="from a phone")
    undone = Work(TODAY, [cast.task("sandpiper gas-bottle", "swap")])
    take_back_job(record_work(cast.boat["sandpiper"], undone, at=NOW), at=NOW)
    leak = report_defect(cast.boat["blank page"], words="Šuška: 水 under the\nsole — “again”", at=NOW)
    end_defect(leak, step="put right", who="A. Fitter", at=NOW + timedelta(minutes=1))
    keep(papers_here, cast, PHOTO)
    keep(papers_here, cast, b"%PDF a certificate")
    return cast


def keep(home: Path, cast: Cast, content: bytes) -> Path:
    """A paper in its place, named by its content, and its row."""
    name = sha256(content).hexdigest()
    path = home / name[:2] / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    row = Paper.objects.create(sha256=name, mime="image/jpeg", size=len(content))
    PaperAt.objects.create(paper=row, base=cast.base, at=NOW)
    return path
