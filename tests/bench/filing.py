"""python -m tests.bench.filing WORKER HOW_MANY: one process that files returns over the API, one by one."""

import json
import os
import sys
from time import perf_counter

import django
import time_machine
from django.test import Client

LOGIN = "engineer-of-returns"


def act(worker: int, how_many: int) -> dict[str, object]:
    """Files returns of twenty boats by turns; what each was answered, and the longest wait in s."""
    from fleet.people.models import Person
    from tests.bench.big_base import BOATS_A_BASE, NOW, TODAY, boat_code
    from tests.bench.big_parts import METERS

    answers: dict[int, int] = {}
    longest, last = 0.0, ""
    with time_machine.travel(NOW):
        client = Client(SERVER_NAME="localhost")
        client.force_login(Person.objects.get(login=LOGIN))
        for number in range(how_many):
            body = {
                "boat": boat_code((worker + number) % BOATS_A_BASE),
                "day": TODAY.isoformat(),
                "readings": [{"meter": METERS[0], "dial": 99_000 + number}],  # kept in doubt: moves nothing
                "defects": [f"Report {number} of process {worker}"],
                "answers": {"water_in_bilge": False},
                "client_id": f"{worker}-{number}",
            }
            started = perf_counter()
            answer = client.post("/api/returns/", body, content_type="application/json")
            longest = max(longest, perf_counter() - started)
            answers[answer.status_code] = answers.get(answer.status_code, 0) + 1
            last = answer.content.decode()[:400]
    return {"answers": answers, "longest": longest, "last": last}


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    print(json.dumps(act(int(sys.argv[1]), int(sys.argv[2]))))
