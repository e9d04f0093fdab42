"""The pages of a release as people use them: reasons, limits, names, the sheet, what the manager reads."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.models import StepPaper
from maintenance.release.actions import hold_boat, lift_hold
from maintenance.release.models import Hold, HoldRule, Release, ReleaseName
from tests.cast import NOW
from tests.doors.sheets import said, sheets, tap
from tests.factories import PaperFactory

ONE = "Released by one person"


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


@pytest.fixture
def page(engineer, boat):
    """Opens a page of the sandpiper's as the engineer, or as who is given."""

    def page(name: str = "release", who=engineer, **query: str):
        return who.get(reverse(name, args=["harbour", boat.pk]), query)

    return page


@pytest.fixture
def unsafe(boat):
    row = report_defect(boat, words="A shroud is worn", at=NOW - timedelta(minutes=9))
    grade_defect(row, grade="unsafe", who="Tome", at=NOW - timedelta(minutes=8))
    return row


@pytest.fixture
def settled(unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=NOW - timedelta(minutes=5))
    return unsafe


def later(today_is, minutes: int = 1) -> None:
    today_is.shift(timedelta(minutes=minutes))


def test_the_boats_page_says_first_whether_she_may_go_and_for_what(page):
    text = said(page("boat"))
    assert "Not released yet for charter S3, out Sat 30 May 17:00, berth A4" in text
    assert text.index("Not released yet") < text.index("What is open") < text.index("What is next")


def test_every_reason_stands_with_its_way_out_as_a_link_that_opens(cast, engineer, page, boat, unsafe):
    hold_boat(boat, why="The owner is aboard", who="Ilda", at=NOW)
    text = page("boat").content.decode()
    assert "Unsafe: A shroud is worn" in text
    for where in (
        reverse("defect", args=["harbour", unsafe.pk]),
        reverse("lift-hold", args=["harbour", Hold.objects.get().pk]),
    ):
        assert f'href="{where}"' in text
        assert engineer.get(where).status_code == 200


def test_a_boat_nothing_holds_is_released_by_one_tap(page, engineer, boat):
    answer = tap(engineer, page(), "Release her", how="looked at it")
    assert answer.status_code == 302
    row = Release.objects.get()
    assert (row.verdict, row.charter.code, row.names.get().name) == ("fit", "S3", "Engineer")
    text = said(engineer.get(answer["Location"]))
    assert "Fit for charter S3" in text
    assert ONE not in text


def test_how_one_knows_is_asked_and_nothing_is_kept_without(page, engineer):
    answer = tap(engineer, page(), "Release her", limits="Stay in the bay")
    assert answer.status_code == 422
    assert "You: wanted one of did the work, looked at it" in said(answer)
    assert "Stay in the bay" in answer.content.decode()
    assert not Release.objects.exists()


def test_sent_twice_a_release_is_kept_once(page, engineer):
    opened = page()
    for _ in range(2):
        assert tap(engineer, opened, "Release her", how="looked at it").status_code == 302
    assert Release.objects.count() == 1


def test_the_page_says_how_many_names_are_wanted_and_why(page, settled):
    text = said(page())
    assert "The base's rules want two names" in text
    assert "Settled since she last went out: an open defect of grade unsafe; 2 names" in text
    assert "who did the work and one other" in text


def test_two_names_one_by_telephone_with_what_was_read_out(page, engineer, settled):
    opened = page()
    told = next(s for s in sheets(opened) if "read_out" in s.values).values["read_out"][0]
    assert "A shroud is worn (put right by Tome)" in told
    assert told.endswith("Do you say too that she goes?")
    names = {"how": "did the work", "other": "Ilda", "other_how": "by telephone", "spoken_at": "15:58"}
    answer = tap(engineer, opened, "Release her", **names)
    assert answer.status_code == 302
    name = ReleaseName.objects.get(how="by telephone")
    assert (name.name, name.read_out, name.at) == ("Ilda", told, NOW - timedelta(minutes=2))
    assert ONE not in said(engineer.get(answer["Location"]))


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"other_how": ""}, "They: wanted how Ilda knows: by telephone, or here"),
        ({"read_out": " "}, "Read out on the telephone: wanted what was read out"),
        ({"spoken_at": "16:01"}, "Telephoned at: wanted a time up to now, today"),
        ({"spoken_at": "noon"}, "Telephoned at: wanted a time such as 16:40"),
        ({"other": " engineer "}, "Who else: wanted another person than Engineer, or nobody"),
        ({"other": "I" * 121}, "Who else: wanted up to 120 letters"),
        ({"who": ""}, "Who says so: wanted a name"),
        ({"read_out": "x" * 1001}, "Read out on the telephone: wanted up to 1000 letters"),
    ],
)
def test_a_name_that_cannot_be_is_refused_in_words_and_what_was_typed_stays(page, engineer, typed, wanted):
    names = {"how": "did the work", "other": "Ilda", "other_how": "by telephone", "limits": "In the bay"}
    answer = tap(engineer, page(), "Release her", **(names | typed))
    assert answer.status_code == 422
    assert wanted in said(answer)
    assert "In the bay" in answer.content.decode()
    assert not Release.objects.exists()


