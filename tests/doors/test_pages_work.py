"""Work recorded from the week's page in two taps, and counting started where nothing was recorded."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.jobs.models import Job
from maintenance.servicing.models import Service
from maintenance.spares.facts import hands
from tests.cast import TODAY, due_list_holds
from tests.doors.sheets import MAIN, said, sheet_with, tap

OIL, RAFT = ("sandpiper engine-oil", "change"), ("twice shy life-raft", "raft")


@pytest.fixture
def tick(cast, engineer):
    """The form of some tasks of a boat, as the week's page opens it."""

    def tick(boat: str, *tasks: tuple[str, str]):
        where = reverse("work", args=["harbour", cast.boat[boat].pk])
        return engineer.get(where, {"line": [cast.line(*task) for task in tasks]})

    return tick


@pytest.fixture
def dial(cast):
    return f"dial-{cast.meter['sandpiper main'].pk}"


def test_done_is_two_taps_with_today_and_the_parts_filled_in(cast, engineer):
    week = engineer.get(reverse("week", args=["harbour"]))
    line = cast.line(*OIL)
    form = engineer.get(reverse("work", args=["harbour", cast.boat["sandpiper"].pk]), {"line": line})
    assert f'value="{line}"' in week.content.decode()
    answer = tap(engineer, form, MAIN)
    assert answer.status_code == 302
    assert cast.due(*OIL).counted_from == TODAY
    assert hands()[cast.spare["oil"].pk, cast.place["store"].pk] == Decimal("15.5")
    assert due_list_holds()


def test_the_answer_says_what_was_recorded_and_which_days_moved_and_takes_it_all_back(
    cast, engineer, tick, dial
):
    before = cast.due(*OIL).due_on
    answer = tap(engineer, tick("sandpiper", OIL), MAIN, **{dial: "1210"})
    page = engineer.get(answer["Location"])
    assert "Change" in said(page)
    assert "moved" in said(page)
    undone = engineer.post(answer["Location"], {"what": "all"})
    assert undone.status_code == 302
    assert (cast.due(*OIL).due_on, Job.objects.get().state) == (before, "taken back")
    assert engineer.get(answer["Location"]).status_code == 200
    assert due_list_holds()


def test_several_are_ticked_off_together(cast, engineer, tick, dial):
    tasks = (OIL, ("sandpiper impeller", "replace"), ("sandpiper rigging", "rig"))
    form = tick("sandpiper", *tasks)
    assert sorted(sheet_with(form, MAIN).values["line"]) == sorted(cast.line(*t) for t in tasks)
    tap(engineer, form, MAIN, **{dial: "1210"})
    assert Job.objects.get().services.count() == 3
    assert due_list_holds()


def test_a_task_unticked_on_the_form_is_not_recorded_and_the_others_keep_their_own_parts(
    cast, engineer, tick
):
    form = tick("sandpiper", OIL, ("sandpiper impeller", "replace"))
    values = sheet_with(form, MAIN).values
    quantities = [v for k, v in values.items() if k.endswith("-quantity") and v != [""]]
    assert sorted(quantities) == [["1"], ["4.5"]]
    tap(engineer, form, MAIN, line=[cast.line("sandpiper impeller", "replace")])
    store = cast.place["store"].pk
    assert hands()[cast.spare["impeller kit"].pk, store] == 0
    assert hands()[cast.spare["oil"].pk, store] == 20


def test_a_dial_in_doubt_is_asked_about_and_the_answer_records_the_work(cast, engineer, tick, dial):
    page = tap(engineer, tick("sandpiper", OIL), MAIN, **{dial: "120", "who": "A. Fitter", "minutes": "55"})
    assert page.status_code == 422
    assert not Job.objects.exists()
    values = sheet_with(page, MAIN).values
    assert (values[dial], values["who"], values["minutes"]) == (["120"], ["A. Fitter"], ["55"])
    assert tap(engineer, page, "1 207 h").status_code == 302
    assert cast.due(*OIL).hours_now == 1207
    assert Job.objects.get().who == "A. Fitter"
    assert due_list_holds()


