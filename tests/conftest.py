"""What every test may use: a fixed clock, the cast of boats, and ways to load a folder."""

import gc
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine
from django.test import Client
from hypothesis import HealthCheck, settings

from maintenance.exchange.folder import load_folder
from tests.cast import Cast, assemble
from tests.doors.api import Program
from tests.once_more import once_more, share

# Next to all that a test makes is gone when it ends: looking for rings in it after every 700 things
# made took a sixth of the whole run.
gc.set_threshold(200_000, 50, 50)
# How long an example takes is the machine's doing: two slow cores made tests fail that found nothing.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


def pytest_collection_finish() -> None:
    """What the whole run keeps, seven thousand tests among it, is not looked through for rings again."""
    gc.collect()
    gc.freeze()


SHARED = Path(__file__).resolve().parent.parent.parent / "shared"
FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


@pytest.fixture(scope="session", autouse=True)
def shared_among_processes(tmp_path_factory):
    """What one process of a run made, the others need not make again."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        share(tmp_path_factory.getbasetemp().parent)


@pytest.fixture
def now() -> datetime:
    """A Thursday afternoon in the season."""
    return datetime(2026, 5, 28, 13, 0, tzinfo=UTC)


@pytest.fixture
def load(db, now):
    """Loads a folder as `manage.py load` does."""

    def load(folder: Path, *, at: datetime = now, **options):
        return load_folder(folder, at=at, **options)

    return load


@pytest.fixture
def cast(db) -> Cast:
    """The standing cast of three boats, its due list derived for the day."""
    return once_more("cast", assemble)


@pytest.fixture
def today_is(now):
    """Stops the clock that the doors read, at the moment the cast's due list was derived for."""
    with time_machine.travel(now, tick=False) as traveller:
        yield traveller


@pytest.fixture(autouse=True)
def papers_here(settings, tmp_path):
    """Papers of a test lie in a folder of its own."""
    settings.PAPERS = tmp_path / "papers"
    return settings.PAPERS


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Slow by design where it guards a base; a test waits for nobody's guess."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def sign_in(cast, today_is):
    """A browser in which somebody of the cast is signed in: engineer, manager, office, stranger."""

    def sign_in(name: str) -> Client:
        browser = Client()
        browser.force_login(cast.person[name])
        return browser

    return sign_in


@pytest.fixture
def engineer(sign_in) -> Client:
    return sign_in("engineer")


@pytest.fixture
def program(sign_in):
    """A program at the API, signed in as somebody of the cast."""
    return lambda name="engineer": Program(sign_in(name))
