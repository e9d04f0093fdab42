"""Defects over the API: reported in own words, put right or answered, corrected without losing a word."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.charters.models import CharterBoat
from fleet.papers.models import Paper, PaperAt
from maintenance.defects.models import Defect, DefectStep
from tests import factories as make
from tests.cast import NOW, due_list_holds
from tests.doors.api import wrongs

WORDS = "The bilge pump hums,\nbut nothing comes out — прошу"


def report(**more):
    return {"boat": "sandpiper", "words": WORDS, **more}


@pytest.fixture
def paper(cast):
    """A paper handed in at a base, by its digest."""

    def paper(sha256: str, base=None) -> str:
        row = Paper.objects.create(sha256=sha256 * 64, mime="image/jpeg", size=1)
        PaperAt.objects.create(paper=row, base=base or cast.base, at=NOW)
        return row.sha256

    return paper


def stands(program, row) -> tuple[str, bool]:
    told = program().get(f"defects/{row['id']}/").json()
    return told["stands"], told["answered"]


def test_a_report_is_kept_word_by_word_with_where_and_its_photos(program, cast, paper):
    photos = [paper("b"), paper("a")]
    locker = cast.place["sandpiper locker"].pk
    body = report(
        charter="S2",
        component="sandpiper-impeller",
        place=locker,
        risk_now=True,
        works="sometimes",
        reporter="A skipper",
        papers=photos,
    )
    answer = program("office").post("defects/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert {name: told[name] for name in body} == body
    assert (told["stands"], told["answered"], told["asked"]) == ("open", False, "own words")
    kept = Defect.objects.get(pk=told["id"])
    assert (kept.words, kept.place_id, kept.found_at, kept.recorded_by) == (
        WORDS,
        locker,
        NOW,
        cast.person["office"],
    )
    assert [link.paper.sha256 for link in kept.papers.order_by("pk")] == photos
    assert due_list_holds()


def test_little_is_enough_and_what_was_not_said_is_not_made_up(program):
    told = program().post("defects/", report()).json()
    assert (told["risk_now"], told["works"], told["component"], told["papers"]) == (None, "", None, [])


def test_a_report_sent_twice_is_one(program):
    first, again = (program().post("defects/", report(client_id="a")) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert Defect.objects.count() == 1
    theirs = {"boat": "far-cry", "words": "Other", "client_id": "a"}
    assert program("stranger").post("defects/", theirs).status_code == 409


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"words": "  "}, "words"),
        ({"words": "a\x00b"}, "words"),
        ({"words": "\ud83d"}, "words"),
        ({"words": "x" * 20_001}, "words"),
        ({"words": None}, "words"),
        ({"charter": "T1"}, "charter"),
        ({"charter": "F1"}, "charter"),
        ({"component": "twice-shy-life-raft"}, "component"),
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"place": "store"}, "place"),
        ({"place": "twice shy locker"}, "place"),
        ({"place": "far store"}, "place"),
        ({"place": -1}, "place"),
        ({"works": "well"}, "works"),
        ({"risk_now": "a bit"}, "risk_now"),
        ({"papers": ["c" * 64]}, "papers[0]"),
        ({"papers": ["x" * 65]}, "papers[0]"),
        ({"papers": "a"}, "papers"),
        ({"papers": ["a"] * 51}, "papers"),
        ({"reporter": "x" * 121}, "reporter"),
        ({"grade": "unsafe"}, "grade"),
    ],
)
def test_a_report_that_cannot_be_is_refused_by_field(program, cast, changed, field):
    if changed.get("place") in cast.place:
        changed = {"place": cast.place[changed["place"]].pk}
    answer = program().post("defects/", report(**changed))
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert Defect.objects.count() == 0


def test_every_fault_of_a_report_is_named_at_once_also_another_bases_paper(program, cast, paper):
    theirs = paper("f", base=cast.boat["far cry"].terms.get().base)
    body = report(papers=[paper("a"), theirs], charter="T1", component="twice-shy-life-raft")
    assert set(wrongs(program().post("defects/", body))) == {"papers[1]", "charter", "component"}


def test_a_report_is_put_right_and_opened_again(program, cast):
    row = program().post("defects/", report()).json()
    body = {"defect": row["id"], "step": "put right", "why": "New valve", "client_id": "s"}
    answer = program().post("defect-steps/", body)
    assert answer.status_code == 201, answer.content
    step = answer.json()
    assert (step["boat"], step["who"], step["why"]) == ("sandpiper", "Engineer", "New valve")
    assert stands(program, row) == ("put right", False)
    again = program().post("defect-steps/", body)
    assert (again.status_code, again.json()) == (200, step)
    for other in ({"step": "no fault found"}, {"why": "", "who": "Ana"}, {}):
        refused = program().post("defect-steps/", body | {"client_id": None} | other)
        assert refused.status_code == 409
        assert "put right" in refused.json()["detail"]
    opened = program().post(f"defect-steps/{step['id']}/corrections/", {"void": True})
    assert (opened.status_code, opened.json()["void"]) == (201, True)
    assert stands(program, row) == ("open", False)
    assert DefectStep.objects.count() == 2


def test_an_answer_leaves_the_report_open(program):
    row = program().post("defects/", report()).json()
    body = {"defect": row["id"], "step": "answered", "why": "Ana comes on Thursday", "who": "Bryn"}
    step = program("office").post("defect-steps/", body).json()
    assert step["who"] == "Bryn"
    assert stands(program, row) == ("open", True)
    program("office").post(f"defect-steps/{step['id']}/corrections/", {"void": True})
    assert stands(program, row) == ("open", False)
    assert list(wrongs(program().post("defect-steps/", body | {"why": " "}))) == ["why"]


def test_the_office_answers_and_ends_nothing(program):
    row = program().post("defects/", report()).json()
    body = {"defect": row["id"], "step": "put right"}
    assert program("office").post("defect-steps/", body).status_code == 403
    step = program().post("defect-steps/", body).json()
    assert (
        program("office").post(f"defect-steps/{step['id']}/corrections/", {"void": True}).status_code == 403
    )
    assert stands(program, row) == ("put right", False)


def test_another_base_sees_and_ends_nothing(program):
    row = program().post("defects/", report()).json()
    step = (
        program().post("defect-steps/", {"defect": row["id"], "step": "put right", "client_id": "s"}).json()
    )
    stranger = program("stranger")
    for where in (f"defects/{row['id']}/", f"defect-steps/{step['id']}/"):
        assert stranger.get(where).status_code == 404
        assert stranger.post(f"{where}corrections/", {"void": True}).status_code == 404
    ended = stranger.post("defect-steps/", {"defect": row["id"], "step": "put right"})
    assert list(wrongs(ended)) == ["defect"]
    theirs = stranger.post("defects/", {"boat": "far-cry", "words": "Leak"}).json()
    body = {"defect": theirs["id"], "step": "put right", "client_id": "s"}
    assert stranger.post("defect-steps/", body).status_code == 409
    assert stranger.rows("defects/") == [theirs]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"defect": 10**17}, "defect"),
        ({"defect": 10**30}, "defect"),
        ({"defect": "one"}, "defect"),
        ({"step": "deferred"}, "step"),
        ({"who": "x" * 121}, "who"),
        ({"why": "x" * 501}, "why"),
        ({"why": "\x00"}, "why"),
    ],
)
def test_a_step_that_cannot_be_is_refused_by_field(program, changed, field):
    row = program().post("defects/", report()).json()
    answer = program().post("defect-steps/", {"defect": row["id"], "step": "put right"} | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert DefectStep.objects.count() == 0


def test_a_report_is_put_right_in_all_but_its_words(program, cast, paper, today_is):
    row = program().post("defects/", report(component="sandpiper-impeller", papers=[paper("a")])).json()
    program().post("defect-steps/", {"defect": row["id"], "step": "answered", "why": "We look"})
    today_is.move_to(NOW + timedelta(minutes=5))
    where = f"defects/{row['id']}/corrections/"
    assert list(wrongs(program().post(where, {"words": "Else"}))) == ["words"]
    assert list(wrongs(program().post(where, {"component": "twice-shy-life-raft"}))) == ["component"]
    assert list(wrongs(program().post(where, {"place": cast.place["store"].pk}))) == ["place"]
    assert list(wrongs(program().post(where, {}))) == ["component"]
    locker = cast.place["sandpiper locker"].pk
    body = {"component": None, "place": locker, "risk_now": True, "works": "no", "client_id": "c"}
    told = program().post(where, body).json()
    assert {name: told[name] for name in body} == body
    assert (told["words"], told["replaces"], told["papers"], told["answered"]) == (
        WORDS,
        row["id"],
        row["papers"],
        True,
    )
    assert [r["id"] for r in program().rows("defects/", open="true")] == [told["id"]]
    assert [r["id"] for r in program().rows("defects/", known_at="2026-05-28T13:00:01Z")] == [row["id"]]
    assert program().post(where, body).json() == told
    assert program().post(where, {"works": "yes"}).status_code == 409
    late = program().post("defect-steps/", {"defect": row["id"], "step": "put right"})
    assert late.status_code == 409
    assert str(told["id"]) in late.json()["detail"]
    step = program().post("defect-steps/", {"defect": told["id"], "step": "put right"})
    assert step.status_code == 201
    assert stands(program, told) == ("put right", True)


def test_a_report_that_ended_is_neither_corrected_nor_taken_back(program):
    row = program().post("defects/", report()).json()
    step = program().post("defect-steps/", {"defect": row["id"], "step": "put right"}).json()
    for body in ({"works": "yes"}, {"void": True}):
        answer = program().post(f"defects/{row['id']}/corrections/", body)
        assert answer.status_code == 409
        assert str(step["id"]) in answer.json()["detail"]
    program().post(f"defect-steps/{step['id']}/corrections/", {"void": True})
    assert program().post(f"defects/{row['id']}/corrections/", {"void": True}).json()["void"] is True
    assert program().rows("defects/") == []


def test_reports_are_found_by_what_they_are_of_and_how_they_stand(program, cast):
    at = {"component": "sandpiper-impeller", "charter": "S2", "risk_now": True}
    first = program().post("defects/", report(**at)).json()
    second = program().post("defects/", report(boat="twice-shy")).json()
    program().post("defect-steps/", {"defect": second["id"], "step": "no fault found"})
    second = program().get(f"defects/{second['id']}/").json()
    for query, found in (
        ({"boat": "twice-shy"}, [second]),
        ({"base": "harbour"}, [first, second]),
        ({"charter": "S2"}, [first]),
        ({"component": "sandpiper-impeller"}, [first]),
        ({"kind": "impeller"}, [first]),
        ({"system": "engine"}, [first]),
        ({"open": "true"}, [first]),
        ({"open": "false"}, [second]),
        ({"risk_now": "true"}, [first]),
        ({"day": "2026-05-28"}, [first, second]),
        ({"day": "2026-05-27"}, []),
        ({"from_day": "2026-05-29"}, []),
        ({"from_day": "9999-12-31"}, []),
        ({"to_day": "2026-05-28"}, [first, second]),
        ({"to_day": "0001-01-01"}, []),
    ):
        assert program().rows("defects/", **query) == found, query
    steps = program().rows("defect-steps/", step="no fault found", boat="twice-shy", base="harbour")
    assert steps == program().rows("defect-steps/", defect=second["id"])
    assert len(steps) == 1
    assert program().get("defects/", day="9999-99-99").status_code == 400


def test_the_day_a_thing_was_found_is_the_bases_own(program, today_is):
    """Just after midnight at the base it is still the day before by UTC."""
    today_is.move_to(NOW.replace(hour=21, minute=30))
    row = program().post("defects/", report()).json()
    assert row["found_at"] == "2026-05-28T21:30:00Z"
    assert program().rows("defects/", day="2026-05-29") == [row]
    assert program().rows("defects/", day="2026-05-28") == []


def test_reports_are_told_in_as_many_queries_for_one_as_for_many(program, paper):
    def asked() -> int:
        with CaptureQueriesContext(connection) as said:
            assert program().get("defects/").status_code == 200
            assert program().get("defect-steps/").status_code == 200
        return len(said)

    photo = paper("a")
    rows = [program().post("defects/", report(papers=[photo])).json()]
    program().post("defect-steps/", {"defect": rows[0]["id"], "step": "answered", "why": "Yes"})
    one = asked()
    for _ in range(6):
        row = program().post("defects/", report(papers=[photo], boat="twice-shy")).json()
        program().post("defect-steps/", {"defect": row["id"], "step": "put right"})
    assert asked() == one


def test_a_charter_that_had_the_boat_before_may_be_named(program, cast):
    CharterBoat.objects.create(
        charter=cast.charter["T1"],
        boat=cast.boat["sandpiper"],
        from_on=NOW.date(),
        from_at=NOW,
        recorded_at=NOW,
    )
    assert program().post("defects/", report(charter="T1")).status_code == 201


def test_a_part_that_left_the_boat_is_not_hers(program, cast):
    part = make.ComponentFactory(code="old-raft", kind=cast.interval["raft"].kind)
    make.FittingFactory(component=part, boat=cast.boat["sandpiper"], removed_on=NOW.date())
    assert list(wrongs(program().post("defects/", report(component="old-raft")))) == ["component"]
