"""The week's page: doubtful readings first, counts to make, the days of leaving, each job with its reason."""

from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.meters.models import Reading
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.away import lend_aboard, send_away
from maintenance.spares.actions import use_spare
from maintenance.spares.facts import hands
from maintenance.turnaround.doubts import doubtful
from tests.cast import NOW, TODAY, back, due_list_holds, more_boats, read
from tests.doors.sheets import MAIN, said, sheet_with, sheets, tap


@pytest.fixture
def week(engineer):
    return lambda browser=engineer: browser.get(reverse("week", args=["harbour"]))


def in_order(text: str, *words: str) -> bool:
    places = [text.index(word) for word in words]
    return places == sorted(places)


def test_doubts_stand_first_then_the_boats_in_the_order_they_leave(cast, week):
    text = week().content.decode().split("<main", 1)[1]
    boats = [f'id="boat-{cast.boat[name].pk}"' for name in ("sandpiper", "twice shy", "blank page")]
    assert in_order(text, 'id="reading-', *boats)


def test_a_day_says_its_work_against_the_people_there(week):
    text = said(week())
    assert "one person, 8 h" in text.lower()
    assert "two boats in and out take 2 h 30" in text.lower()


def test_a_job_says_why_what_to_take_and_from_where(week):
    text = said(week())
    assert "1 190.4 of 1 220 h, about 23.5 h a week out" in text
    assert "4.5 l oil (Store)" in text


def test_a_boat_says_whether_her_longest_job_fits_her_time_ashore(cast, week):
    assert "longest 4 h, fits" in said(week())
    cast.interval["rig"].minutes = 600
    cast.interval["rig"].save()
    assert "longest 10 h, does not fit her 8 h ashore" in said(week())


def test_never_recorded_lines_stand_apart_with_a_way_to_start_counting(cast, week):
    page = week()
    assert "Never recorded" in said(page)
    assert reverse("counting", args=["harbour", cast.boat["blank page"].pk]) in page.content.decode()


def test_a_doubt_is_settled_with_one_tap(cast, engineer, week):
    page = week()
    sheet = next(s for s in sheets(page) if "/readings/" in s.action)
    meant = [b for b in sheet.buttons if b[0] == "dial"]
    answer = engineer.post(sheet.action, {"dial": meant[0][1]})
    assert answer.status_code == 302
    assert doubtful([cast.boat["twice shy"].pk]) == []
    assert cast.due("twice shy port engine-oil", "change").hours_now == Decimal(meant[0][1])
    assert "settled" in said(week())
    assert due_list_holds()


@pytest.mark.parametrize(
    ("tapped", "typed", "standing", "hours"),
    [
        ("It was this", "1 815,5", "used", "1815.5"),
        ("a new meter", "", "used", "1802"),
        ("Set it aside", "", "set aside", "1802"),
    ],
)
def test_a_doubt_is_settled_in_other_ways(cast, engineer, week, tapped, typed, standing, hours):
    tap(engineer, week(), tapped, other=typed)
    row = Reading.objects.standing().exclude(standing="used", dial__gt=1815.5).get(replaces__isnull=False)
    assert row.standing == standing
    assert cast.due("twice shy port engine-oil", "change").hours_now == Decimal(hours)
    assert due_list_holds()


def test_the_one_before_is_called_wrong_with_one_tap(cast, engineer, week):
    tap(engineer, week(), "Set it aside")
    filed = back(cast, "sandpiper", main="1260"), back(cast, "sandpiper", main="1209")
    assert filed[1].followed["doubtful"]
    tap(engineer, week(), "the one before was wrong")
    assert doubtful([cast.boat["sandpiper"].pk]) == []
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1209
    assert due_list_holds()


@pytest.mark.parametrize("typed", ["12x4", "", "-5", "9" * 30, "1.212,4", "181", "99999"])
def test_a_doubt_is_not_settled_by_what_cannot_be_and_the_page_says_so(cast, engineer, week, typed):
    tap(engineer, week(), "It was this", other=typed)
    assert len(doubtful([cast.boat["twice shy"].pk])) == 1
    assert "not settled" in said(week()).lower()
    assert due_list_holds()


def test_enter_in_the_field_settles_by_what_was_typed(engineer, week):
    sheet = sheet_with(week(), "It was this")
    assert sheet.buttons[0][:2] == ["what", "other"]


