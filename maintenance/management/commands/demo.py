"""manage.py demo: an invented base in a file of its own, its list of the week, and its pages."""

import errno
import re
import socket
from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.urls import reverse
from django.utils import timezone

from fleet.bases.models import Base
from maintenance.exchange.demo.building import build
from maintenance.exchange.demo.people import SIGN_INS
from maintenance.exchange.demo.way_in import SECRET
from maintenance.exchange.due_list import as_table
from maintenance.servicing.listing import due_lines

EVERYWHERE = ("0.0.0.0", "[::]")
MOST_PORT = 65_535


class Address(NamedTuple):
    """Where the pages are served; an IPv6 host in brackets."""

    host: str
    port: int

    def __str__(self) -> str:
        return f"{self.host}:{self.port}"


class Command(BaseCommand):
    help = "Makes an invented base around today, prints its list of the week, and serves its pages."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--at", default="127.0.0.1:8000", metavar="HOST:PORT", help="where to serve")
        parser.add_argument("--no-serve", action="store_true", help="stop after the list")

    def handle(self, *args: Any, at: str, no_serve: bool, **options: Any) -> None:
        address = _address(at)
        if not no_serve:
            _refuse_taken(address)
        _use_own_file(settings.HOME / ".demo" / "fettle.sqlite3")
        call_command("migrate", verbosity=0, interactive=False)
        base, day = build(timezone.now())
        self._say(base, day, address)
        if not no_serve:
            _let_in(address.host)
            call_command("runserver", str(address), use_reloader=False)

    def _say(self, base: Base, day: date, address: Address) -> None:
        lines = due_lines(on=day, today=day, base=base.code)
        self.stdout.write(f"{base.name}, an invented base\n\n{as_table(lines, day)}")
        self.stdout.write(f"\nAddress: http://{_to_type(address)}/\nSign in as:")
        for way_in in SIGN_INS:
            self.stdout.write(f"  {way_in.role:9} {way_in.login:6} {way_in.password:22} ({way_in.name})")
        link = f"http://{_to_type(address)}{reverse('skipper', args=[SECRET])}"
        self.stdout.write(f"  skipper   {link} (no account; an invented way in, Bowline's charter)")
        self.stdout.flush()


def _address(at: str) -> Address:
    match = re.fullmatch(r"([\w.-]+|\[[0-9a-fA-F:.]+\]):(\d{1,5})", at)
    if match is None or not 1 <= int(match[2]) <= MOST_PORT:
        raise CommandError(f"--at: found {at}; wanted a host and a port such as 127.0.0.1:8000")
    return Address(match[1], int(match[2]))


def _refuse_taken(address: Address) -> None:
    """CommandError where nothing can be served there, before anything is made."""
    try:
        _bind(address)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            raise CommandError(f"port {address.port} is taken; another one: {_way_out(address)}") from error
        if error.errno == errno.EACCES:
            raise CommandError(
                f"port {address.port} is not yours to use; try --at {address.host}:8000"
            ) from error
        why = error.strerror or str(error)
        raise CommandError(f"--at: cannot serve at {address} ({why}); try --at 127.0.0.1:8000") from error


def _bind(address: Address) -> None:
    """Takes a port and lets it go, as the server will; OSError where it cannot be had."""
    family, kind, _, _, where = socket.getaddrinfo(
        address.host.strip("[]"), address.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
    )[0]
    with socket.socket(family, kind) as server:
        server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        server.bind(where)
        server.listen(1)


def _way_out(address: Address) -> str:
    for port in range(address.port + 1, min(address.port + 50, MOST_PORT + 1)):
        try:
            _bind(address._replace(port=port))
        except OSError:
            continue
        return f"manage.py demo --at {address._replace(port=port)}"
    return f"manage.py demo --at {address.host}:PORT with a free one"


def _use_own_file(path: Path) -> None:
    """Points this process at the demo's own new file and papers, whatever is configured."""
    path.parent.mkdir(exist_ok=True)
    settings.PAPERS = path.parent / "papers"
    for end in ("", "-wal", "-shm"):
        path.with_name(path.name + end).unlink(missing_ok=True)
    connections["default"].close()
    connections.settings["default"] |= {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(path),
        "OPTIONS": settings.SQLITE_OPTIONS,
    }
    del connections["default"]


def _let_in(host: str) -> None:
    """Lets the host answer to the name it is served under; anywhere, to any."""
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "*" if host in EVERYWHERE else host]


def _to_type(address: Address) -> Address:
    """What to type into a browser on this machine."""
    return address._replace(host="127.0.0.1") if address.host in EVERYWHERE else address
