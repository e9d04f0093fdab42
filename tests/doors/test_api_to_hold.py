"""/api/to-hold/: what the page of spares tells, for a program that orders."""

from decimal import Decimal
from urllib.parse import parse_qsl, urlsplit

import pytest

from maintenance.spares.actions import use_spare
from maintenance.spares.models import Spare
from tests.cast import NOW, TODAY

OIL = {
    "base": "harbour",
    "spare": "oil",
    "part_number": "",
    "unit": "l",
    "supplier": "",
    "lead_days": None,
    "days": 21,
    "plain": None,
    "lead_why": "lead time not known: 14 days taken",
    "to_order_why": "nothing is missing",
    "price": None,
    "currency": None,
}
NUMBERS = {
    "ashore": 20,
    "run_out": 0,
    "aboard": 0,
    "astray": 0,
    "on_its_way": 0,
    "to_hold": 9,
    "kits_lack": 0,
    "short": 0,
    "to_order": 0,
}


@pytest.fixture
def told(program):
    def told(**asked) -> list[dict]:
        answer = program().get("to-hold/", **asked)
        assert answer.status_code == 200, answer.content
        return answer.json()["results"]

    return told


def test_each_spare_says_how_many_to_hold_and_why(cast, told):
    [line] = told(spare="oil")
    assert line.pop("name") == cast.spare["oil"].name
    assert line.pop("why").startswith("the due list takes 9 in the next 21 days")
    numbers = {name: Decimal(line.pop(name)) for name in NUMBERS}
    assert numbers == NUMBERS
    assert line == OIL


def test_only_what_falls_short_or_only_what_does_not(cast, told):
    use_spare(cast.spare["oil"], cast.place["store"], quantity=Decimal(21), day=TODAY, at=NOW)
    assert [line["spare"] for line in told(short="true")] == ["oil"]
    assert "oil" not in [line["spare"] for line in told(short="false")]
    assert len(told()) == 3


def test_of_one_supplier(told):
    Spare.objects.filter(code="oil").update(supplier="Chandlery Morgado")
    assert [line["spare"] for line in told(supplier="Chandlery Morgado")] == ["oil"]


def test_page_by_page_each_comes_once(program):
    found, asked = [], {"page_size": "2"}
    while asked:
        page = program().get("to-hold/", **asked).json()
        found += [line["spare"] for line in page["results"]]
        asked = dict(parse_qsl(urlsplit(page["next"] or "").query))
    assert sorted(found) == ["gas bottle", "impeller kit", "oil"]


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"short": "perhaps"}, "short"),
        ({"hold": "1"}, "hold"),
        ({"cursor": "xx"}, "cursor"),
        ({"base": "elsewhere"}, "base"),
    ],
)
def test_what_cannot_be_asked_is_named(program, asked, field):
    answer = program().get("to-hold/", **asked)
    assert answer.status_code == 400
    assert field in answer.content.decode()


def test_nothing_of_another_base(program):
    assert program("stranger").get("to-hold/").json()["results"] == []
