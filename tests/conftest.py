"""What every test may use: a fixed clock and ways to load a folder."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from maintenance.exchange.folder import load_folder

SHARED = Path(__file__).resolve().parent.parent.parent / "shared"
FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


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
