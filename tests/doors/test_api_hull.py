"""The hull's register over the API: touches stay for life, and a look by name lets her go."""

import pytest

from maintenance.defects.hull import HullLook, Touch
from tests.doors.api import wrongs

TOUCH = {"boat": "sandpiper", "day": "2026-05-27", "touched": "rudder", "force": "soft", "bottom": "mud"}
LOOK = {"boat": "sandpiper", "day": "2026-05-28", "method": "diver", "seen": "A scratch", "sound": True}


def holds(program) -> list[str]:
    line = program().rows("may-sail/", boat="sandpiper")[0]
    return [reason["code"] for reason in line["reasons"]]


def test_a_touch_holds_her_until_a_look_that_is_enough(program):
    touch = program("office").post("touches/", TOUCH | {"client_id": "t"}).json()
    assert (touch["settled"], touch["wants_ashore"], touch["reporter"]) == (False, False, "")
    assert program("office").post("touches/", TOUCH | {"client_id": "t"}).status_code == 200
    assert holds(program) == ["touched"]
    answer = program().post("hull-looks/", LOOK | {"touch": touch["id"], "client_id": "l"})
    assert answer.status_code == 201, answer.content
    assert (answer.json()["who"], answer.json()["papers"]) == ("Engineer", [])
    assert program().post("hull-looks/", LOOK | {"touch": touch["id"], "client_id": "l"}).status_code == 200
    assert holds(program) == []
    assert program().get(f"touches/{touch['id']}/").json()["settled"] is True
    assert (Touch.objects.count(), HullLook.objects.count()) == (1, 1)


def test_a_keel_that_touched_wants_her_ashore(program):
    touch = program().post("touches/", TOUCH | {"touched": "keel"}).json()
    program().post("hull-looks/", LOOK | {"touch": touch["id"]})
    assert touch["wants_ashore"] is True
    assert holds(program) == ["touched"]
    program().post("hull-looks/", LOOK | {"touch": touch["id"], "method": "ashore"})
    assert holds(program) == []
    assert len(program().rows("hull-looks/", touch=touch["id"])) == 2
    assert len(program().rows("hull-looks/", method="ashore", sound="true", base="harbour")) == 1


@pytest.mark.parametrize(
    ("word", "body", "field"),
    [
        ("touches", TOUCH | {"day": "2026-05-29"}, "day"),
        ("touches", TOUCH | {"boat": "far-cry"}, "boat"),
        ("touches", TOUCH | {"touched": "mast"}, "touched"),
        ("touches", TOUCH | {"defect": 999_999}, "defect"),
        ("touches", TOUCH | {"words": "x" * 501}, "words"),
        ("hull-looks", LOOK | {"day": "2026-05-29"}, "day"),
        ("hull-looks", LOOK | {"method": "by ear"}, "method"),
        ("hull-looks", LOOK | {"seen": " "}, "seen"),
        ("hull-looks", LOOK | {"who": " "}, "who"),
        ("hull-looks", LOOK | {"touch": 999_999}, "touch"),
        ("hull-looks", LOOK | {"papers": ["a" * 64]}, "papers[0]"),
        ("hull-looks", {name: LOOK[name] for name in LOOK if name != "sound"}, "sound"),
    ],
)
def test_what_cannot_be_of_a_hull_is_refused_by_field(program, cast, word, body, field):
    answer = program().post(f"{word}/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert (Touch.objects.count(), HullLook.objects.count()) == (0, 0)


def test_a_look_is_of_a_touch_of_the_same_boat_and_not_before_it(program):
    touch = program().post("touches/", TOUCH).json()
    other = LOOK | {"boat": "twice-shy", "touch": touch["id"]}
    assert list(wrongs(program().post("hull-looks/", other))) == ["touch"]
    early = LOOK | {"day": "2026-05-26", "touch": touch["id"]}
    assert list(wrongs(program().post("hull-looks/", early))) == ["day"]
    leak = program().post("defects/", {"boat": "twice-shy", "words": "Leaks"}).json()
    assert list(wrongs(program().post("touches/", TOUCH | {"defect": leak["id"]}))) == ["defect"]


def test_nothing_of_the_register_is_taken_back(program):
    touch = program().post("touches/", TOUCH).json()
    look = program().post("hull-looks/", LOOK).json()
    for where in (f"touches/{touch['id']}", f"hull-looks/{look['id']}"):
        assert program("manager").post(f"{where}/corrections/", {"void": True}).status_code == 404
