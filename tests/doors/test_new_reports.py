"""New from the crews: what came by links and nobody has seen, how it came, seen and joined by one touch."""

from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from fleet.charters.links import make_link
from fleet.people.cleaners import make_cleaners_link
from maintenance.defects.actions import report_defect, see_report
from maintenance.defects.models import Defect, DefectStep
from maintenance.planning.actions import cancel_charter
from maintenance.spares.actions import SpareUsed
from maintenance.turnaround.actions import DialRead, Report
from maintenance.turnaround.by_cleaners import Seen, report_by_cleaners
from maintenance.turnaround.by_link import Told, report_by_link, return_by_link
from maintenance.turnaround.by_phone import Kept, Odd, Photo, report_by_phone, return_by_phone
from maintenance.turnaround.models import ReturnSeen
from maintenance.turnaround.photos_to_come import expected, take_piece
from maintenance.turnaround.seeing import seen_at
from tests.cast import NOW, TODAY
from tests.doors.sheets import said
from tests.papers import encoded, painted

LISTS = ("week", "defects", "returns")
HTMX = {"HX-Request": "true"}


@pytest.fixture
def link(cast):
    return make_link(cast.charter["S2"], at=NOW - timedelta(days=3))[0]


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


def kept(number: int = 1, *, ago=timedelta(0), off=timedelta(0), odd=(), photos=(), at=NOW) -> Kept:
    clock = at + off
    return Kept(f"{number:032x}", clock - ago, clock, photos, odd)


def sent(link, boat, words="Heads pump leaks", *, at=NOW, told=None, **how) -> Defect:
    number = Defect.objects.count() + 1
    return report_by_phone(link, boat, Told(words=words, **(told or {})), kept(number, at=at, **how), at=at)


def listed(browser, page="week") -> str:
    """What stands under New from the crews when a page opens."""
    text = said(browser.get(reverse(page, args=["harbour"])))
    return text.partition("New from the crews")[2].partition("Held:")[0]


def fragment(browser, **asked):
    return browser.get(reverse("new-reports", args=["harbour"]), asked, headers=HTMX)


def stamp(answer) -> str:
    return answer.content.decode().partition('name="have" value="')[2].partition('"')[0]


def touch(browser, name: str, of: str = "week", **data):
    key = data.pop("key")
    return browser.post(reverse(name, args=["harbour", key]), data | {"of": of}, headers=HTMX)


@pytest.mark.parametrize("page", LISTS)
def test_what_came_stands_on_top_of_each_list_until_somebody_has_seen_it(cast, engineer, link, boat, page):
    assert "All that came has been seen." in listed(engineer, page)
    row = sent(link, boat, told={"reporter": "Jonte"})
    text = listed(engineer, page)
    assert "One report nobody has seen." in text
    assert "Sandpiper" in text
    assert "Jonte , charter S2" in text
    assert "Heads pump leaks" in text
    see_report(row, who="Tomé", at=NOW)
    assert "All that came has been seen." in listed(engineer, page)


def test_danger_now_is_loud_and_leads_before_an_alarm_that_came_later(engineer, link, boat):
    sent(link, boat, "Come quick", at=NOW - timedelta(hours=2), told={"risk_now": True, "works": "no"})
    sent(link, boat, "Burning smell below", at=NOW - timedelta(hours=1))
    sent(link, boat, "Lamp out")
    text = listed(engineer)
    assert text.index("Come quick") < text.index("Burning smell") < text.index("Lamp out")
    assert '<p class="short">Danger now</p>' in fragment(engineer).content.decode()
    assert text.lower().partition("burning smell")[0].count("danger now") == 1


def test_alarms_nobody_has_looked_at_stand_above_what_is_new_on_the_week(engineer, link, boat):
    sent(link, boat, "Burning smell below")
    text = said(engineer.get(reverse("week", args=["harbour"])))
    assert text.index("An alarm nobody has looked at") < text.index("New from the crews")


def test_alarms_lead_then_the_newest_and_what_the_base_wrote_is_no_news(cast, engineer, link, boat):
    sent(link, boat, "First thing", at=NOW - timedelta(hours=2))
    sent(link, boat, "Burning smell below", at=NOW - timedelta(hours=1))
    sent(link, boat, "Last thing")
    report_defect(boat, words="Said on the pontoon", at=NOW, by=cast.person["office"])
    text = listed(engineer)
    places = [text.index(words) for words in ("Burning smell below", "Last thing", "First thing")]
    assert places == sorted(places)
    assert "Three reports nobody has seen, one alarm among them." in text
    assert "Said on the pontoon" not in text.partition("Thu 28")[0]


