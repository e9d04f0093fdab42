"""The demo base: the same for a day every time, never an empty week, and wrong where life is."""

import os
import subprocess
import sys
from collections import Counter
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.db.models import Sum
from django.test import override_settings

from fleet.boats.models import Boat, Component, Fitting
from fleet.meters.models import Reading
from fleet.people.models import Person
from maintenance.defects.models import Defect
from maintenance.exchange.demo.building import build
from maintenance.exchange.demo.files import rows_of, standing
from maintenance.exchange.demo.people import SIGN_INS
from maintenance.jobs.away import away_now
from maintenance.planning.dated import audit_of
from maintenance.servicing.actions import differences
from maintenance.servicing.listing import Line, due_lines
from maintenance.spares.models import StockMove
from tests.once_more import once_more

ROOT = Path(__file__).resolve().parent.parent.parent
pytestmark = pytest.mark.django_db  # each test in a savepoint of its own
DAY = timedelta(days=1)
# Each day of the week, the ends of months and years, a leap day and the days around it.
DAYS = [
    date(2026, 3, 28),
    date(2026, 7, 13),
    date(2026, 8, 4),
    date(2026, 11, 25),
    date(2026, 12, 31),
    date(2027, 2, 28),
    date(2027, 6, 4),
    date(2027, 10, 30),
    date(2028, 2, 28),
    date(2028, 2, 29),
    date(2028, 3, 1),
    date(2030, 3, 31),
]
# Noon of a Wednesday, a leap day and New Year's Eve; and the last, in UTC still the 3rd of July,
# is the 4th at the harbour, a Saturday.
MOMENTS = {
    datetime(2026, 5, 27, 12, tzinfo=UTC): date(2026, 5, 27),
    datetime(2028, 2, 29, 12, tzinfo=UTC): date(2028, 2, 29),
    datetime(2026, 12, 31, 12, tzinfo=UTC): date(2026, 12, 31),
    datetime(2026, 7, 3, 23, 30, tzinfo=UTC): date(2026, 7, 4),
}


@pytest.fixture(scope="module")
def all_rows():
    return {day: rows_of(day) for day in DAYS}


@pytest.fixture(params=DAYS, ids=str)
def dated(request, all_rows):
    """A day and the charters written around it that are not called off."""
    charters = all_rows[request.param]["charters.csv"]
    return request.param, [charter for charter in charters if not charter["cancelled"]]


def built_at(moment: datetime, *marks: pytest.MarkDecorator) -> Any:
    """A moment for `built`, whose tests one process runs, for its base is made once there."""
    name = f"{moment:%Y-%m-%d %H%M}"
    return pytest.param(moment, id=name, marks=[pytest.mark.xdist_group(f"demo of {name}"), *marks])


WEDNESDAY, LEAP_DAY, NEW_YEARS_EVE, LATE = MOMENTS
BUILT = [built_at(day, pytest.mark.long) for day in (WEDNESDAY, LEAP_DAY, NEW_YEARS_EVE)]


@pytest.fixture(scope="module", params=[*BUILT, built_at(LATE)])
def built(request, django_db_setup, django_db_blocker, tmp_path_factory):
    """The base built at a moment, its day, and the day it should be; nothing asked of it changes it."""
    hashers = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # as every test's are
    here = override_settings(PAPERS=tmp_path_factory.mktemp("papers"), PASSWORD_HASHERS=hashers)
    with django_db_blocker.unblock(), here, transaction.atomic():
        yield (*once_more(("demo", request.param), lambda: build(request.param)), MOMENTS[request.param])
        transaction.set_rollback(True)


def week(day: date) -> list[Line]:
    return due_lines(on=day, today=day, base="alvorim")


def test_two_bases_written_on_one_day_are_equal(all_rows):
    assert rows_of(DAYS[3]) == all_rows[DAYS[3]]


