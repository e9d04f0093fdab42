"""`manage.py reforecast`: derives every line afresh, and with --check shows which differ."""

from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from fleet.charters.models import Charter
from fleet.meters.models import UseRate
from maintenance.servicing.models import Due
from tests.doors.folders import HARBOUR, everything

TAMPERED = [
    ({"due_on": date(2030, 1, 1)}, "due_on 2030-01-01, afresh"),
    ({"governs": "season"}, "governs season, afresh"),
    ({"limit_on": None}, "limit_on None, afresh"),
    ({"due_hours": Decimal("1.5")}, "due_hours 1.50, afresh 549.50"),
    ({"hours_now": None}, "hours_now None, afresh 550.00"),
    ({"limit_hours": Decimal(0)}, "limit_hours 0.00, afresh"),
    ({"recorded": False}, "recorded False, afresh True"),
    ({"missing": "expiry"}, "missing expiry, afresh"),
    ({"counted_from": date(2025, 1, 1)}, "counted_from 2025-01-01, afresh 2025-10-01"),
    ({"sort_on": date(2025, 1, 1)}, "sort_on 2025-01-01, afresh"),
]


@pytest.fixture
def reforecast(now):
    """Runs the command at the tests' hour; gives its lines and what it died of."""

    def run(*args):
        out, died = StringIO(), None
        with time_machine.travel(now, tick=False):
            try:
                call_command("reforecast", *args, stdout=out)
            except CommandError as error:
                died = error
        return out.getvalue().splitlines(), died

    return run


@pytest.fixture
def line(load):
    """One stored line among seven."""
    load(HARBOUR)
    return Due.objects.filter(component__code="imp-1", interval__code="impeller-replace")


def test_after_a_load_no_line_differs(line, reforecast):
    assert reforecast("--check") == (["No line differs."], None)


@pytest.mark.parametrize(("change", "said"), TAMPERED, ids=lambda value: next(iter(value)) if value else None)
def test_a_line_that_was_tampered_with_is_printed_and_the_exit_is_an_error(line, reforecast, change, said):
    line.update(**change)
    (printed,), died = reforecast("--check")
    assert printed.startswith(f"dunlin imp-1 impeller-replace: {said}")
    assert str(died) == "1 line differs from a fresh derivation; reforecast puts that right"
    assert died.returncode == 1


def test_check_changes_no_line(line, reforecast):
    line.update(due_on=date(2030, 1, 1))
    before = everything()
    reforecast("--check")
    assert everything() == before


def test_a_line_that_is_gone_and_one_too_many_are_both_printed(line, reforecast):
    raft = Due.objects.get(component__code="raft-1")
    line.delete()
    Due.objects.create(
        **_content(raft) | {"component": Due.objects.first().component, "interval": raft.interval}
    )
    lines, died = reforecast("--check")
    assert sorted(lines) == [
        "007 imp-1 raft-service: no longer due",
        "dunlin imp-1 impeller-replace: not stored",
    ]
    assert str(died).startswith("2 lines differ")


def _content(row):
    skip = ("id", "component", "interval")
    return {f.name: getattr(row, f.name) for f in row._meta.concrete_fields if f.name not in skip}


def test_reforecast_puts_every_line_right(line, reforecast):
    stored = Due.objects.order_by("component", "interval").values_list("component", "interval", "due_on")
    before = list(stored)
    Due.objects.update(due_on=date(2030, 1, 1), missing="reading")
    Due.objects.filter(component__code="imp-2").delete()
    assert reforecast() == (["7 lines."], None)
    assert list(stored) == before
    assert reforecast("--check") == (["No line differs."], None)


def test_a_change_behind_the_list_s_back_is_seen(line, reforecast):
    Charter.objects.filter(code="0104").update(cancelled_at="2026-05-01T00:00Z")
    lines, died = reforecast("--check")
    assert lines
    assert died is not None
    reforecast()
    assert reforecast("--check") == (["No line differs."], None)


def test_check_uses_the_rate_as_stored_and_reforecast_fits_it_again(line, reforecast):
    rate = UseRate.objects.get(base__code="quay")
    fitted = rate.hours_run
    UseRate.objects.update(hours_run=fitted + 100)
    lines, _ = reforecast("--check")
    assert lines
    reforecast()
    assert UseRate.objects.get(base__code="quay").hours_run == fitted


def test_an_empty_book_has_no_lines(db, reforecast):
    assert reforecast() == (["0 lines."], None)
    assert reforecast("--check") == (["No line differs."], None)