def test_what_a_cleaner_saw_and_a_return_by_the_skipper_are_listed_too(cast, engineer, link, boat):
    cleaners = make_cleaners_link(cast.base, at=NOW, by=cast.person["manager"])[0]
    report_by_cleaners(cleaners, boat, Seen(words="Oven door loose"), at=NOW, client_id="a")
    dials = [DialRead(cast.meter["sandpiper main"], Decimal("1225"))]
    said_of = {"dials": dials, "defects": ["Winch slips"], "answers": {"gas_or_fumes_smelled": True}}
    report = Report(filed_by="skipper", day=TODAY, reporter="A. Skipper", **said_of)
    return_by_link(link, boat, report, at=NOW)
    text = listed(engineer)
    assert "Oven door loose" in text
    assert "Sandpiper: return by the skipper" in text
    assert "Main 1 225 h" in text.replace("\u202f", " ")
    assert "Winch slips" in text
    assert "touch no switch" in text
    assert text.index("return by the skipper") < text.index("Oven door loose")  # gas leads


def test_its_own_words_are_marked_in_their_language_and_direction(engineer, link, boat):
    sent(link, boat, "المضخة لا تعمل", told={"language": "ar"})
    page = engineer.get(reverse("week", args=["harbour"])).content.decode()
    assert '<p class="words" dir="auto" lang="ar">المضخة لا تعمل</p>' in page
    assert "As it was written; the page spoke Arabic." in listed(engineer)


@pytest.mark.parametrize(
    ("language", "says"),
    [("", ""), ("en", ""), ("en-GB", ""), ("qq", "As it was written; the page spoke language “qq”.")],
)
def test_english_is_not_named_and_a_language_nobody_knows_is_named_as_it_came(
    engineer, link, boat, language, says
):
    sent(link, boat, told={"language": language})
    assert ("s it was written" in listed(engineer)) == bool(says)
    assert says in listed(engineer)


def test_both_moments_are_said_where_it_lay_on_a_phone(engineer, link, boat):
    sent(link, boat, "Fridge warm", ago=timedelta(minutes=4))
    assert "came in" not in listed(engineer)
    sent(link, boat, "Lamp out", ago=timedelta(hours=20))
    assert "Written 27 May 2026, 20:00; came in 28 May 2026, 16:00." in listed(engineer)


def test_photos_are_shown_those_on_their_way_counted_and_those_refused_said(engineer, link, boat):
    photo, no_photo = encoded(painted()), b"PK\x03\x04 no photo at all"
    names = [letter * 32 for letter in "abc"]
    photos = [Photo(names[0], len(photo)), Photo(names[1], len(no_photo)), Photo(names[2], 999)]
    row = sent(link, boat, photos=photos)
    assert "Three photos are still on their way: 0 of 3 here." in listed(engineer)
    before = stamp(fragment(engineer))
    take_piece(expected(link, names[0]), [photo], offset=0, at=NOW)
    take_piece(expected(link, names[1]), [no_photo], offset=0, at=NOW)
    text = listed(engineer)
    assert "A photo is still on its way: 1 of 3 here." in text
    assert "Photo 2 could not be kept: wanted" in text
    paper = row.papers.get().paper
    page = fragment(engineer, have=before)
    assert page.status_code == 200, "a photo that arrived is news"
    assert reverse("paper", args=["harbour", paper.sha256]) in page.content.decode()


ODD = {
    "wrong boat": (
        {"odd": (Odd.WRONG_BOAT,)},
        "S2 never had, so it stands on Sandpiper",
        "Another boat?",
    ),
    "not aboard": ({"odd": (Odd.NOT_ABOARD,)}, "is not aboard any more; it stands below the words", ""),
    "no number": ({"odd": (Odd.NO_NUMBER,)}, "could not be read; it stands in words", ""),
    "clock fast": ({"off": timedelta(days=1, hours=2)}, "The phone’s clock was one day 2 h fast.", ""),
    "clock slow": ({"off": timedelta(minutes=-15)}, "The phone’s clock was 15 min slow.", ""),
}


