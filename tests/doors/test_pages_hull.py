"""The hull's register on its pages: touches for life, looks by name and method, damage by place."""

from xml.etree import ElementTree

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.looking import record_look, record_touch
from maintenance.defects.models import Defect
from maintenance.defects.rules import HULL_PLACES
from maintenance.pages.hull_plan import AT, HEIGHT, WIDTH, marks
from tests.cast import NOW, TODAY
from tests.doors.sheets import MAIN, said, tap
from tests.papers import encoded, painted


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


@pytest.fixture
def at(boat):
    return lambda name="hull": reverse(name, args=["harbour", boat.pk])


def photo() -> SimpleUploadedFile:
    return SimpleUploadedFile("p.jpg", encoded(painted()))


def test_a_touch_stands_in_the_register_with_what_is_known_and_holds_her(cast, engineer, boat, at):
    tap(engineer, engineer.get(at("hull-touch")), MAIN, touched="keel", bottom="sand", words="Off the spit")
    row = Touch.objects.get()
    assert (row.touched, row.bottom, row.force, row.day) == ("keel", "sand", "not known", TODAY)
    assert (row.charter, row.reporter) == (cast.charter["S2"], "Engineer"), "she is out on S2"
    text = said(engineer.get(at()))
    assert "Thu 28 May: no look ashore yet: she is held." in text
    assert "Touched with: keel; on: sand; how hard: not known; charter S2; told by Engineer" in text


def test_a_diver_does_not_settle_what_the_keel_took_and_a_look_ashore_does(engineer, boat, at):
    touch = record_touch(boat, day=TODAY, touched="keel", reporter="A. Skipper", at=NOW)
    for method, still in (("diver", True), ("ashore", False)):
        page = engineer.get(at("hull-look"), {"touch": touch.pk})
        answer = tap(engineer, page, MAIN, method=method, seen="Paint off", sound="yes", who="R. Diver")
        text = said(engineer.get(answer["Location"]))
        assert ("the touch still holds her, wanted a look ashore." in text) == still
        assert ("not enough, wanted a look ashore: she is held" in text) == still
    assert "enough, looked at ashore; nothing found that keeps her in" in text
    assert [look.method for look in HullLook.objects.order_by("pk")] == ["diver", "ashore"]
    assert Touch.objects.standing().count() == 1, "the register keeps it for life"


def test_a_diver_who_finds_the_keel_took_it_has_not_looked_enough(engineer, boat, at):
    touch = record_touch(boat, day=TODAY, at=NOW)
    page = engineer.get(at("hull-look"), {"touch": touch.pk})
    found = {"touched": "keel", "seen": "Paint off the foot of the keel", "sound": "yes", "who": "R. Diver"}
    answer = tap(engineer, page, MAIN, method="diver", **found)
    assert "not enough, wanted a look ashore: she is held" in said(engineer.get(answer["Location"]))
    page = engineer.get(at("hull-look"), {"touch": touch.pk})
    answer = tap(engineer, page, MAIN, method="ashore", **found)
    assert "enough, looked at ashore" in said(engineer.get(answer["Location"]))


def test_a_look_that_is_not_sound_keeps_her_in_and_leads_to_what_was_found(engineer, boat, at):
    touch = record_touch(boat, day=TODAY, touched="hull", at=NOW)
    page = engineer.get(at("hull-look"), {"touch": touch.pk})
    answer = tap(engineer, page, MAIN, method="ashore", seen="Crack", sound="no", papers=photo())
    assert answer["Location"] == at("hull-damage") + "?found=1"
    assert HullLook.objects.get().papers.count() == 1
    assert "looked at ashore, not sound: she is held" in said(engineer.get(at()))
    shown = said(engineer.get(reverse("boat", args=["harbour", boat.pk])))
    assert "Looked at on Thu 28 May 2026, not sound: Crack" in shown
    assert "nobody has looked" not in shown
    answer = tap(engineer, engineer.get(answer["Location"]), MAIN, hull="keel", words="Crack at the keel")
    assert answer["Location"] == reverse("grade", args=["harbour", Defect.objects.get().pk])


def test_a_look_of_no_touch_that_is_not_sound_is_the_reason_in_its_own_words(engineer, boat, at):
    page = engineer.get(at("hull-look"))
    tap(engineer, page, MAIN, method="diver", seen="Skeg loose", sound="no")
    shown = said(engineer.get(reverse("boat", args=["harbour", boat.pk])))
    assert "Looked at on Thu 28 May 2026, not sound: Skeg loose" in shown


def test_the_divers_routine_look_is_an_entry_for_no_touch(engineer, boat, at):
    page = engineer.get(at("hull-look"))
    tap(engineer, page, MAIN, method="diver", who="R. Diver", seen="Anodes at half", sound="yes")
    assert HullLook.objects.get().touch is None
    assert "Other looks Thu 28 May, diver, R. Diver : Anodes at half" in said(engineer.get(at()))


