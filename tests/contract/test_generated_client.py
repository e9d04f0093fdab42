"""A client that nobody wrote: generated from the description, it files a return and reads the due list."""

import importlib
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from fleet.api.answers import as_json
from fleet.api.docs import described
from fleet.people.actions import make_token
from maintenance.turnaround.models import Return
from tests.cast import NOW, TODAY, assemble, due_list_holds

NAME = "fettle_client"


@pytest.fixture(scope="module")
def client_package(tmp_path_factory):
    """The package that openapi-python-client makes of the description, importable."""
    home = tmp_path_factory.mktemp("client")
    (home / "schema.json").write_bytes(as_json(described()))
    config = home / "config.yaml"
    config.write_text(f"project_name_override: {NAME}\npackage_name_override: {NAME}\n", encoding="utf-8")
    tool = Path(sys.executable).parent / "openapi-python-client"
    made = subprocess.run(
        [
            tool,
            "generate",
            "--path",
            "schema.json",
            "--config",
            "config.yaml",
            "--meta",
            "none",
        ],
        cwd=home,
        capture_output=True,
        text=True,
        env={"PATH": str(tool.parent)},
    )
    said = made.stdout + made.stderr
    assert made.returncode == 0, said
    # It knows no photos: of everything else it has nothing to warn of.
    assert set(re.findall(r"WARNING parsing (.+) within", said)) <= {"GET /api/papers/{id}/file/"}, said
    sys.path.insert(0, str(home))
    yield importlib.import_module(NAME)
    sys.path.remove(str(home))


@pytest.fixture
def signed_in(client_package, live_server, transactional_db, today_is):
    cast = assemble()
    _, secret = make_token(cast.person["engineer"], name="generated client", at=NOW)
    with client_package.AuthenticatedClient(base_url=live_server.url, token=secret) as client:
        yield client


def test_it_files_a_return_and_reads_the_due_list(signed_in):
    models = importlib.import_module(f"{NAME}.models")
    create = importlib.import_module(f"{NAME}.api.returns.returns_create")
    read = importlib.import_module(f"{NAME}.api.due.due_list")
    body = models.ReturnBody(
        boat="sandpiper",
        charter="S2",
        day=TODAY,
        readings=[models.DialBody(meter="main", dial=1230.5)],
        defects=["Anchor light does not burn"],
        client_id="made-by-the-client-1",
    )
    filed = create.sync(client=signed_in, body=body)
    again = create.sync(client=signed_in, body=body)
    assert filed.id == again.id
    assert Return.objects.get().pk == filed.id
    due = read.sync(client=signed_in, boat="sandpiper", page_size=100)
    oil = next(line for line in due.results if line.component == "sandpiper-engine-oil")
    assert (oil.hours_now, oil.recorded) == (1230.5, True)
    assert isinstance(oil.due_on, date)
    assert due_list_holds()


def test_what_is_refused_comes_back_as_a_problem_that_names_the_field(signed_in):
    models = importlib.import_module(f"{NAME}.models")
    create = importlib.import_module(f"{NAME}.api.returns.returns_create")
    said = create.sync(client=signed_in, body=models.ReturnBody(boat="far-cry", day=TODAY))
    assert isinstance(said, models.Problem)
    assert [wrong.field for wrong in said.errors] == ["boat"]
