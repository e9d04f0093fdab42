"""1 000 reports from 50 phones, each sent 1 to 4 times over cut lines: each once, every photo whole."""

import faulthandler
import os
import socket
import subprocess
import sys
import time
from collections import Counter
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import SystemRandom

import pytest

from fleet.charters.links import make_link
from fleet.papers.content import clean
from fleet.papers.store import read
from maintenance.defects.models import Defect, DefectPaper
from maintenance.servicing.actions import reforecast
from maintenance.turnaround.models import LinkDefect, LinkDefectMove, LinkDefectPhoto
from tests import factories as make
from tests.bench.big_base import BOATS
from tests.bench.books import HOME, in_a_process
from tests.bench.phones import Phone, send_all
from tests.bench.side_by_side import tell

PHONES = 50 if BOATS >= 1_000 else 10
EACH = 20
WORKERS = 3


def written(seed: int) -> list[Phone]:
    """A base with a boat and a charter for each phone, and what was tapped on it."""
    now = datetime.now(UTC)
    base = make.BaseFactory(code="quay")
    spare = make.SpareFactory(code="impeller")
    phones = [_phone(n, seed, base, spare, now) for n in range(PHONES)]
    reforecast(on=now.date())
    for phone in phones:
        phone.write(EACH)
    return phones


def _phone(number: int, seed: int, base, spare, now: datetime) -> Phone:
    boat = make.BoatFactory(code=f"boat-{number}")
    make.TermsFactory(boat=boat, base=base)
    locker = make.PlaceFactory(boat=boat, code="locker", name="Locker")
    make.AllowanceFactory(spare=spare, place=locker)
    days = {"starts_on": now.date() - timedelta(days=3), "ends_on": now.date() + timedelta(days=4)}
    charter = make.CharterFactory(code=f"C{number}", boat=boat, **days)
    _, secret = make_link(charter, at=now - timedelta(days=4))
    return Phone(number, secret, boat.pk, f"kit-{spare.pk}-{locker.pk}", seed)


@contextmanager
def served(database: Path, papers: Path, log: Path):
    """The program as a base runs it, in processes of its own; gives the port."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [
        "-m",
        "gunicorn",
        "fleet.wsgi",
        "-w",
        str(WORKERS),
        "--timeout",
        "60",
        "-b",
        f"127.0.0.1:{port}",
    ]
    own = {"FETTLE_DATABASE_URL": f"sqlite:///{database}", "FETTLE_PAPERS": str(papers)}
    with log.open("wb") as said:
        server = subprocess.Popen(
            [sys.executable, *command, "--no-control-socket"],
            cwd=HOME,
            env=os.environ | own,
            stdout=said,
            stderr=said,
        )
    try:
        _wait_for(port, log)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=60)


def _wait_for(port: int, log: Path) -> None:
    for _ in range(300):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise AssertionError(log.read_text()[-2000:])


def what_reforecast_finds(database: Path) -> str:
    env = os.environ | {"FETTLE_DATABASE_URL": f"sqlite:///{database}"}
    command = [sys.executable, "manage.py", "reforecast", "--check"]
    return subprocess.run(command, cwd=HOME, env=env, check=True, capture_output=True, text=True).stdout


def every_report_is_there_once(phones: list[Phone]) -> None:
    sent = {report["id"]: report["words"] for phone in phones for report in phone.reports}
    kept = list(Defect.objects.standing().values_list("client_id", "words"))
    assert len(kept) == len(sent) == PHONES * EACH
    assert dict(kept) == sent
    assert LinkDefect.objects.count() == len(sent)
    used = sum(bool(report["used"]) for phone in phones for report in phone.reports)
    assert LinkDefectMove.objects.count() == used


def every_photo_is_whole(phones: list[Phone], papers: Path) -> None:
    rows = {row.photo_id: row for row in LinkDefectPhoto.objects.select_related("paper", "came__defect")}
    sent = {name: data for phone in phones for name, data in phone.photos.items()}
    assert set(rows) == set(sent)
    of = {photo["id"]: r["id"] for phone in phones for r in phone.reports for photo in r["photos"]}
    for name, data in sent.items():
        row = rows[name]
        assert row.paper is not None, row.refused
        assert read(row.paper.sha256) == bytes(clean(data)), name
        assert row.came.defect.client_id == of[name]
        assert DefectPaper.objects.filter(defect=row.came.defect, paper=row.paper).exists()
    assert DefectPaper.objects.count() == len(sent)
    assert list((papers / "arriving").iterdir()) == []


@pytest.mark.long
def test_a_thousand_reports_over_lines_cut_at_random_are_a_thousand_and_every_photo_is_whole(
    shelf, benchmark, papers_here, tmp_path
):
    faulthandler.cancel_dump_traceback_later()  # each line gives up by itself
    database, log = shelf.home / "phones.sqlite3", tmp_path / "server.log"
    seed = int(os.environ.get("FETTLE_BENCH_SEED") or SystemRandom().randrange(10**6))
    print(f"\nseed: FETTLE_BENCH_SEED={seed}")
    in_a_process("migrate", database)
    with shelf.open(database):
        phones = written(seed)
    with served(database, papers_here, log) as port:
        lines, took = benchmark.pedantic(send_all, args=(phones, port), rounds=1)
    with shelf.open(database):
        every_report_is_there_once(phones)
        every_photo_is_whole(phones, papers_here)
    assert what_reforecast_finds(database) == "No line differs.\n"
    assert "Traceback" not in log.read_text()
    cuts = sum((line.cuts for line in lines), Counter())
    answers = sum((line.answers for line in lines), Counter())
    tell(
        benchmark,
        reports=PHONES * EACH,
        sent=sum(phone.goes for phone in phones),
        photos=sum(len(phone.photos) for phone in phones),
        seconds=took,
        tries=cuts.total() + answers.total(),
        **{f"cut {where}": many for where, many in cuts.items()},
        **{f"answered {what}": many for what, many in sorted(answers.items())},
    )
