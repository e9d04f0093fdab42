"""What others wrote and the pages serve is the published file, to the byte, with its licence beside it."""

import json
from hashlib import sha256
from pathlib import Path

import pytest
from django.conf import settings

VENDOR: Path = settings.HOME / "maintenance/static/vendor"
FOLDERS = sorted(path for path in VENDOR.iterdir() if path.is_dir())


def test_only_folders_of_one_package_each_stand_there():
    assert FOLDERS
    assert sorted(VENDOR.iterdir()) == FOLDERS


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda p: p.name)
def test_each_file_is_the_one_that_was_published(folder):
    told = json.loads((folder / "vendor.json").read_text(encoding="utf-8"))
    assert set(told) == {"name", "version", "npm", "sha256", "licence"}
    assert folder.name == f"{told['name']}-{told['version']}"
    script = Path(told["npm"]).name
    assert {path.name for path in folder.iterdir()} == {script, "vendor.json", "LICENSE"}
    assert sha256((folder / script).read_bytes()).hexdigest() == told["sha256"]
    assert told["licence"] in (folder / "LICENSE").read_text(encoding="utf-8")
