"""python -m tests.bench.measured ACT [FOLDER]: does one act on the environment's database and times it."""

import json
import os
import resource
import sys
from pathlib import Path
from time import perf_counter

import django
from django.core.management import call_command


def act(what: str, *args: str) -> None:
    from maintenance.exchange.folder import load_folder
    from maintenance.servicing.actions import reforecast
    from tests.bench.big_base import NOW, TODAY

    if what == "migrate":
        call_command("migrate", verbosity=0)
    elif what == "load":
        load_folder(Path(args[0]), at=NOW)
    else:
        reforecast(on=TODAY)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    django.setup()
    started = perf_counter()
    act(*sys.argv[1:])
    seconds = perf_counter() - started
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # Linux gives kB
    print(json.dumps({"seconds": seconds, "peak_mb": peak_mb}))