def test_a_count_to_make_is_made_on_the_page(cast, engineer, week):
    locker = cast.place["sandpiper locker"]
    use_spare(cast.spare["oil"], locker, quantity=Decimal("4.5"), day=TODAY, at=NOW)
    assert "the book says −4.5" in said(week())
    tap(engineer, week(), "Count", counted="2,5")
    assert hands()[cast.spare["oil"].pk, locker.pk] == Decimal("2.5")
    assert "To count" not in said(week())


@pytest.mark.parametrize("typed", ["12x4", "", "-5", "9" * 30, "12345678"])
def test_a_count_that_is_no_number_counts_nothing_and_is_named(cast, engineer, week, typed):
    locker = cast.place["sandpiper locker"]
    use_spare(cast.spare["oil"], locker, quantity=Decimal("4.5"), day=TODAY, at=NOW)
    tap(engineer, week(), "Count", counted=typed)
    assert hands()[cast.spare["oil"].pk, locker.pk] == Decimal("-4.5")
    assert "Counted: " in said(week())


def test_a_defect_is_put_right_from_the_page(cast, engineer, week):
    defect = report_defect(cast.boat["sandpiper"], words="Heads pump leaks", at=NOW, reporter="A. Skipper")
    where = reverse("defect", args=["harbour", defect.pk])
    assert where in week().content.decode()
    form = engineer.get(where)
    assert "A. Skipper" in said(form)
    assert tap(engineer, form, MAIN, who="").status_code == 422
    assert tap(engineer, form, MAIN, why="New seal").status_code == 302
    assert not Defect.objects.open().exists()
    assert "put right" in said(week())


def test_what_is_away_says_to_whom_with_what_in_its_place_and_is_not_ticked_off(cast, week):
    raft = cast.part["twice shy life-raft"]
    line = f'name="line" value="{cast.line("twice shy life-raft", "raft")}"'
    assert line in week().content.decode()
    send_away(raft, whom="Raft station", day=TODAY, at=NOW)
    assert "Nothing in its place aboard" in said(week())
    lend_aboard(raft, whom="Raft station", serial="L-09", good_through=None, day=TODAY, at=NOW)
    page = week()
    assert "to Raft station since 28 May" in said(page)
    assert "L-09" in said(page)
    assert line not in page.content.decode()


def test_the_office_sees_all_of_it_and_has_no_buttons_it_may_not_use(cast, sign_in, week):
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(99), day=TODAY, at=NOW)
    page = week(sign_in("office"))
    assert "4.5 l oil" in said(page)
    texts = [b[2] for s in sheets(page) for b in s.buttons]
    assert not [t for t in texts if t in ("Done", "Count")]
    assert any("It was" in t for t in texts)  # a reading is the office's to settle


def test_the_top_names_the_boats_that_are_held_and_leads_to_their_cards(cast, week):
    for boat in ("sandpiper", "blank page"):
        row = report_defect(cast.boat[boat], words="Forestay stranded", at=NOW)
        grade_defect(row, grade="unsafe", who="A", at=NOW)
    page = week()
    assert "Held: Blank Page ( Unsafe: Forestay stranded" in said(page)
    assert f'<a href="#boat-{cast.boat["sandpiper"].pk}">Sandpiper</a> (' in page.content.decode()


def test_a_base_with_nothing_to_do_says_so(cast, sign_in):
    page = sign_in("stranger").get(reverse("week", args=["elsewhere"]))
    assert page.status_code == 200
    assert "Far Cry" in said(page)


def test_the_page_of_twenty_boats_asks_the_store_no_more_than_that_of_three(
    cast, engineer, week, django_assert_max_num_queries
):
    def asked() -> int:
        # A count to make tells its story, and a part that is scarce is looked for among the orders: 13
        # more than where the book is right and the shelves are full.
        with django_assert_max_num_queries(88) as queries:
            assert week().status_code == 200
        return len(queries)

    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(99), day=TODAY, at=NOW)
    three = asked()
    more_boats(cast, 17)
    for n in range(17):
        read(cast, f"sister {n} main", "2026-05-20", "100")
        read(cast, f"sister {n} main", "2026-05-21", "10", standing="doubtful")
        use_spare(cast.spare["oil"], cast.place[f"sister {n} locker"], quantity=Decimal(1), day=TODAY, at=NOW)
        report_defect(cast.boat[f"sister {n}"], words="Leaks", at=NOW)
    assert asked() == three