@pytest.mark.parametrize("sort", ODD)
def test_what_is_odd_is_said_in_plain_words_and_kept(engineer, link, boat, sort):
    how, says, way = ODD[sort]
    row = sent(link, boat, **how)
    text = listed(engineer)
    assert says in text
    assert row.words in text
    assert way in text
    assert says in said(engineer.get(reverse("defect", args=["harbour", row.pk])))


def test_a_report_of_a_charter_called_off_is_flagged(cast, engineer, boat):
    link = make_link(cast.charter["S3"], at=NOW)[0]
    cancel_charter(cast.charter["S3"], at=NOW)
    sent(link, boat)
    text = listed(engineer)
    assert "Charter S3 was called off. Ask who was aboard, and when." in text
    assert "Heads pump leaks" in text


def test_a_report_after_the_next_handover_and_by_a_link_that_ended_is_flagged(cast, engineer, link, boat):
    """S2 was back on 30 May; S3 left with her on 30 May and is out now."""
    later = NOW + timedelta(days=5)
    with time_machine.travel(later, tick=False):
        sent(link, boat, at=later)
        text = listed(engineer)
    assert "It came after Sandpiper was handed to the next crew." in text
    assert "Its link had ended when it came." in text
    assert "Heads pump leaks" in text


def test_what_this_version_does_not_know_is_said_as_it_was_kept(engineer, link, boat):
    row = sent(link, boat)
    row.came_by.odd = ["came by balloon"]
    row.came_by.save()
    assert "came by balloon." in listed(engineer)


# Asked again and again
def test_a_page_that_asks_again_is_answered_only_where_something_changed(engineer, link, boat):
    assert fragment(engineer, have="").status_code == 200
    assert fragment(engineer, have="none").status_code == 204
    sent(link, boat)
    first = fragment(engineer, have="none")
    assert first.status_code == 200
    assert fragment(engineer, have=stamp(first)).status_code == 204
    assert first["X-Of"] == fragment(engineer, have=stamp(first))["X-Of"] == "crews"
    sent(link, boat, "Lamp out")
    again = fragment(engineer, have=stamp(first))
    assert again.status_code == 200
    assert "Two reports nobody has seen." in said(again)
    assert "no-store" in again["Cache-Control"]


def test_asking_again_is_cheap_and_the_list_costs_the_same_for_twenty_as_for_three(
    engineer, link, boat, django_assert_max_num_queries
):
    def asked(most: int, **have) -> int:
        with django_assert_max_num_queries(most) as queries:
            fragment(engineer, **have)
        return len(queries)

    def many(number: int) -> None:
        for _ in range(number):
            sent(link, boat, "Pump hums again", photos=[Photo(f"{Defect.objects.count():032x}", 9)])

    assert asked(6, have="none") == 6
    many(3)
    three = asked(40)
    assert asked(10, have=stamp(fragment(engineer))) <= 10
    many(17)
    assert asked(40) == three


def test_more_than_fit_wait_behind_those_shown(engineer, link, boat):
    for n in range(22):
        sent(link, boat, f"Thing {n:02d}", at=NOW + timedelta(seconds=n))
    text = listed(engineer)
    assert "22 reports nobody has seen." in text
    assert "2 more wait behind these" in text
    assert "Thing 21" in text.partition("2 more wait")[0]
    assert "Thing 01" not in text.partition("2 more wait")[0]


# Seen
def test_opening_a_report_writes_nothing_and_offers_the_script_what_marks_it_seen(engineer, link, boat):
    row = sent(link, boat)
    address = reverse("defect-seen", args=["harbour", row.pk])
    page = engineer.get(reverse("defect", args=["harbour", row.pk])).content.decode()
    assert f'action="{address}" hx-post="{address}" hx-trigger="load"' in page
    assert seen_at([row.pk]) == {}
    answer = engineer.post(address, headers=HTMX)
    assert "Seen by" in said(answer)
    assert seen_at([row.pk]) == {row.pk: NOW}
    step = DefectStep.objects.get()
    assert (step.step, step.recorded_by.login) == ("seen", "engineer")
    assert address not in engineer.get(reverse("defect", args=["harbour", row.pk])).content.decode()


def test_what_the_base_wrote_itself_is_marked_by_nobody(cast, engineer, boat):
    row = report_defect(boat, words="Fender lost", at=NOW, by=cast.person["office"])
    page = engineer.get(reverse("defect", args=["harbour", row.pk])).content.decode()
    assert reverse("defect-seen", args=["harbour", row.pk]) not in page