def test_one_person_alone_is_no_dead_end_it_prints_and_goes_to_the_manager(page, engineer, sign_in, settled):
    answer = tap(engineer, page(), "Release her", how="did the work")
    shown = engineer.get(answer["Location"])
    assert f"{ONE}. The manager reads it." in said(shown)
    sheet = engineer.get(reverse("release-sheet", args=["harbour", Release.objects.get().pk]))
    assert f"{ONE}; the base's rules want 2 names." in said(sheet)
    manager = sign_in("manager")
    assert "One release waits to be read or confirmed." in said(
        manager.get(reverse("week", args=["harbour"]))
    )
    assert "to be read or confirmed" not in said(engineer.get(reverse("week", args=["harbour"])))
    waiting = manager.get(reverse("releases", args=["harbour"]))
    assert ONE in said(waiting)
    tap(manager, waiting, "Seen")
    assert "Nothing waits to be read." in said(manager.get(reverse("releases", args=["harbour"])))
    assert "to be read or confirmed" not in said(manager.get(reverse("week", args=["harbour"])))


def test_another_name_is_added_later_and_one_by_telephone_is_confirmed(page, engineer, sign_in, settled):
    tap(engineer, page(), "Release her", how="did the work")
    tap(engineer, page(), "Add the name", **{"later-other": "Ilda", "later-other_how": "by telephone"})
    text = said(page())
    assert ONE not in text
    assert "Ilda , by telephone" in text
    manager = sign_in("manager")
    tap(manager, page(who=manager), "Confirm it as Manager")
    assert "confirmed 28 May 2026, 16:00 by Manager" in said(page())


def test_a_name_added_with_nothing_read_out_is_refused(page, engineer, settled):
    tap(engineer, page(), "Release her", how="did the work")
    typed = {"later-other": "Ilda", "later-other_how": "by telephone", "later-read_out": ""}
    tap(engineer, page(), "Add the name", **typed)
    assert "no name was added. Read out on the telephone: wanted what was read out" in said(page())
    assert ReleaseName.objects.count() == 1


def test_what_holds_her_is_ticked_one_by_one_with_a_limit_and_why(page, engineer, unsafe):
    key = f"unsafe:{unsafe.pk}:{unsafe.steps.get().pk}"
    opened = page()
    refused = tap(engineer, opened, "Release her to the limit", how="looked at it")
    assert "What holds her: Unsafe: A shroud is worn" in said(refused)
    refused = tap(engineer, opened, "Release her to the limit", how="looked at it", let_be=[key])
    assert "Limit for the skipper: wanted the limit she goes to" in said(refused)
    assert "checked" in refused.content.decode().split(key)[1][:20]
    typed = {"how": "looked at it", "let_be": [key], "limits": "Motor only", "why": "Rigger on Monday"}
    answer = tap(engineer, opened, "Release her to the limit", **typed)
    text = said(engineer.get(answer["Location"]))
    assert "Fit with limits for charter S3" in text
    assert "Motor only" in text
    sheet = said(engineer.get(reverse("release-sheet", args=["harbour", Release.objects.get().pk])))
    for words in ("Let be by name Unsafe: A shroud is worn", "Why: Rigger on Monday", "Motor only"):
        assert words in sheet


def test_what_changed_meanwhile_is_read_again(page, engineer, unsafe):
    typed = {"how": "looked at it", "let_be": ["unsafe:1:999"], "limits": "x", "why": "y"}
    answer = tap(engineer, page(), "Release her to the limit", **typed)
    assert "What holds her: it changed meanwhile; read it again" in said(answer)


def test_an_alarm_nobody_looked_at_leaves_no_form_and_one_sent_all_the_same_is_refused(page, engineer, boat):
    opened = page()
    report_defect(boat, words="Smoke from the engine", at=NOW)
    answer = tap(engineer, opened, "Release her", how="looked at it")
    assert answer.status_code == 422
    assert "An alarm nobody has looked at: Smoke from the engine" in said(answer)
    assert not any("Release her" in b[2] for s in sheets(page()) for b in s.buttons)


