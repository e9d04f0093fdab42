"""Eight processes file returns over the API into one SQLite file at once: none is lost, none refused."""

import json
import os
import subprocess
import sys
from datetime import date
from time import perf_counter

import pytest

from fleet.bases.models import Base
from fleet.people.models import Membership, Person
from fleet.people.roles import ENGINEER
from maintenance.defects.models import Defect
from maintenance.servicing.actions import differences
from maintenance.turnaround.models import Return
from tests.bench.big_base import BOATS, BOATS_A_BASE, TODAY
from tests.bench.books import HOME
from tests.bench.filing import LOGIN
from tests.bench.side_by_side import tell

PROCESSES = 8
EACH = 200 if BOATS >= 1_000 else 40


def _engineer() -> None:
    person = Person(login=LOGIN, name="Engineer")
    person.save()
    base = Base.objects.order_by("code").first()
    Membership.objects.create(person=person, base=base, role=ENGINEER, from_on=date(2020, 1, 1))


@pytest.mark.long
def test_every_return_of_eight_processes_is_kept_once(shelf, benchmark):
    path = shelf.copy(BOATS_A_BASE, "filing")
    with shelf.open(path):
        _engineer()

    def file_all() -> list[dict]:
        command = [sys.executable, "-W", "error", "-m", "tests.bench.filing"]
        env = os.environ | {"FETTLE_DATABASE_URL": f"sqlite:///{path}"}
        running = [
            subprocess.Popen([*command, str(n), str(EACH)], cwd=HOME, env=env, stdout=subprocess.PIPE)
            for n in range(PROCESSES)
        ]
        return [json.loads(process.communicate()[0]) for process in running]

    started = perf_counter()
    told = benchmark.pedantic(file_all, rounds=1)
    took = perf_counter() - started
    assert [t["answers"] for t in told] == [{"201": EACH}] * PROCESSES, told[0]["last"]
    with shelf.open(path):
        filed = set(Return.objects.standing().values_list("client_id", flat=True))
        assert filed == {f"{n}-{k}" for n in range(PROCESSES) for k in range(EACH)}
        assert Defect.objects.standing().filter(words__startswith="Report ").count() == PROCESSES * EACH
        assert list(differences(on=TODAY)) == []
    tell(
        benchmark,
        returns=PROCESSES * EACH,
        a_second=len(filed) / took,
        longest=max(t["longest"] for t in told),
    )
