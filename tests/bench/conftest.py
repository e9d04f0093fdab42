"""The benchmarks run on real files with the project's settings, not on the tests' database in memory."""

import pytest

from tests.bench.books import Shelf


@pytest.fixture(scope="session")
def shelf(tmp_path_factory, django_db_blocker):
    with django_db_blocker.unblock():
        shelf = Shelf(tmp_path_factory.mktemp("bench"))
        yield shelf
        shelf.close()