@pytest.mark.parametrize(
    ("name", "typed", "wanted"),
    [
        ("hull-touch", {"day": "2026-05-29"}, "Day: wanted a day up to today"),
        ("hull-touch", {"day": ""}, "Day: wanted a day"),
        ("hull-touch", {"touched": "pride"}, "Touched with: wanted one of these"),
        ("hull-touch", {"reporter": ""}, "Who tells it: wanted a name"),
        ("hull-look", {"method": ""}, "How: wanted how it was looked at"),
        ("hull-look", {"method": "diver", "seen": ""}, "What was seen: wanted what was seen"),
        ("hull-look", {"method": "diver", "seen": "x"}, "Did anything found keep her in?: wanted yes or no"),
        ("hull-look", {"touch": "999"}, "Of which touch: wanted one in the list, or none"),
        ("hull-damage", {"hull": ""}, "Where on her: wanted a place on her hull"),
        ("hull-damage", {"hull": "bow", "words": ""}, "What is there: wanted what is to be seen"),
        ("hull-damage", {"hull": "bow", "papers": SimpleUploadedFile("a.txt", b"x")}, "Photo 1 (a.txt): "),
    ],
)
def test_what_is_not_clear_is_refused_by_name_and_nothing_is_kept(engineer, boat, at, name, typed, wanted):
    page = tap(engineer, engineer.get(at(name)), MAIN, **typed)
    assert page.status_code == 422
    assert wanted in said(page)
    assert not any(model.objects.exists() for model in (Touch, HullLook, Defect))


def test_a_look_before_the_touch_is_refused_at_its_day(engineer, boat, at):
    touch = record_touch(boat, day=TODAY, at=NOW)
    sent = {
        "touch": touch.pk,
        "day": "2026-05-20",
        "method": "diver",
        "who": "R",
        "seen": "x",
        "sound": "yes",
    }
    assert "Day: wanted" in said(engineer.post(at("hull-look"), sent))


def test_another_boats_touch_is_not_looked_at_here(cast, engineer, at):
    touch = record_touch(cast.boat["twice shy"], day=TODAY, at=NOW)
    page = tap(engineer, engineer.get(at("hull-look")), MAIN, touch=str(touch.pk), method="diver")
    assert "Of which touch: wanted one in the list" in said(page)


@pytest.mark.parametrize("name", ["hull-touch", "hull-look", "hull-damage"])
def test_a_form_sent_twice_is_kept_once(engineer, boat, at, name):
    page = engineer.get(at(name))
    typed = {"method": "diver", "seen": "x", "sound": "yes", "hull": "bow", "words": "Scratch"}
    for _ in range(2):
        assert tap(engineer, page, MAIN, **typed).status_code == 302
    assert [model.objects.count() for model in (Touch, HullLook, Defect)].count(1) == 1


def test_damage_is_known_by_place_with_dated_photos_until_it_is_put_right(engineer, boat, at):
    tap(engineer, engineer.get(at("hull-damage")), MAIN, hull="port bow", words="Chip, 4 cm", papers=photo())
    defect = Defect.objects.get()
    assert (defect.hull, defect.papers.count()) == ("port bow", 1)
    text = said(engineer.get(at()))
    assert "1. Port bow Not graded yet. Reported 28 May 2026: Chip, 4 cm Open handed in Thu 28 May" in text
    end_defect(defect, step="put right", who="A. Fitter", at=NOW)
    text = said(engineer.get(at()))
    assert "None is known." in text
    assert "Port bow: put right Thu 28 May, A. Fitter . Chip, 4 cm" in text


def test_the_plan_marks_each_place_by_its_number_and_says_so_in_words(engineer, boat, at):
    for hull, grade in (("stern", "cosmetic"), ("keel", "limits use"), ("keel", "watch")):
        row = report_defect(boat, words=f"On the {hull}", hull=hull, at=NOW)
        grade_defect(row, grade=grade, who="A. Fitter", at=NOW)
    html = engineer.get(at()).content.decode()
    svg = ElementTree.fromstring(html[html.index('<svg class="plan"') : html.index("</svg>") + 6])
    assert svg.get("aria-label").endswith("marked: 1. stern: 1, 2. keel: 2")
    links = [a.get("href") for a in svg.iter("a")]
    assert links == ["#place-stern", "#place-keel"]
    assert all(f'id="{link[1:]}"' in html for link in links)
    assert [c.get("class") for c in svg.iter("circle") if "mark" in c.get("class")] == ["mark", "mark bad"]


def test_every_place_of_a_hull_is_drawn_inside_the_plan_and_apart_from_the_others():
    assert set(AT) == set(HULL_PLACES)
    drawn = marks(dict.fromkeys(HULL_PLACES, 1))
    for one in drawn:
        assert 14 <= one.x <= WIDTH - 14
        assert 14 <= one.y <= HEIGHT - 14
        for other in drawn:
            assert one == other or (one.x - other.x) ** 2 + (one.y - other.y) ** 2 >= 28**2, (one, other)


def test_the_caution_stands_where_a_touch_and_a_look_are_recorded(engineer, boat, at):
    for name in ("hull", "hull-touch", "hull-look"):
        text = said(engineer.get(at(name)))
        assert "How a touch felt says nothing about the keel." in text
        assert "does not see what holds the keel" in text
        assert "tell the certifying authority where there is one (MGN 280, 27.7)" in text
        assert "safe" not in text.lower().replace("safety", "")


def test_looks_and_touches_of_another_boat_stand_elsewhere(cast, engineer, at):
    other = cast.boat["twice shy"]
    record_look(other, day=TODAY, who="R", method="diver", seen="Clean as a whistle", sound=True, at=NOW)
    report_defect(other, words="Her own scratch", hull="bow", at=NOW)
    text = said(engineer.get(at()))
    assert "Clean as a whistle" not in text
    assert "Her own scratch" not in text