def test_one_touch_on_the_list_marks_it_seen_and_another_undoes_it(engineer, link, boat):
    row = sent(link, boat)
    answer = said(touch(engineer, "defect-seen", key=row.pk))
    assert "Seen: Sandpiper, “Heads pump leaks”." in answer
    assert "All that came has been seen." in answer
    answer = said(touch(engineer, "defect-seen", key=row.pk, what="undo"))
    assert "One report nobody has seen." in answer
    assert seen_at([row.pk]) == {}


def test_without_a_script_the_touch_leads_back_to_the_page_it_was_on_with_its_undo(engineer, link, boat):
    row = sent(link, boat)
    there = reverse("defect-seen", args=["harbour", row.pk])
    page = engineer.post(there, {"of": "defects"}, follow=True)
    assert page.request["PATH_INFO"] == reverse("defects", args=["harbour"])
    assert "Seen: Sandpiper, “Heads pump leaks”. Undo" in said(page)
    own = engineer.post(there, follow=True)
    assert own.request["PATH_INFO"] == reverse("defect", args=["harbour", row.pk])


def test_a_return_is_marked_seen_from_its_page_and_from_the_list(engineer, link, boat):
    filed = return_by_phone(link, boat, Report(filed_by="skipper", day=TODAY), kept(), at=NOW)
    page = engineer.get(reverse("filed", args=["harbour", filed.pk])).content.decode()
    assert reverse("filed-seen", args=["harbour", filed.pk]) in page
    assert "Seen: the return of Sandpiper." in said(touch(engineer, "filed-seen", key=filed.pk))
    assert ReturnSeen.objects.get().recorded_by.login == "engineer"
    page = engineer.get(reverse("filed", args=["harbour", filed.pk])).content.decode()
    assert reverse("filed-seen", args=["harbour", filed.pk]) not in page


def test_an_undo_nobody_can_follow_is_not_shown(engineer, link, boat):
    row = sent(link, boat)
    for done in ("seen-0", f"seen-{row.pk}", f"joined-{row.pk}", "nonsense", "seen-x", "return-1"):
        page = engineer.get(reverse("week", args=["harbour"]), {"done": done})
        assert page.status_code == 200
        assert 'id="crews-did"' not in page.content.decode(), done


# Likely doubles
@pytest.fixture
def pair(link, boat):
    """One reported two days before and seen, and the same again."""
    first = sent(link, boat, "Toilettenpumpe tropft", ago=timedelta(days=2), told={"language": "de"})
    see_report(first, who="Tomé", at=NOW)
    return first, sent(link, boat, "Die Toilettenpumpe leckt jetzt")


def test_a_likely_double_stands_beside_it_with_the_reason(engineer, pair):
    text = listed(engineer)
    assert "Likely the same thing. Same words: toilettenpumpe." in text
    assert "Toilettenpumpe tropft" in text.partition("Likely")[2]
    assert "Same thing: join" in text


def test_one_touch_joins_them_and_one_parts_them_again(engineer, pair):
    first, new = pair
    answer = touch(engineer, "defect-same", key=new.pk, other=first.pk, what="join")
    assert "Joined: Sandpiper, “Die Toilettenpumpe leckt jetzt” goes with “Toilettenpumpe tropft”" in said(
        answer
    )
    double = Defect.objects.standing().get(same_as__isnull=False)
    assert (double.case, double.same_as_id) == (new.pk, first.pk)
    answer = touch(engineer, "defect-same", key=first.pk, other=double.pk, what="part")
    assert "Two things again: Sandpiper, “Die Toilettenpumpe leckt jetzt” is open by itself." in said(answer)
    assert not Defect.objects.standing().filter(same_as__isnull=False).exists()


def test_two_things_lets_the_suggestion_rest_and_can_be_undone(engineer, pair):
    first, new = pair
    answer = touch(engineer, "defect-same", key=new.pk, other=first.pk, what="two")
    assert "Kept as two things: Sandpiper, “Die Toilettenpumpe leckt jetzt”." in said(answer)
    page = said(engineer.get(reverse("defect", args=["harbour", new.pk])))
    assert "Likely the same thing" not in page
    assert "another thing than “Toilettenpumpe tropft”" in page
    touch(engineer, "defect-seen", key=new.pk, what="undo")
    assert "Likely the same thing" in said(engineer.get(reverse("defect", args=["harbour", new.pk])))