def test_a_dial_kept_as_read_waits_and_the_work_is_recorded(cast, engineer, tick, dial):
    page = tap(engineer, tick("sandpiper", OIL), MAIN, **{dial: "120"})
    tap(engineer, page, "Keep as read")
    assert cast.due(*OIL).counted_from == TODAY
    assert cast.due(*OIL).hours_now == Decimal("1190.4")
    assert due_list_holds()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"done_on": "2026-05-29"}, "wanted a day up to today"),
        ({"done_on": "2023-02-01"}, "it was fitted on 2023-03-01"),
        ({"done_on": "2026-05-02"}, "recorded for 2026-05-02 already"),
        ({"done_on": "yesterday"}, "Done on: wanted a day such as"),
        ({"done_on": ""}, "Done on: wanted a day"),
        ({"minutes": "an hour"}, "whole number"),
        ({"line": []}, "at least one task"),
    ],
)
def test_what_cannot_be_is_said_beside_what_was_typed(cast, engineer, tick, typed, why):
    page = tap(engineer, tick("sandpiper", OIL), MAIN, **{"who": "A. Fitter"} | typed)
    assert page.status_code == 422
    assert why in said(page)
    assert sheet_with(page, MAIN).values["who"] == ["A. Fitter"]
    assert not Job.objects.exists()


def test_a_new_printed_date_is_asked_for_and_one_that_could_mean_two_days_is_asked_again(
    cast, engineer, tick
):
    printed = f"printed-{cast.part['twice shy life-raft'].pk}"
    page = tap(engineer, tick("twice shy", RAFT), MAIN, **{printed: "03/04/2027"})
    assert page.status_code == 422
    assert sheet_with(page, MAIN).values[printed] == ["03/04/2027"]
    assert tap(engineer, page, MAIN, **{printed: "05/2027"}).status_code == 302
    assert cast.due(*RAFT).due_on == date(2027, 5, 31)
    assert due_list_holds()


def test_sent_twice_it_is_kept_once(engineer, tick):
    form = tick("sandpiper", OIL)
    assert tap(engineer, form, MAIN)["Location"] == tap(engineer, form, MAIN)["Location"]
    assert Job.objects.count() == 1


@pytest.mark.parametrize(
    "line", ["0-0", "²-1", "x", "1", "--", "9" * 30 + "-1", "1-" + "9" * 5000, ""], ids=range(8)
)
def test_a_task_that_is_not_aboard_is_not_found(cast, engineer, line):
    where = reverse("work", args=["harbour", cast.boat["sandpiper"].pk])
    for answer in (engineer.get(where, {"line": line}), engineer.post(where, {"line": line})):
        assert answer.status_code < 500
    assert not Job.objects.exists()


def test_anothers_part_is_not_ticked_off_on_this_boat(cast, engineer):
    where = reverse("work", args=["harbour", cast.boat["sandpiper"].pk])
    for name in ("twice shy port engine-oil", "far cry engine-oil"):
        assert engineer.get(where, {"line": cast.line(name, "change")}).status_code == 404


def test_a_task_the_part_does_not_have_is_refused_by_name(cast, engineer, tick):
    page = tap(engineer, tick("sandpiper", ("sandpiper impeller", "change")), MAIN)
    assert page.status_code == 422
    assert "is not a task of sandpiper-impeller" in said(page)


@pytest.fixture
def counting(cast, engineer):
    return engineer.get(reverse("counting", args=["harbour", cast.boat["blank page"].pk]))


def test_counting_starts_for_a_whole_boat_and_its_answer_takes_it_back(cast, engineer, counting):
    answer = tap(engineer, counting, "all", from_on="2026-05-01")
    assert answer.status_code == 302
    assert set(Service.objects.standing().filter(done_on="2026-05-01").values_list("counting")) == {(True,)}
    assert cast.due("blank page rigging", "rig").due_on == date(2027, 5, 1)
    assert engineer.post(answer["Location"]).status_code == 302
    assert not cast.due("blank page rigging", "rig").recorded
    assert due_list_holds()


def test_counting_starts_for_one_line(cast, engineer, counting):
    tap(engineer, counting, "ticked", from_on="2026-05-01", line=[cast.line("blank page rigging", "rig")])
    assert cast.due("blank page rigging", "rig").recorded
    assert not cast.due("blank page engine-oil", "change").recorded
    assert due_list_holds()


@pytest.mark.parametrize(
    ("typed", "why"), [("2026-05-29", "up to today"), ("2020-01-01", "fitted on"), ("", "a day")]
)
def test_a_day_from_which_counting_cannot_start_is_said(engineer, counting, typed, why):
    page = tap(engineer, counting, "all", from_on=typed)
    assert page.status_code == 422
    assert why in said(page)
    assert not Service.objects.filter(counting=True).exists()


def test_what_was_recorded_or_is_anothers_is_not_counted_afresh(cast, engineer, counting):
    lines = [cast.line(*OIL), cast.line("far cry engine-oil", "change")]
    page = tap(engineer, counting, "ticked", from_on="2026-05-28", line=lines)
    assert page.status_code == 422
    assert not Service.objects.filter(counting=True).exists()
