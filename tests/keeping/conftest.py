"""A database of a test's own, open while it runs, and a base to put into it."""

from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client

from fleet.papers.models import Paper, PaperAt
from fleet.people.models import Person
from maintenance.defects.actions import end_defect, report_defect
from maintenance.jobs.actions import Work, record_work, take_back_job
from tests.cast import NOW, TODAY, Cast, assemble, back
from tests.conftest import FIXTURES
from tests.keeping.books import Shelf, opened
from tests.keeping.releases import brought_forward
from tests.once_more import once_more

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
    return once_more("a base to keep", lambda: _worked_in(papers_here))


def _worked_in(papers: Path) -> Cast:
    cast = assemble()
    back(cast, "sandpiper", main="1210.5")
    back(cast, "twice shy", port="1810", starboard="99")
    done = Work(TODAY, [cast.task("sandpiper rigging", "rig")], who="Žaklina 🔧", minutes=200)
    record_work(cast.boat["sandpiper"], done, at=NOW, client_id="from a phone")
    undone = Work(TODAY, [cast.task("sandpiper gas-bottle", "swap")])
    take_back_job(record_work(cast.boat["sandpiper"], undone, at=NOW), at=NOW)
    leak = report_defect(cast.boat["blank page"], words="Šuška: 水 under the\nsole — “again”", at=NOW)
    end_defect(leak, step="put right", who="A. Fitter", at=NOW + timedelta(minutes=1))
    keep(papers, cast, PHOTO)
    keep(papers, cast, b"%PDF a certificate")
    return cast


@pytest.fixture(scope="module")
def of_release(request, shelf, django_db_blocker):
    """The books of the one release a module names, `RELEASE`, brought forward and open; what is tested
    of them is what they say."""
    file = FIXTURES / "releases" / request.module.RELEASE
    with django_db_blocker.unblock(), brought_forward(file, shelf) as release:
        yield release


@pytest.fixture
def then(of_release) -> Any:
    """That release's rows as they were, at the moment they were written."""
    with time_machine.travel(datetime.fromisoformat(of_release["at"]), tick=False):
        yield of_release["tables"]


@pytest.fixture
def engineer_then(then) -> Client:
    """A browser in which that release's engineer is signed in."""
    browser = Client()
    browser.force_login(Person.objects.get(login="tome"))
    return browser


def keep(home: Path, cast: Cast, content: bytes) -> Path:
    """A paper in its place, named by its content, and its row."""
    name = sha256(content).hexdigest()
    path = home / name[:2] / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    row = Paper.objects.create(sha256=name, mime="image/jpeg", size=len(content))
    PaperAt.objects.create(paper=row, base=cast.base, at=NOW)
    return path
