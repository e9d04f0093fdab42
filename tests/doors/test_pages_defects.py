"""The life of a defect on its pages: graded, deferred, extended, joined, placed, ended; nothing deleted."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from maintenance.defects.actions import end_defect, grade_defect, report_defect, say_if_happening
from maintenance.defects.deferring import defer_defect, extend_deferral
from maintenance.defects.facts import deferrals_of
from maintenance.defects.models import Defect, DefectStep, Deferral
from maintenance.defects.until import Until
from tests.cast import NOW, TODAY
from tests.doors.sheets import MAIN, said, sheet_with, tap
from tests.papers import encoded, painted


@pytest.fixture
def leak(cast) -> Defect:
    return report_defect(cast.boat["sandpiper"], words="Heads pump leaks", at=NOW, reporter="A. Skipper")


def at(name: str, defect: Defect) -> str:
    return reverse(name, args=["harbour", defect.pk])


def grade(defect: Defect, word: str, **more) -> None:
    grade_defect(defect, grade=word, who="A. Fitter", at=NOW, **more)


def test_it_is_graded_by_a_named_person_who_need_not_be_the_one_signed_in(engineer, leak):
    page = engineer.get(at("grade", leak))
    tap(engineer, page, MAIN, grade="unsafe", function="bilge", who="B. Diver")
    step = DefectStep.objects.get()
    assert (step.grade, step.function, step.by, step.recorded_by.login) == (
        "unsafe",
        "bilge",
        "B. Diver",
        "engineer",
    )
    text = said(engineer.get(at("defect", leak)))
    assert "Unsafe Graded by B. Diver: she does not leave with it. Touches bilge." in text


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"grade": ""}, "Grade: wanted unsafe, limits use, cosmetic or watch"),
        ({"grade": "dire"}, "Grade: wanted unsafe, limits use, cosmetic or watch"),
        ({"grade": "watch", "function": "sails"}, "What it touches: wanted charging"),
        ({"grade": "watch", "who": ""}, "Who grades it: wanted a name"),
    ],
)
def test_a_grade_that_is_not_clear_is_refused_by_name_and_nothing_is_kept(engineer, leak, typed, wanted):
    page = tap(engineer, engineer.get(at("grade", leak)), MAIN, **{"why": "Kept words", **typed})
    assert page.status_code == 422
    assert wanted in said(page)
    assert "Kept words" in page.content.decode()
    assert not DefectStep.objects.exists()


def test_a_grade_sent_twice_is_one_and_is_undone_today_and_stays_in_the_history(engineer, leak):
    page = engineer.get(at("grade", leak))
    for _ in range(2):
        tap(engineer, page, MAIN, grade="watch")
    assert DefectStep.objects.count() == 1
    tap(engineer, engineer.get(at("defect", leak)), "Undo the grade")
    text = said(engineer.get(at("defect", leak)))
    assert "Not graded yet" in text
    assert "Graded watch , Engineer undone 28 May 2026, 16:00 by Engineer" in text


def test_what_was_decided_yesterday_is_not_undone(engineer, leak, today_is):
    grade(leak, "watch")
    page = engineer.get(at("defect", leak))
    today_is.shift(timedelta(days=1))
    answer = tap(engineer, page, "Undo the grade")
    assert "nothing of today to undo" in said(engineer.get(answer["Location"]))
    assert DefectStep.objects.standing().count() == 1


def defer(browser, defect, **typed):
    """The form of deferring as it opens, sent with what was typed."""
    return tap(browser, browser.get(at("defer", defect)), MAIN, **{"dangerous": "no", **typed})


def test_next_turnaround_of_a_boat_that_is_out_is_before_she_goes_out_again(engineer, leak):
    """Sandpiper is out until Saturday."""
    grade(leak, "watch")
    page = engineer.get(at("defer", leak))
    assert "after this charter, before she goes out again" in said(page)
    defer(engineer, leak)
    assert Deferral.objects.get().max_charters == 0
    assert "Watch; deferred until she is to go out again" in said(engineer.get(at("defect", leak)))


def test_next_turnaround_of_a_boat_that_is_in_is_after_the_charter_that_comes(cast, engineer):
    row = report_defect(cast.boat["twice shy"], words="Hatch drips", at=NOW)
    grade(row, "watch")
    assert "after the charter that comes next" in said(engineer.get(at("defer", row)))
    defer(engineer, row)
    assert Deferral.objects.get().max_charters == 1


def test_an_end_inside_a_coming_charter_is_said_at_once_in_the_list_at_the_day_and_when_it_is_kept(
    cast, engineer
):
    """Twice Shy goes out on Saturday 30 May for T2 and is back on 6 June."""
    row = report_defect(cast.boat["twice shy"], words="Hatch drips", at=NOW)
    grade(row, "watch")
    text = said(engineer.get(at("defer", row)))
    inside = "ends inside charter T2: to be settled or extended before that handover"
    assert "Charter T2 is from Sat 30 May to Sat 6 Jun; what ends inside it is to be settled" in text
    assert f"five days: to Tue 2 Jun, {inside}" in text
    assert "one day: to Fri 29 May, ends" not in text
    assert "nine days: to Sat 6 Jun, ends" not in text
    answer = defer(engineer, row, until="day", until_on="2026-06-02")
    assert inside in said(engineer.get(answer["Location"]))


def test_days_are_counted_from_discovery_which_is_left_out_and_each_shows_its_last_day(cast, engineer):
    found = report_defect(cast.boat["sandpiper"], words="Old", at=NOW - timedelta(days=4))
    grade(found, "watch")
    page = engineer.get(at("defer", found))
    assert "counted from discovery, Sun 24 May, which is left out" in said(page)
    assert "ten days: to Wed 3 Jun" in said(page)
    assert "three days" not in said(page), "past already"
    defer(engineer, found, until="days", days="10")
    assert Deferral.objects.get().until_on.isoformat() == "2026-06-03"


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"until": ""}, "Until: wanted the next turnaround"),
        ({"until": "day"}, "Day: wanted, for it is to wait until then"),
        ({"until": "day", "until_on": "2026-05-27"}, "Day: wanted Thu 28 May 2026 or later"),
        ({"until": "day", "until_on": "soon"}, "Day: wanted a day such as"),
        ({"until": "days"}, "Days: wanted, for it is to wait until then"),
        ({"until": "days", "days": "7000"}, "Days: wanted one of those in the list"),
        ({"until": "charters", "max_charters": "0"}, "Charters: wanted a number from 1 to 50"),
        ({"until": "charters", "max_charters": "many"}, "Charters: wanted a number from 1 to 50"),
        ({"limit_text": " "}, "Limit for the next skipper: wanted what the next skipper is told"),
        ({"dangerous": ""}, "Would using it be dangerous?: wanted yes or no"),
        ({"dangerous": "yes"}, "Made inoperative: wanted how it was made"),
        ({"who": ""}, "Who decides: wanted a name"),
    ],
)
def test_a_deferral_that_is_not_clear_is_refused_by_name_and_nothing_is_lost(engineer, leak, typed, wanted):
    grade(leak, "limits use")
    page = defer(engineer, leak, **{"limit_text": "By day only", "why": "Part on its way", **typed})
    assert page.status_code == 422
    assert wanted in said(page)
    assert "Part on its way" in page.content.decode()
    assert not Deferral.objects.exists()


@pytest.mark.parametrize(
    ("word", "why"), [("", "Grade it first"), ("unsafe", "An unsafe defect is not deferred")]
)
def test_what_is_not_graded_or_unsafe_is_told_so_and_offered_no_form(engineer, leak, word, why):
    if word:
        grade(leak, word)
    page = engineer.get(at("defer", leak))
    assert why in said(page)
    assert b'<button class="main"' not in page.content
    assert (
        engineer.post(at("defer", leak), {"until": "lay-up", "who": "X", "dangerous": "no"}).status_code
        == 200
    )
    assert not Deferral.objects.exists()


def test_it_is_extended_once_and_a_form_sent_twice_is_no_extension(engineer, leak):
    grade(leak, "watch")
    page = engineer.get(at("defer", leak))
    for _ in range(2):
        tap(engineer, page, MAIN, dangerous="no", until="charters", max_charters="1")
    assert Deferral.objects.count() == 1
    page = engineer.get(at("defer", leak))
    assert tap(engineer, page, MAIN, until="lay-up", why="").status_code == 422
    tap(engineer, page, MAIN, until="lay-up", why="Yard is full")
    assert deferrals_of([leak.case])[leak.case].at_layup
    assert "extended once already" in said(engineer.get(at("defer", leak)))
    tap(engineer, engineer.get(at("defect", leak)), "Undo the deferral")
    assert deferrals_of([leak.case])[leak.case].max_charters == 1


def test_the_cap_of_a_boat_is_said(cast, engineer, leak):
    cast.base.deferred_at_once = 0
    cast.base.save()
    grade(leak, "watch")
    assert "has 0 deferred already" in said(defer(engineer, leak))


def test_two_reports_stand_side_by_side_and_one_tap_joins_them(cast, engineer, leak):
    double = report_defect(cast.boat["sandpiper"], words="Pump in the heads drips", at=NOW, reporter="Mate")
    grade(double, "limits use")
    report_defect(cast.boat["twice shy"], words="Heads pump too", at=NOW)
    page = engineer.get(at("defect-join", leak))
    assert "Same words: heads, pump Pump in the heads drips" in said(page)
    assert "Heads pump too" not in said(page)
    answer = tap(engineer, page, "It is the same thing")
    assert answer["Location"] == at("defect", double), "the graded one stays, whichever was opened"
    assert list(Defect.objects.open().filter(boat=leak.boat)) == [double]
    text = said(engineer.get(answer["Location"]))
    assert "Reported again , A. Skipper Heads pump leaks" in text
    old = engineer.get(at("defect", leak))
    assert "It goes as this one goes: Pump in the heads drips" in said(old)
    tap(engineer, old, "another thing after all")
    assert {d.case for d in Defect.objects.open().filter(boat=leak.boat)} == {leak.case, double.case}


def test_the_end_of_a_joined_report_is_said_on_the_other(cast, engineer, leak):
    double = report_defect(cast.boat["sandpiper"], words="Pump drips", at=NOW)
    engineer.post(at("defect-join", leak), {"other": double.pk})
    engineer.post(at("defect", double), {"step": "put right", "who": "A. Fitter"})
    assert not DefectStep.objects.exclude(step="seen").exists()
    end_defect(leak, step="put right", who="A. Fitter", at=NOW)
    assert "Put right, 28 May 2026, 16:00, A. Fitter" in said(engineer.get(at("defect", double)))


@pytest.mark.parametrize("other", ["", "x", "0", "9" * 30])
def test_what_is_no_other_report_is_not_joined(engineer, leak, other):
    answer = engineer.post(at("defect-join", leak), {"other": other})
    assert "wanted another report of Sandpiper" in said(engineer.get(answer["Location"]))


def test_where_it_is_at_is_said_right_and_the_old_address_finds_it_still(cast, engineer, leak):
    grade(leak, "watch")
    part = cast.part["sandpiper impeller"]
    tap(engineer, engineer.get(at("defect-where", leak)), MAIN, at=f"thing:{part.pk}")
    row = Defect.objects.standing().get()
    assert (row.component, row.first, row.words) == (part, leak, leak.words)
    for pk in (leak.pk, row.pk):
        text = said(engineer.get(reverse("defect", args=["harbour", pk])))
        assert "Where it is at said anew , Engineer" in text
        assert "Graded by A. Fitter" in text
    tap(engineer, engineer.get(at("defect-where", leak)), MAIN, at="hull:keel")
    assert Defect.objects.standing().get().hull == "keel"
    page = tap(
        engineer,
        engineer.get(at("defect-where", leak)),
        MAIN,
        at=f"thing:{cast.part['far cry engine-oil'].pk}",
    )
    assert "wanted a thing, a place or a part of the hull in the list" in said(page)


def test_what_was_opened_wants_a_paper_which_may_come_later(engineer, leak):
    page = engineer.get(at("defect", leak))
    answer = tap(
        engineer, page, MAIN, step="put right", who="L. Gasman", why="New regulator", opened="fixed gas"
    )
    page = engineer.get(answer["Location"])
    assert "A paper of licensed or approved people is wanted before she is released." in said(page)
    assert tap(engineer, page, "Add the paper").status_code == 422
    tap(engineer, page, "Add the paper", papers=SimpleUploadedFile("p.jpg", encoded(painted())))
    step = DefectStep.objects.get()
    assert (step.opened, step.papers.count()) == ("fixed gas", 1)
    assert "is wanted before she is released" not in said(engineer.get(at("defect", leak)))


def test_the_same_thing_twice_is_said_on_the_page_the_list_and_the_card(cast, engineer):
    part = cast.part["sandpiper impeller"]
    for days in (20, 0):
        last = report_defect(
            cast.boat["sandpiper"], words="Weak jet", component=part, at=NOW - timedelta(days=days)
        )
    addresses = [at("defect", last), *(reverse(n, args=["harbour"]) for n in ("defects", "week"))]
    for address in addresses:
        assert "Comes up again: 2nd time in 30 days" in said(engineer.get(address)), address


def test_the_list_has_the_worst_first_and_what_ends_inside_the_next_charter_marked(cast, engineer, leak):
    boat = cast.boat["sandpiper"]
    for words, word in (("Scratch", "cosmetic"), ("Shroud frayed", "unsafe"), ("Lamp", "watch")):
        grade(report_defect(boat, words=words, at=NOW), word)
    smoke = report_defect(boat, words="It happens again", at=NOW, risk_now=True)
    for days in (3, 60):
        row = report_defect(boat, words=f"Waits {days}", at=NOW)
        grade(row, "watch")
        defer_defect(row, Until(day=TODAY + timedelta(days=days)), who="A. Fitter", at=NOW)
    text = said(engineer.get(reverse("defects", args=["harbour"])))
    order = [text.index(w) for w in (smoke.words, "Shroud frayed", "Heads pump leaks", "Scratch", "Lamp")]
    assert order == sorted(order)
    marked = "Waits 3 Ends before she is back on Sat 6 Jun: settle or extend before handover"
    assert marked in text
    assert text.count("settle or extend before handover") == 2, "in the lede, and once in the list"


def test_what_was_put_right_is_found_again_and_boats_are_told_apart(cast, engineer, leak):
    end_defect(leak, step="put right", who="A. Fitter", why="New seal", at=NOW)
    report_defect(cast.boat["twice shy"], words="Hatch drips", at=NOW)
    where = reverse("defects", args=["harbour"])
    ended = said(engineer.get(where, {"show": "ended"}))
    assert "Put right Thu 28 May, A. Fitter." in ended
    assert "New seal" in ended
    assert "Hatch drips" not in ended
    assert "Nothing is open on her" in said(engineer.get(where, {"boat": cast.boat["sandpiper"].pk}))
    for given in ({"boat": "x"}, {"boat": "9" * 30}, {"show": "'"}):
        assert engineer.get(where, given).status_code == 200


def test_the_office_sees_it_all_and_is_offered_nothing_to_decide(sign_in, leak):
    grade(leak, "watch")
    page = sign_in("office").get(at("defect", leak))
    for words in ("Grade it again", "Defer it", "Undo the grade", "Reported twice?"):
        assert words not in said(page)
    assert sheet_with(page, "Answer")


def listed(browser, **query) -> str:
    return said(browser.get(reverse("defects", args=["harbour"]), query))


def test_the_boat_with_the_worst_on_her_stands_first(cast, engineer, leak):
    worse = report_defect(cast.boat["twice shy"], words="A shroud is worn", at=NOW)
    grade(leak, "cosmetic")
    grade(worse, "unsafe")
    text = listed(engineer)
    assert text.index("A shroud is worn") < text.index("Heads pump leaks")
    grade(leak, "unsafe")
    alarm = report_defect(cast.boat["sandpiper"], words="Smoke from the engine", at=NOW)
    say_if_happening(alarm, happening=True, who="A. Skipper", at=NOW)
    text = listed(engineer)
    assert text.index("Smoke from the engine") < text.index("A shroud is worn")
    assert text.count("Happening now.") == 1
    say_if_happening(alarm, happening=False, who="A. Skipper", at=NOW)
    assert "Happening now." not in listed(engineer)


def test_what_does_not_work_stands_first_of_what_nobody_graded(cast, engineer, leak):
    report_defect(cast.boat["sandpiper"], words="The fridge is off", at=NOW, works="no")
    text = listed(engineer)
    assert text.index("The fridge is off") < text.index("Heads pump leaks")


def test_the_deferred_ones_alone_with_limit_decider_and_whether_extended(cast, engineer, leak):
    report_defect(cast.boat["sandpiper"], words="The fridge hums", at=NOW)
    grade(leak, "limits use")
    row = defer_defect(
        leak, Until(day=TODAY + timedelta(days=20)), who="B. Mate", limit="Forward heads", at=NOW
    )
    text = listed(engineer, show="deferred")
    assert "deferred until Wed 17 Jun" in text
    assert "Forward heads. Decided Thu 28 May by B. Mate; not extended." in text
    assert "The fridge hums" not in text
    later = Until(day=TODAY + timedelta(days=25))
    extend_deferral(row, later, why="The part comes late", who="B. Mate", at=NOW)
    assert "by B. Mate; extended once." in listed(engineer, show="deferred")