def test_that_she_does_not_go_is_said_with_a_reason_and_it_stands_on_her_page(page, engineer):
    refused = tap(engineer, page(), "She is held", held_why="")
    assert "Why she does not go: wanted the reason" in said(refused)
    tap(engineer, page(), "She is held", held_why="Waits for the surveyor")
    assert "Held by Engineer: Waits for the surveyor" in said(page("boat"))


def test_a_release_is_undone_today_and_not_tomorrow(page, engineer, today_is):
    tap(engineer, page(), "Release her", how="looked at it")
    opened = page()
    assert "is taken back" in said(engineer.get(tap(engineer, opened, "Undo it")["Location"]))
    assert "Not released yet" in said(page("boat"))
    tap(engineer, page(), "Release her", how="looked at it")
    opened = page()
    today_is.shift(timedelta(days=1))
    tap(engineer, opened, "Undo it")
    assert "It was said before today" in said(page())
    assert Release.objects.standing().count() == 1


def test_a_release_falls_and_the_page_and_the_sheet_say_so(page, engineer, boat, today_is):
    tap(engineer, page(), "Release her", how="looked at it")
    sheet = reverse("release-sheet", args=["harbour", Release.objects.get().pk])
    assert "no longer holds" not in said(engineer.get(sheet))
    later(today_is)
    lifted = hold_boat(boat, why="The owner is aboard", who="Ilda", at=NOW + timedelta(minutes=1))
    assert "This release no longer holds. It fell" in said(engineer.get(sheet))
    lift_hold(lifted, why="He has left", who="Ilda", at=NOW + timedelta(minutes=1))
    assert "Her release has fallen" in said(page())
    later(today_is)
    tap(engineer, page(), "Release her", how="looked at it")
    assert "Fit for charter S3" in said(page("boat"))
    assert "A later one stands in its place" in said(engineer.get(sheet))


def test_the_sheet_has_limits_papers_and_the_caution(page, engineer, boat):
    row = report_defect(boat, words="Windlass slips", at=NOW)
    grade_defect(row, grade="limits use", who="Tome", at=NOW)
    defer_defect(row, Until(day=date(2026, 6, 20)), who="Tome", limit="Haul by hand", at=NOW)
    tapped = report_defect(boat, words="Cooker tap", at=NOW)
    step = end_defect(tapped, step="put right", who="Tome", opened="fixed gas", at=NOW)
    StepPaper.objects.create(step=step, paper=PaperFactory())
    tap(engineer, page(), "Release her", how="looked at it", limits="Stay in the bay")
    text = said(engineer.get(reverse("release-sheet", args=["harbour", Release.objects.get().pk])))
    for words in ("Fit with limits", "Haul by hand", "Stay in the bay", "Fixed gas: Cooker tap . Paper 1"):
        assert words in text
    assert "Records show dates, not condition" in text


def test_she_is_released_for_another_charter_of_hers_and_for_no_others(cast, page, engineer):
    tap(engineer, page(charter=str(cast.charter["S4"].pk)), "Release her", how="looked at it")
    assert Release.objects.get().charter.code == "S4"
    for wrong in (cast.charter["T2"].pk, cast.charter["S1"].pk, "x", 10**30):
        assert page(charter=str(wrong)).status_code == 404


def test_a_boat_without_a_charter_says_so_and_takes_no_release(cast, page, engineer, boat):
    for code in ("S3", "S4"):
        cast.charter[code].delete()
    assert "No charter is booked for her" in said(page())
    where = reverse("release", args=["harbour", boat.pk])
    assert engineer.post(where, {"who": "x", "how": "looked at it"}).status_code == 302
    assert not Release.objects.exists()


def test_she_is_held_by_name_and_the_hold_is_lifted_by_name(page, engineer, boat):
    refused = tap(engineer, page("hold-boat"), "Hold her", why="")
    assert "Why she stays in: wanted the reason" in said(refused)
    opened = page("hold-boat")
    for _ in range(2):
        tap(engineer, opened, "Hold her", why="The owner is aboard", who="Ilda")
    hold = Hold.objects.get()
    where = reverse("lift-hold", args=["harbour", hold.pk])
    assert "Ilda holds her: The owner is aboard" in said(engineer.get(where))
    tap(engineer, engineer.get(where), "Lift it", why="He has left")
    assert "the hold is lifted" in said(page("boat"))
    assert engineer.get(where).status_code == 302
    assert "Not released yet" in said(page("boat"))


