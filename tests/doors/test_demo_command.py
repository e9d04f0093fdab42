"""manage.py demo: its own database only, a taken port named, and pages for each role."""

import os
import re
import socket
import subprocess
import sys
import urllib.request
from datetime import UTC, datetime, timedelta
from http.cookiejar import CookieJar
from pathlib import Path
from time import sleep
from urllib.error import URLError
from urllib.parse import urlencode

import pytest
from django.core.management import CommandError, call_command

from maintenance.exchange.demo.people import SIGN_INS

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def home(tmp_path):
    """A home of its own for the command, with settings that say so."""
    (tmp_path / "demo_settings.py").write_text(
        f"from pathlib import Path\nfrom fleet.settings import *\nHOME = Path({str(tmp_path)!r})\n",
        encoding="utf-8",
    )
    return tmp_path


def demo(home: Path, *options: str) -> list[str]:
    return [
        sys.executable,
        "manage.py",
        "demo",
        *options,
        "--settings",
        "demo_settings",
        "--pythonpath",
        str(home),
    ]


def with_database(path: Path) -> dict[str, str]:
    return {**os.environ, "FETTLE_DATABASE_URL": f"sqlite:///{path}", "PYTHONWARNINGS": "default"}


def run(home: Path, database: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        demo(home, *options),
        cwd=ROOT,
        env=with_database(database),
        capture_output=True,
        text=True,
        timeout=300,
    )


def all_is_printed(told: str, port: int) -> None:
    """The week's list, the address, and a sign-in for each role."""
    assert re.search(r"^On \w+day \d+ \w+ \d{4}: [234]\d lines$", told, re.MULTILINE)
    assert "an invented base" in told
    assert f"http://127.0.0.1:{port}/" in told
    for way_in in SIGN_INS:
        assert re.search(rf"^\s*{way_in.role}\s+{way_in.login}\s+{way_in.password}\s", told, re.MULTILINE)


@pytest.fixture
def taken():
    """A port that somebody listens on."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen(1)
        yield other.getsockname()[1]


def test_a_taken_port_is_named_with_the_way_out_before_anything_is_made(home, taken):
    told = run(home, home / "configured.sqlite3", "--at", f"127.0.0.1:{taken}")
    assert told.returncode == 1
    assert f"port {taken} is taken" in told.stderr
    way_out = re.search(r"--at 127\.0\.0\.1:(\d+)", told.stderr)
    assert int(way_out[1]) > taken
    assert not (home / ".demo").exists()


@pytest.mark.parametrize(
    "at", ["8000", "127.0.0.1", "127.0.0.1:0", "127.0.0.1:65536", "a b:80", "http://here:80"]
)
def test_an_address_that_is_none_is_refused(at):
    with pytest.raises(CommandError, match=re.escape(f"--at: found {at}; wanted a host and a port such as")):
        call_command("demo", "--no-serve", "--at", at)


def test_it_is_made_afresh_serves_lets_each_role_in_and_leaves_the_bases_own_records_alone(home):
    own, configured = home / ".demo" / "fettle.sqlite3", home / "configured.sqlite3"
    own.parent.mkdir()
    for end in ("", "-wal", "-shm"):
        own.with_name(own.name + end).write_bytes(b"left from before")
    configured.write_bytes(b"the base's own records")
    before = configured.stat()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = demo(home, "--at", f"127.0.0.1:{port}")
    out = (home / "out.txt").open("w", encoding="utf-8")
    with (
        out,
        subprocess.Popen(command, cwd=ROOT, env=with_database(configured), stdout=out) as served,
    ):
        try:
            pages = [signed_in(f"http://127.0.0.1:{port}", way_in) for way_in in SIGN_INS]
        finally:
            served.terminate()
            served.wait(timeout=10)
    assert all("Porto Alvorim" in page for page in pages)
    assert own.stat().st_size > 100_000
    all_is_printed((home / "out.txt").read_text(encoding="utf-8"), port)
    assert configured.read_bytes() == b"the base's own records"
    assert configured.stat().st_mtime_ns == before.st_mtime_ns
    assert [path.name for path in home.glob("configured*")] == ["configured.sqlite3"]


def signed_in(address: str, way_in) -> str:
    """The first page a person sees, through the sign-in page like anybody."""
    jar = CookieJar()
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))
    form = when_served(browser, f"{address}/sign-in/")
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', form)[1]
    said = {"csrfmiddlewaretoken": token, "username": way_in.login, "password": way_in.password}
    with browser.open(f"{address}/sign-in/", urlencode(said).encode(), timeout=20) as page:
        assert "sign-in" not in page.url
        return page.read().decode()


def when_served(browser: urllib.request.OpenerDirector, address: str) -> str:
    """A page, as soon as the server is there; URLError where it never comes."""
    until = datetime.now(UTC) + timedelta(minutes=3)
    while True:
        try:
            with browser.open(address, timeout=20) as page:
                return page.read().decode()
        except URLError:
            if datetime.now(UTC) > until:
                raise
            sleep(0.5)  # whoever asks at every moment takes from the demo the time it is made in
