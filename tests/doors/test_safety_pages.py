"""The dates of the safety gear as people meet them: the list, the sheet, reading a date, its undoing."""

import csv
import io
import re
from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from fleet.boats.models import Kind, KindDate, PrintedDate
from fleet.papers.actions import keep_paper
from fleet.papers.models import Paper
from maintenance.jobs.away import lend_aboard, send_away
from maintenance.jobs.dating import record_date
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.sheets import said, sheet_with, tap

RAFT = ("twice shy life-raft", "raft")
FORMULA = "=1+1"


@pytest.fixture(autouse=True)
def rafts_are_dated(cast):
    Kind.objects.filter(code="life-raft").update(date_required=True)


@pytest.fixture
def show(engineer):
    """The list, or one boat's sheet, with what is asked for."""

    def show(boat: int | None = None, **asked):
        where = (
            reverse("safety", args=["harbour"])
            if boat is None
            else reverse("safety-boat", args=["harbour", boat])
        )
        return engineer.get(where, asked)

    return show


@pytest.fixture
def form(cast, engineer):
    """The page on which a raft's date is read."""

    def form(part: str = RAFT[0], **asked):
        return engineer.get(reverse("printed-date", args=["harbour", cast.part[part].pk]), asked)

    return form


@pytest.fixture
def photo():
    """A small picture as a phone sends it."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "#c00").save(out, "JPEG")
    return lambda: SimpleUploadedFile("label.jpg", out.getvalue(), content_type="image/jpeg")


def standing(cast, part: str = RAFT[0]):
    return PrintedDate.objects.standing().filter(component=cast.part[part]).last()


def test_the_list_counts_what_is_wrong_worst_first_and_how_many_are_recorded(show):
    words = said(show())
    assert "Safety dates on Thu 28 May: one running out, one without a date" in words
    assert "2 of 3 dates are recorded." in words
    assert words.index("Twice Shy") < words.index("Blank Page") < words.index("Sandpiper")
    assert "2 Jun, runs out at sea on T2" in words
    assert "Never recorded" in words
    assert "1 in date, the first until 30 Jun 2026" in words
    assert "Records show dates, not condition; the certificate and the authority decide." in words


def test_by_kind_the_boats_stand_under_their_kind(cast, show):
    cast.part["sandpiper impeller"].kind.dates.create(what="best before")
    words = said(show(by="kind"))
    assert words.index("Life raft") < words.index("Impeller")
    assert words.index("Life raft") < words.index("Twice Shy") < words.index("Blank Page")


@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("2026-04-15", "First recorded 1 May 2026"),
        ("2026-07-15", "30 Jun 2026, expired"),
        ("2026-07-15", "2 Jun 2026, expired"),
        ("2026-05-20", "recorded by the end of that day"),
    ],
)
def test_any_day_can_be_asked_about(show, on, words):
    assert words in said(show(on=on))


@pytest.mark.parametrize(
    ("on", "wanted"),
    [("soon", "wanted a day such as"), ("1900-01-01", "from 2000 to 2099"), ("9999-12-31", "2099")],
)
def test_a_day_that_is_none_is_said_and_today_is_shown(show, on, wanted):
    answer = show(on=on, format="csv")
    assert answer.status_code == 422
    assert wanted in said(answer)
    assert "on Thu 28 May" in said(answer)
    assert on in answer.content.decode()


def test_the_csv_has_the_same_lines_and_no_formula(cast, show, engineer):
    record_date(
        cast.part["blank page life-raft"],
        what=FORMULA,
        state="illegible",
        as_written=FORMULA,
        at=NOW,
        by=cast.person["engineer"],
    )
    answer = show(format="csv")
    assert answer.content.startswith(b"\xef\xbb\xbf")
    assert 'filename="dates-harbour-2026-05-28.csv"' in answer["Content-Disposition"]
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [(row["boat"], row["state"], row["good_through"]) for row in rows] == [
        ("Twice Shy", "runs out", "2026-06-02"),
        ("Blank Page", "illegible", ""),
        ("Blank Page", "no date", ""),
        ("Sandpiper", "in date", "2026-06-30"),
    ]
    assert (rows[1]["date"], rows[1]["as_written"]) == ("'=1+1", "'=1+1")
    assert (rows[0]["judged_on"], rows[0]["judged_through"], rows[0]["charter"]) == (
        "2026-05-28",
        "2026-06-06",
        "T2",
    )
    assert rows[1]["recorded_at"] == "2026-05-28 16:00"
    assert not [cell for row in rows for cell in row.values() if cell.startswith(("=", "+", "-", "@"))]


def test_a_lent_one_is_judged_and_nothing_in_its_place_is_said(cast, show):
    raft = cast.part[RAFT[0]]
    send_away(raft, whom="Raft station", day=date(2026, 5, 26), at=NOW)
    assert "Its own is away to Raft station since Tue 26 May, and nothing is in its place aboard" in said(
        show()
    )
    lend_aboard(raft, whom="Raft station", serial="L-09", good_through=TODAY, day=TODAY, at=NOW)
    words = said(show())
    assert "28 May, runs out before T2" in words
    assert "Lent one, serial L-09: its own is away to Raft station" in words
    assert reverse("away", args=["harbour", raft.pk]) in show().content.decode()


def test_an_office_reads_the_list_and_is_offered_nothing_it_may_not_do(sign_in):
    page = sign_in("office").get(reverse("safety", args=["harbour"])).content.decode()
    assert "Record date" not in page
    assert "Which dates are asked for" not in page


def test_one_boats_sheet_says_whose_when_through_when_and_who_printed_it(cast, show):
    answer = show(boat=cast.boat["twice shy"].pk)
    words = said(answer)
    assert "Dates of Twice Shy on Thu 28 May 2026: one running out" in words
    assert "Harbour, judged through 6 Jun, when charter T2 ends" in words
    assert "Printed 28 May 2026, 16:00 by Engineer" in words
    assert "Signature" in words
    assert "Sandpiper" not in words
    assert not re.search(r"\bsafe\b", words, re.IGNORECASE)


def test_a_boat_without_charter_is_judged_for_the_day_alone(cast, show):
    cast.charter["B1"].cancelled_at = NOW
    cast.charter["B1"].save()
    assert "judged for 28 May alone: no charter is booked" in said(show())


def test_a_whole_date_is_recorded_and_the_list_says_what_it_moved(cast, engineer, form):
    answer = tap(engineer, form(), "Record", as_written="15 JUN 2027")
    assert answer.status_code == 302
    assert f"#date-{cast.part[RAFT[0]].pk}-expiry" in answer["Location"]
    page = engineer.get(answer["Location"])
    assert "Life raft of Twice Shy, expiry: good through Tue 15 Jun 2027." in said(page)
    assert "One due day moved: Raft, from Tue 2 Jun to Tue 15 Jun 2027." in said(page)
    assert f'id="date-{cast.part[RAFT[0]].pk}-expiry"' in page.content.decode()
    assert cast.due(*RAFT).due_on == date(2027, 6, 15)
    back = tap(engineer, page, "Undo")
    assert "Undone. Life raft of Twice Shy, expiry: it says again: good through Tue 2 Jun 2026" in said(
        engineer.get(back["Location"])
    )
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    assert due_list_holds()


def test_what_was_recorded_of_a_thing_that_is_away_is_told_at_the_top(cast, engineer, form):
    send_away(cast.part[RAFT[0]], whom="Raft station", day=date(2026, 5, 26), at=NOW)
    assert "It is away to Raft station: what you record here is printed on itself" in said(form())
    answer = tap(engineer, form(), "Record", what="another", other="test", as_written="15 JUN 2027")
    assert "test: good through Tue 15 Jun 2027" in said(engineer.get(answer["Location"]))


@pytest.mark.parametrize(
    ("written", "buttons"),
    [
        ("06/2027", ["Good through Wed 30 Jun 2027"]),
        (
            "03/04/2027",
            ["Good through Sat 3 Apr 2027, day first", "Good through Thu 4 Mar 2027, month first"],
        ),
        ("1999-05-01", ["Good through Sat 1 May 1999, long ago"]),
    ],
)
def test_what_is_not_clear_is_asked_about_and_nothing_is_recorded_yet(cast, engineer, form, written, buttons):
    asked = tap(engineer, form(), "Record", as_written=written)
    assert asked.status_code == 422
    sheet = sheet_with(asked, "Cannot be read")
    assert [text for name, _, text in sheet.buttons if name == "good"] == buttons
    assert sheet.values["as_written"] == [written]
    assert standing(cast).as_written == "2026-06-02"
    tap(engineer, asked, buttons[-1])
    assert standing(cast).as_written == written
    assert buttons[-1].startswith(f"Good through {standing(cast).good_through:%a} ")
    assert due_list_holds()


@pytest.mark.parametrize("good", ["2027-06-29", "soon", "2026-06-02", "<script>"])
def test_an_answer_nobody_was_offered_is_asked_again(cast, engineer, form, good):
    sent = {"what": "expiry", "as_written": "06/2027", "good": good}
    answer = engineer.post(reverse("printed-date", args=["harbour", cast.part[RAFT[0]].pk]), sent)
    assert answer.status_code == 422
    assert "Good through Wed 30 Jun 2027" in said(answer)
    assert standing(cast).as_written == "2026-06-02"


def test_another_text_with_an_answer_to_the_first_is_asked_about_itself(cast, engineer, form):
    asked = tap(engineer, form(), "Record", as_written="06/2027")
    again = tap(engineer, asked, "Good through", as_written="07/2027")
    assert "Good through Sat 31 Jul 2027" in said(again)
    assert standing(cast).as_written == "2026-06-02"


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"as_written": "31/02/2027"}, "As written: found “31/02/2027”, wanted the date as printed"),
        ({"as_written": ""}, "As written: found nothing, wanted the date as printed"),
        ({"as_written": "x" * 61}, "at most 60"),
        ({"what": "another", "as_written": "2027-06-15"}, "Name of another date: wanted"),
        ({"what": "nonsense", "as_written": "2027-06-15"}, "Select a valid choice"),
        ({"what": "another", "other": "y" * 41, "as_written": "2027-06-15"}, "at most 40"),
        ({"as_written": "2027-06-15\x00"}, "Null characters"),
    ],
)
def test_what_cannot_be_is_said_beside_what_was_typed(cast, engineer, form, typed, wanted):
    answer = tap(engineer, form(), "Record", **typed)
    assert answer.status_code == 422
    assert wanted in said(answer)
    assert standing(cast).as_written == "2026-06-02"
    assert PrintedDate.objects.count() == 2


def test_the_photo_is_not_lost_while_the_date_is_asked_about(cast, engineer, form, photo):
    asked = tap(engineer, form(), "Record", as_written="06/2027", photo=photo())
    paper = Paper.objects.get()
    assert sheet_with(asked, "Cannot be read").values["paper"] == [paper.sha256]
    wrong = tap(engineer, asked, "Record", as_written="31/02/2027")
    tap(engineer, tap(engineer, wrong, "Record", as_written="06/2027"), "Good through")
    assert standing(cast).paper == paper
    page = engineer.get(reverse("safety", args=["harbour"])).content.decode()
    assert reverse("paper", args=["harbour", paper.sha256]) in page


def test_a_file_that_is_no_paper_is_refused_by_name_and_the_text_stays(cast, engineer, form):
    bad = SimpleUploadedFile("label.jpg", b"MZ no picture", content_type="image/jpeg")
    answer = tap(engineer, form(), "Record", as_written="2027-06-15", photo=bad)
    assert answer.status_code == 422
    assert "Photo or certificate (label.jpg): wanted" in said(answer)
    assert sheet_with(answer, "Cannot be read").values["as_written"] == ["2027-06-15"]
    assert standing(cast).as_written == "2026-06-02"


@pytest.mark.parametrize("sha", ["elsewhere's", "0" * 64, "x", "\x00"])
def test_a_paper_of_another_base_or_of_nobody_is_refused(cast, engineer, form, photo, sha):
    if sha == "elsewhere's":
        elsewhere = cast.person["stranger"].memberships.get().base
        sha = keep_paper(photo().read(), base=elsewhere, at=NOW).sha256
    sent = {"what": "expiry", "as_written": "2027-06-15", "paper": sha}
    answer = engineer.post(reverse("printed-date", args=["harbour", cast.part[RAFT[0]].pk]), sent)
    assert answer.status_code == 422
    assert "Photo or certificate: wanted one handed in at this base" in said(answer)
    assert standing(cast).as_written == "2026-06-02"


@pytest.mark.parametrize(
    ("button", "state", "says"),
    [("Cannot be read", "illegible", "cannot be read"), ("None printed", "none", "None is printed on it")],
)
def test_what_cannot_be_read_and_what_is_not_printed_are_told_apart(
    cast, engineer, form, button, state, says
):
    where = tap(engineer, form(), button)["Location"]
    assert standing(cast).state == state
    assert says in said(engineer.get(where))
    assert cast.due(*RAFT).missing == "expiry"
    assert due_list_holds()


def test_another_date_gets_its_name_and_is_asked_for_from_then_on(cast, engineer, form):
    tap(engineer, form(), "Record", what="another", other="pressure test", as_written="2027-06-15")
    assert standing(cast).what == "pressure test"
    assert "pressure test" in said(form(what="pressure test")).lower()


def test_sent_twice_it_is_kept_once(cast, engineer, form):
    page, before = form(), PrintedDate.objects.count()
    for _ in range(2):
        assert tap(engineer, page, "Record", as_written="2027-06-15").status_code == 302
    assert PrintedDate.objects.count() == before + 1


def test_a_date_of_an_earlier_day_is_not_undone(cast, engineer, form):
    row = record_date(cast.part[RAFT[0]], as_written="2027-06-15", at=NOW - timedelta(days=1)).row
    assert "Undo" not in said(form())
    where = reverse("printed-date", args=["harbour", cast.part[RAFT[0]].pk])
    assert engineer.post(where, {"undo": row.pk}).status_code == 409
    for other in ("0", "x", "9" * 30, standing(cast, "sandpiper life-raft").pk):
        assert engineer.post(where, {"undo": other}).status_code == 404


def test_the_offer_to_undo_is_for_a_date_of_this_base_recorded_today(cast, sign_in, engineer):
    row = record_date(cast.part[RAFT[0]], as_written="2027-06-15", at=NOW).row
    where = reverse("safety", args=["harbour"])
    assert "Undo" in said(engineer.get(where, {"undo": row.pk}))
    assert "Undo" not in said(sign_in("office").get(where, {"undo": row.pk}))
    far = record_date(cast.part["far cry engine-oil"], as_written="2027-06-15", at=NOW).row
    for other in ("x", "0", "9" * 30, standing(cast, "sandpiper life-raft").pk, far.pk):
        assert "Undo" not in said(engineer.get(where, {"undo": other}))


def test_the_manager_says_which_dates_a_kind_carries(cast, sign_in):
    manager, raft = sign_in("manager"), cast.part[RAFT[0]].kind
    page = manager.get(reverse("safety-kinds", args=["harbour"]))
    assert sheet_with(page, "Save").values[f"kind-{raft.pk}"] == ["expiry"]
    answer = tap(manager, page, "Save", **{f"kind-{raft.pk}": "expiry\r\nrelease unit\r\n\r\ntest"})
    assert "One kind changed." in said(manager.get(answer["Location"]))
    assert list(raft.dates.values_list("what", flat=True)) == ["expiry", "release unit", "test"]
    assert "2 of 9 dates are recorded" in said(manager.get(reverse("safety", args=["harbour"])))
    answer = tap(manager, page, "Save", **{f"kind-{raft.pk}": "test"})
    assert list(raft.dates.values_list("what", flat=True)) == ["test"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("", "wanted at least one"), ("z" * 41, "wanted names of 40"), ("q" * 2001, "at most 2000")],
)
def test_dates_a_kind_cannot_carry_are_said_and_nothing_is_half_kept(cast, sign_in, text, wanted):
    manager = sign_in("manager")
    raft, oil = cast.part[RAFT[0]].kind, cast.part["sandpiper engine-oil"].kind
    page = manager.get(reverse("safety-kinds", args=["harbour"]))
    answer = tap(manager, page, "Save", **{f"kind-{oil.pk}": "best before", f"kind-{raft.pk}": text})
    assert answer.status_code == 422
    assert wanted in said(answer)
    assert sheet_with(answer, "Save").values[f"kind-{oil.pk}"] == ["best before"]
    assert not KindDate.objects.exists()


def test_a_kind_that_is_only_at_another_base_is_not_changed_from_here(cast, sign_in):
    other = Kind.objects.create(code="far-thing", name="Far thing", system="safety")
    sign_in("manager").post(reverse("safety-kinds", args=["harbour"]), {f"kind-{other.pk}": "test"})
    assert not other.dates.exists()
