"""What must hold of any fleet: order in a file, loading twice and deriving again change nothing."""

import csv
from datetime import UTC, datetime
from io import StringIO
from random import Random

import pytest
import time_machine
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import transaction

from maintenance.exchange.due_list import as_record
from maintenance.servicing.listing import due_lines
from maintenance.servicing.models import Due
from tests.reference.random_fleet import LAST_FACT, write_random_fleet

SEEDS = [100, 101, 102, *(pytest.param(n, marks=pytest.mark.long) for n in (103, 104, 105))]
NOW = datetime(LAST_FACT.year, LAST_FACT.month, LAST_FACT.day, 18, tzinfo=UTC)


def records(on):
    return [as_record(line) for line in due_lines(on=on, today=LAST_FACT, days=None)]


def everything():
    """Every row of every table, by table."""
    models = apps.get_models(include_auto_created=True)
    return {model._meta.label: list(model._default_manager.order_by("pk").values()) for model in models}


def shuffled(source, target, random):
    """The same files with their rows and their columns in another order."""
    target.mkdir()
    for path in source.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as lines:
            header, *rows = csv.reader(lines)
        order = random.sample(range(len(header)), len(header))
        random.shuffle(rows)
        with (target / path.name).open("w", encoding="utf-8", newline="") as out:
            csv.writer(out).writerows([row[n] for n in order] for row in [header, *rows])
    return target


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_rows_and_columns_in_a_file_changes_nothing(load, tmp_path, seed):
    on = write_random_fleet(tmp_path / "one", seed)
    other = shuffled(tmp_path / "one", tmp_path / "other", Random(seed))
    found = []
    for folder in (tmp_path / "one", other):
        with transaction.atomic():
            load(folder, at=NOW)
            found.append((records(on), records(LAST_FACT)))
            transaction.set_rollback(True)
    assert not Due.objects.exists(), "the second book began empty"
    assert found[0][0]
    assert found[0] == found[1]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_folder_loaded_twice_changes_nothing(load, tmp_path, seed):
    write_random_fleet(tmp_path, seed)
    first = load(tmp_path, at=NOW)
    kept = everything()
    again = load(tmp_path, at=NOW)
    assert all(not tally.new and not tally.changed for tally in again.tallies.values())
    rows = {file: tally.new + tally.same for file, tally in first.tallies.items()}
    assert {file: tally.same for file, tally in again.tallies.items()} == rows
    assert kept["maintenance.Due"]
    assert kept["fleet.Reading"]
    assert everything() == kept


@pytest.mark.parametrize("seed", SEEDS)
def test_with_update_a_folder_that_says_the_same_changes_nothing_either(load, tmp_path, seed):
    write_random_fleet(tmp_path, seed)
    load(tmp_path, at=NOW)
    kept = everything()
    load(tmp_path, at=NOW, update=True)
    assert everything() == kept


@pytest.mark.parametrize("seed", SEEDS)
def test_after_a_load_no_stored_line_differs_from_a_fresh_one(load, tmp_path, seed):
    write_random_fleet(tmp_path, seed)
    with time_machine.travel(NOW, tick=False):
        load(tmp_path, at=NOW)
        stored = list(Due.objects.order_by("component", "interval").values_list("component", "due_on"))
        assert checked() == "No line differs.\n"
        call_command("reforecast", stdout=StringIO())
        assert checked() == "No line differs.\n"
        again = list(Due.objects.order_by("component", "interval").values_list("component", "due_on"))
    assert stored
    assert stored == again


def checked():
    out = StringIO()
    call_command("reforecast", "--check", stdout=out)
    return out.getvalue()


def test_a_line_that_was_tampered_with_is_found_and_put_right(load, tmp_path):
    """Without this the check above could pass by looking at nothing."""
    write_random_fleet(tmp_path, SEEDS[0])
    with time_machine.travel(NOW, tick=False):
        load(tmp_path, at=NOW)
        wrong, gone = Due.objects.order_by("pk")[:2]
        Due.objects.filter(pk=wrong.pk).update(recorded=not wrong.recorded)
        gone.delete()
        with pytest.raises(CommandError, match="2 lines differ"):
            checked()
        call_command("reforecast", stdout=StringIO())
        assert checked() == "No line differs.\n"
