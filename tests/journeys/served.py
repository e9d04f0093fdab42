"""The demo base in a file, served by a process of its own that can be killed, changed and started again."""

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from urllib.request import urlopen

from tests.journeys.relay import Relay

HERE = Path(__file__).resolve().parent.parent.parent
DAMAGE = ((800, "port bow", "Scratch, a hand long"), (801, "starboard quarter", "Chip, filled"))
MOST_WAIT = 60  # seconds for a process to answer
KEPT_OUT = shutil.ignore_patterns("__pycache__", ".git", ".venv", ".demo", "node_modules")


class Served:
    """A release of its own folder, its file, its process, and the wire a browser reaches it by."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.release = folder / "release"
        for part in ("fleet", "maintenance", "fixtures"):
            shutil.copytree(HERE / part, self.release / part, ignore=KEPT_OUT)
        self.file = folder / "base.sqlite3"
        self.log = folder / "access.log"
        self.port = 0
        self.process: subprocess.Popen[bytes] | None = None
        self.wire = Relay(lambda: self.port)

    def run(self, *args: str) -> None:
        """A Python of the release, at this base."""
        subprocess.run([sys.executable, *args], cwd=self.release, env=self._env(), check=True)

    def start(self) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        said = ["--access-logfile", str(self.log), "--access-logformat", "%(m)s %(U)s %(s)s %(B)s"]
        command = ["-m", "gunicorn", "fleet.wsgi", "-b", f"127.0.0.1:{self.port}", "--threads", "8", *said]
        with (self.folder / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, *command, "--no-control-socket"],
                cwd=self.release,
                env=self._env(),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        ends = time.monotonic() + MOST_WAIT
        while not self._answers():
            assert time.monotonic() < ends, (self.folder / "server.log").read_text()[-2000:]
            time.sleep(0.1)

    def stop(self) -> None:
        """Kills the process, as a power cut would, and every wire to it."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None
        self.wire.cut()

    def asked(self) -> list[list[str]]:
        """What the server says it answered: method, path, status, bytes of the body."""
        return [line.split() for line in self.log.read_text().splitlines()] if self.log.exists() else []

    def change(self, statement: str, *values: str) -> None:
        """Changes a row behind the server's back, as somebody at the base's desk would."""
        with sqlite3.connect(self.file, timeout=20) as book:
            book.execute(statement, values)
        book.close()

    def _answers(self) -> bool:
        """A page of ours, so that nothing is read in for the first time while a test looks on."""
        try:
            with urlopen(f"http://127.0.0.1:{self.port}/s/no-signal/", timeout=MOST_WAIT) as page:
                return page.status == 200
        except OSError:
            return False

    def _env(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith("FETTLE_")}
        own = {
            "DJANGO_SETTINGS_MODULE": "fleet.settings",
            "FETTLE_DATABASE_URL": f"sqlite:///{self.file}",
            "FETTLE_PAPERS": str(self.folder / "papers"),
            "FETTLE_SECRET_KEY": "served to a test only, and to nobody else in the world",
            "PYTHONPATH": os.pathsep.join([str(self.release), str(HERE)]),
        }
        return kept | own


def build_base() -> None:
    """The demo base around now; its skipper was told of two damages, each with a photo."""
    import django

    django.setup()
    from django.core.management import call_command

    from fleet.boats.facts import base_of
    from fleet.charters.models import Link
    from fleet.ledger import enter
    from fleet.papers.actions import keep_paper
    from maintenance.defects.actions import grade_defect, report_defect
    from maintenance.exchange.demo.building import build
    from maintenance.turnaround.handing_over import readiness_of
    from maintenance.turnaround.models import Handover
    from tests.papers import encoded, painted

    now = datetime.now(UTC)
    call_command("migrate", verbosity=0)
    build(now)
    charter = Link.objects.latest("pk").charter
    boat, base = charter.boat, base_of(charter.boat, now.date())
    for n, (hull, words) in enumerate(
        (("port bow", "Scratch, a hand long"), ("starboard quarter", "Chip, filled"))
    ):
        paper = keep_paper(encoded(painted(800 + n, 600)), base=base, at=now)
        row = report_defect(boat, words=words, at=now, hull=hull, papers=[paper])
        grade_defect(row, grade="cosmetic", who="A. Fitter", at=now)
    told = readiness_of(boat, charter, base=base, at=now).told
    enter(Handover(charter=charter, boat=boat, by="A. Fitter", told=told, why="For a test"), at=now)


if __name__ == "__main__":
    build_base()