def test_the_cards_of_the_week_and_of_the_boats_say_the_word_and_the_first_reason(engineer, boat, unsafe):
    for name in ("week", "boats"):
        text = said(engineer.get(reverse(name, args=["harbour"])))
        assert "Held : Unsafe: A shroud is worn" in text
        assert "Not released yet" in text


def test_the_manager_changes_a_rule_and_the_others_read_it(cast, engineer, sign_in, unsafe, page):
    manager = sign_in("manager")
    where = reverse("rules", args=["harbour"])
    opened = manager.get(where)
    refused = tap(manager, opened, "Keep the rules", **{"rule1-names": "9"})
    assert refused.status_code == 422
    assert "Names, an open defect of grade unsafe: wanted 1 to 3" in said(refused)
    typed = {"rule1-names": "1", "rule1-paper": "of the rigger", "rule1-source": "our own book"}
    tap(manager, opened, "Keep the rules", **typed)
    row = HoldRule.objects.get()
    assert (row.code, row.on, row.names_needed, row.paper_needed) == ("unsafe", True, 1, "of the rigger")
    text = said(engineer.get(where))
    assert "1 name; a paper of the rigger. Source: our own book" in text
    assert "The base's rules want one name." in said(page())


def test_a_rule_off_holds_nothing_and_the_alarm_cannot_be_switched_off(cast, sign_in, unsafe, boat, page):
    manager = sign_in("manager")
    opened = manager.get(reverse("rules", args=["harbour"]))
    rules = [sheet.values for sheet in sheets(opened) if "rule0-names" in sheet.values]
    sent = {k: v for values in rules for k, v in values.items() if k not in ("rule0-on", "rule1-on")}
    assert manager.post(reverse("rules", args=["harbour"]), sent).status_code == 302
    assert HoldRule.objects.get().code == "unsafe"
    assert "Not released yet" in said(page("boat"))
    report_defect(boat, words="Smoke from the engine", at=NOW)
    assert "Held" in said(page("boat"))


def test_the_boats_page_says_where_every_thing_is_and_what_her_hull_went_through(page):
    text = said(page("boat"))
    assert "Where every thing is" in text
    assert "Sandpiper locker : 1 impeller kit" in text
    assert "No touch of the bottom is in her register" in text
    assert "Sandpiper, the season: 5 charters" in page("boat").content.decode()


def test_the_message_says_which_rule_was_changed_from_what_to_what(sign_in, cast):
    manager = sign_in("manager")
    where = reverse("rules", args=["harbour"])
    opened = manager.get(where)
    assert "Names wanted to let her go" in said(opened)
    answer = tap(manager, opened, "Keep the rules", **{"rule1-names": "1", "rule1-paper": "of the rigger"})
    text = said(manager.get(answer["Location"]))
    wanted = "names wanted from 2 to 1; paper from “none” to “of the rigger”."
    assert f"An open defect of grade unsafe: {wanted}" in text


def test_beside_not_released_yet_stands_what_nobody_has_graded(engineer, boat, page):
    report_defect(boat, words="The fridge hums", at=NOW)
    report_defect(boat, words="The shower pump is dead", at=NOW, works="no")
    for shown in (page("boat"), *(engineer.get(reverse(n, args=["harbour"])) for n in ("week", "boats"))):
        assert "Two defects not graded, one does not work" in said(shown)
    warned = said(page("boat"))
    assert warned.index("Not graded yet: The shower pump") < warned.index("Not graded yet: The fridge hums")


def test_on_paper_the_boats_are_one_list_of_who_may_leave_with_every_reason_whole(
    engineer, boat, page, unsafe
):
    hold_boat(boat, why="The owner is aboard, " + "and so is his family " * 8, who="Ilda", at=NOW)
    text = said(engineer.get(reverse("boats", args=["harbour"]))).split("Who may leave, until Sun 31 May")[1]
    assert "Sandpiper Sat 30 May 17:00 S3, berth A4 Held" in text
    assert "Unsafe: A shroud is worn" in text
    assert "and so is his family nobody" in text
    lift_hold(Hold.objects.get(), why="He has left", who="Ilda", at=NOW)
    end_defect(unsafe, step="put right", who="Tome", at=NOW)
    tap(engineer, page(), "Release her", how="did the work")
    text = said(engineer.get(reverse("boats", args=["harbour"]))).split("Who may leave, until")[1]
    assert "Sandpiper Sat 30 May 17:00 S3, berth A4 Fit Engineer by one person" in text