def test_what_is_written_does_not_hang_on_the_process(all_rows):
    """Hashes of texts differ from one process to the next; the base may not."""
    asks = "from datetime import date; from maintenance.exchange.demo.files import rows_of; "
    asks += f"print(rows_of(date.fromisoformat('{DAYS[0]}')))"
    told = subprocess.run(
        [sys.executable, "-c", f"import django; django.setup(); {asks}"],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": "7", "DJANGO_SETTINGS_MODULE": "fleet.settings"},
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout.strip() == str(all_rows[DAYS[0]])


def test_the_fleet_is_twelve_boats_of_three_designs_two_with_two_engines():
    boats = standing("boats.csv")
    engines = Counter(row["boat"] for row in standing("meters.csv") if row["meter"] != "generator")
    twin = {boat for boat, many in engines.items() if many == 2}
    assert len(boats) == len(engines) == 12
    assert len({row["design"] for row in boats}) == 3
    assert {row["design"] for row in boats if row["boat"] in twin} == {"Twyne 42"}
    assert len(twin) == 2


def test_every_interval_says_whose_it_is():
    assert all(row["source"] for row in standing("intervals.csv"))


def test_boats_leave_in_the_coming_week_and_some_are_back_the_same_morning(dated):
    day, charters = dated
    leaving = {c["boat"] for c in charters if day <= c["starts_on"] <= day + 7 * DAY}
    ends = {(c["boat"], c["ends_on"]) for c in charters if c["back_at"] == "09:00"}
    back_to_back = [
        c for c in charters if day <= c["starts_on"] <= day + 7 * DAY and (c["boat"], c["starts_on"]) in ends
    ]
    assert len(leaving) >= 6
    assert len(back_to_back) >= 3


def test_one_boat_is_back_today_and_one_leaves_by_tomorrow(dated):
    day, charters = dated
    back = {c["boat"] for c in charters if c["ends_on"] == day}
    leaving_soon = {c["boat"] for c in charters if day <= c["starts_on"] <= day + DAY}
    assert "cowrie" in back - {c["boat"] for c in charters if day <= c["starts_on"] <= day + 7 * DAY}
    assert "whelk" in leaving_soon


def test_one_boat_lies_idle_for_weeks_and_one_charter_is_a_day_longer(dated):
    day, charters = dated
    idle = [c for c in charters if c["boat"] == "scallop" and abs(c["starts_on"] - day) < 28 * DAY]
    extended = [
        c for c in charters if (c["ends_on"] - c["starts_on"]).days == 8 and c["boat"] == "periwinkle"
    ]
    assert not [c for c in idle if c["ends_on"] > day - 28 * DAY]
    assert len(extended) == 1
    assert extended[0]["ends_on"] > day


def test_most_charters_run_from_saturday_to_saturday(dated):
    _, charters = dated
    saturdays = [c for c in charters if c["starts_on"].weekday() == c["ends_on"].weekday() == 5]
    assert len(saturdays) > 0.95 * len(charters)


def test_readings_are_two_years_old_and_none_is_of_a_day_to_come(all_rows):
    for day, rows in all_rows.items():
        taken = [row["taken_on"] for row in rows["readings.csv"]]
        assert min(taken) <= day - 730 * DAY
        assert max(taken) <= day


def test_the_dials_run_about_twenty_five_hours_a_charter(all_rows):
    rows = all_rows[DAYS[3]]
    dials = [
        float(r["hours"]) for r in rows["readings.csv"] if (r["boat"], r["meter"]) == ("bowline", "engine")
    ]
    back = [c for c in rows["charters.csv"] if c["boat"] == "bowline" and c["ends_on"] < DAYS[3]]
    assert 23 < (dials[-1] - dials[0]) / len(back) < 27


def test_no_task_was_done_while_its_boat_was_at_sea(dated, all_rows):
    day, charters = dated
    boats = {row["component"]: row["boat"] for row in all_rows[day]["components.csv"]}
    at_sea = {
        (c["boat"], c["starts_on"] + n * DAY)
        for c in charters
        for n in range(1, (c["ends_on"] - c["starts_on"]).days)
    }
    done = {(boats[row["component"]], row["done_on"]) for row in all_rows[day]["services.csv"]}
    assert not done & at_sea


def test_a_boat_carries_thirty_to_forty_five_components(all_rows):
    aboard = Counter(row["boat"] for row in all_rows[DAYS[0]]["components.csv"] if not row["removed_on"])
    assert all(30 <= many <= 45 for many in aboard.values())


def test_the_week_is_full_but_not_hopeless(built):
    _, day, _ = built
    lines = week(day)
    assert 25 <= len(lines) <= 45
    assert 6 <= sum(line.overdue for line in lines) <= 12
    leaving = (
        "bowline",
        "sheepshank",
        "carrick",
        "splice",
        "levanter",
        "zephyr",
        "limpet",
        "periwinkle",
        "whelk",
    )
    many = Counter(line.boat for line in lines)
    assert all(2 <= many[boat] <= 5 for boat in leaving)


def test_some_of_it_is_wrong_as_life_is(built):
    _, day, _ = built
    lines = {(line.component, line.interval): line for line in due_lines(on=day, today=day, days=None)}
    never = [line for line in lines.values() if not line.recorded]
    assert 8 <= len(never) <= 15
    assert {line.boat for line in never} == {"marline", "sheepshank"}
    assert lines["limpet-flares", "flares-replace"].overdue
    assert lines["whelk-gas-hose", "gas-hose-replace"].missing == ("expiry",)
    assert lines["splice-generator-oil", "generator-oil-change"].missing == ("reading",)
    raft = lines["carrick-life-raft", "raft-certificate"]
    assert raft.before_handover
    assert day <= raft.due_on
    assert (
        Fitting.objects.standing()
        .filter(component__code="scallop-bilge-pump-electric", boat__code="carrick")
        .exists()
    )


def test_life_added_what_no_file_says(built):
    _, day, _ = built
    doubtful = Reading.objects.standing().get(standing=Reading.Standing.DOUBTFUL)
    assert doubtful.meter.boat.code == "splice"
    raft = Component.objects.get(code="zephyr-life-raft")
    assert away_now([raft.pk])[raft.pk].lent.good_through > day
    cowrie = Boat.objects.get(code="cowrie")
    assert Defect.objects.open().filter(boat=cowrie, charter__ends_on=day).exists()
    moves = StockMove.objects.standing().filter(spare__code="belt-875")
    kit = {"place__boat": cowrie}
    came = moves.filter(**{f"to_{k}": v for k, v in kit.items()}).aggregate(n=Sum("quantity"))["n"] or 0
    went = moves.filter(**{f"from_{k}": v for k, v in kit.items()}).aggregate(n=Sum("quantity"))["n"] or 0
    assert came - went == -1


def test_the_safety_dates_are_of_every_sort_some_with_a_photo_and_a_raft_is_lent(built):
    base, day, _ = built
    audit = audit_of(base, on=day, now=Reading.objects.latest("recorded_at").recorded_at)
    assert all(count for count in audit.counts.values())
    assert audit.counts["in date"] > 0.8 * len(audit.lines)
    assert 0.9 * len(audit.lines) < audit.recorded < len(audit.lines)
    assert any(line.printed and line.printed.paper for line in audit.lines)
    assert [line.serial for line in audit.lines if line.expected.elsewhere] == ["007314"]
    assert any(line.at_sea for line in audit.lines)


def test_the_stored_due_lines_are_those_derived_afresh(built):
    _, day, _ = built
    assert list(differences(on=day)) == []


def test_each_role_has_its_own_sign_in(built):
    base, day, _ = built
    for way_in in SIGN_INS:
        person = Person.objects.get(login=way_in.login)
        assert person.check_password(way_in.password)
        assert set(person.memberships.on(day).values_list("base", "role")) == {(base.pk, way_in.role)}
    assert {way_in.role for way_in in SIGN_INS} == {"engineer", "manager", "office"}


def test_the_day_is_the_harbours(built):
    _, day, expected = built
    assert day == expected