def test_what_was_joined_and_is_another_thing_after_all_is_not_offered_again(engineer, pair):
    first, new = pair
    touch(engineer, "defect-same", key=new.pk, other=first.pk, what="join")
    double = Defect.objects.standing().get(same_as__isnull=False)
    engineer.post(
        reverse("defect-join", args=["harbour", first.pk]), {"other": double.pk, "what": "part"}, follow=True
    )
    parted = Defect.objects.open().exclude(pk=first.pk).get()
    for row in (first, parted):
        page = said(engineer.get(reverse("defect", args=["harbour", row.pk])))
        assert "Likely the same thing" not in page


def test_two_new_ones_of_the_same_thing_are_shown_side_by_side_once(engineer, link, boat):
    sent(link, boat, "Toilettenpumpe tropft", at=NOW - timedelta(hours=1))
    sent(link, boat, "Die Toilettenpumpe leckt jetzt")
    text = listed(engineer)
    assert text.count("Likely the same thing") == 1
    assert text.index("leckt jetzt") < text.index("Likely") < text.index("Toilettenpumpe tropft")


def test_what_cannot_be_joined_says_why(engineer, link, boat):
    first, new = sent(link, boat, "Toilettenpumpe tropft"), sent(link, boat, "Toilettenpumpe leckt")
    touch(engineer, "defect-same", key=new.pk, other=first.pk, what="join")
    third = sent(link, boat, "Toilettenpumpe laut")
    answer = touch(engineer, "defect-same", key=third.pk, other=new.pk, what="join")
    assert "Not joined: wanted another report" in said(answer)
    answer = touch(engineer, "defect-same", key=new.pk, other=10**9, what="join")
    assert "Not kept: wanted another report of Sandpiper." in said(answer)


def test_the_office_sees_marks_seen_and_joins_nothing(sign_in, pair):
    office = sign_in("office")
    text = listed(office)
    assert "Likely the same thing" in text
    assert "Same thing: join" not in text
    assert touch(office, "defect-same", key=pair[1].pk, other=pair[0].pk).status_code == 403
    assert "Seen: Sandpiper" in said(touch(office, "defect-seen", key=pair[1].pk))


# On the wrong boat
def test_a_report_on_the_wrong_boat_is_put_on_the_right_one_and_back(cast, engineer, link, boat):
    row = sent(link, boat, odd=(Odd.WRONG_BOAT,))
    there = reverse("defect-move", args=["harbour", row.pk])
    assert "Blank Page" in said(engineer.get(there))
    page = engineer.post(there, {"boat": cast.boat["blank page"].pk}, follow=True)
    assert "It stands on Blank Page now." in said(page)
    assert "It came in on Sandpiper and was moved here." in said(page)
    assert "Moved here from Sandpiper" in said(page)
    assert Defect.objects.standing().get().boat == cast.boat["blank page"]
    old = engineer.get(reverse("defect", args=["harbour", row.pk]))  # where the first address leads now
    assert "Blank Page: Heads pump leaks" in said(old)
    page = engineer.post(reverse("defect-unmove", args=["harbour", row.pk]), follow=True)
    assert "It stands on Sandpiper again." in said(page)
    page = engineer.post(reverse("defect-unmove", args=["harbour", row.pk]), follow=True)
    assert "Not moved back: it was not moved." in said(page)


@pytest.mark.parametrize("name", ["", "sandpiper", "far cry"])
def test_no_boat_the_same_boat_or_another_bases_boat_is_refused(cast, engineer, link, boat, name):
    row = sent(link, boat)
    given = cast.boat[name].pk if name else ""
    page = engineer.post(reverse("defect-move", args=["harbour", row.pk]), {"boat": given})
    assert page.status_code == 422
    assert "Boat: wanted another boat of this base" in said(page)


def test_a_report_by_the_plain_form_is_listed_as_well(engineer, link, boat):
    report_by_link(link, boat, Told(words="Horn silent"), at=NOW)
    assert "Horn silent" in listed(engineer)


def test_the_spares_a_crew_used_are_told_in_the_list_and_on_the_report(engineer, cast, link, boat):
    used = [SpareUsed(cast.spare["impeller kit"], cast.place["sandpiper locker"], Decimal(2))]
    report = sent(link, boat, "Impeller gone twice", told={"used": used})
    wanted = f"Used: 2 {cast.spare['impeller kit']}."
    assert wanted in listed(engineer)
    assert wanted in said(engineer.get(reverse("defect", args=["harbour", report.pk])))
