"""Orders over the API: written down, sent, promised, what came of them, closed; once for one client_id."""

from decimal import Decimal

import pytest

from maintenance.ordering.actions import Wanted, make_order
from maintenance.ordering.models import Order
from maintenance.spares.facts import hands
from maintenance.spares.models import Lot, StockMove
from tests import factories as make
from tests.cast import NOW
from tests.doors.api import wrongs

LINES = [{"spare": "oil", "quantity": 20, "each": "8.4375"}, {"spare": "gas bottle", "quantity": 2}]
SAID = {"base": "harbour", "supplier": "Quay Chandlery", "lines": LINES, "words": "By the van"}


@pytest.fixture
def store(cast) -> int:
    return cast.place["store"].pk


@pytest.fixture
def order(program) -> int:
    answer = program().post("orders/", SAID)
    assert answer.status_code == 201, answer.content
    return answer.json()["id"]


@pytest.fixture
def step(program, order):
    def step(step: str, who: str = "engineer", **said):
        return program(who).post("order-steps/", {"order": order, "step": step, **said})

    return step


def lies(cast, spare: str) -> Decimal:
    return hands().get((cast.spare[spare].pk, cast.place["store"].pk), Decimal(0))


def test_an_order_is_written_down_with_its_lines_and_waits_to_be_sent(program, order):
    told = program("engineer").get(f"orders/{order}/").json()
    assert {name: told[name] for name in ("base", "supplier", "words", "state", "late", "sent_on")} == {
        "base": "harbour",
        "supplier": "Quay Chandlery",
        "words": "By the van",
        "state": "to send",
        "late": 0,
        "sent_on": None,
    }
    assert told["made_by"] == "Engineer"
    oil, bottle = told["lines"]
    assert (oil["quantity"], oil["came"], oil["waits"], oil["each"], oil["currency"]) == (
        *(20, 0, 20, "8.4375"),
        "EUR",
    )
    assert (bottle["spare"], bottle["each"], bottle["currency"]) == ("gas bottle", None, None)


def test_an_order_sent_twice_is_one(program):
    bodies = [SAID | {"client_id": "a"}] * 2
    first, again = (program().post("orders/", body) for body in bodies)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    header = program().post("orders/", SAID, {"Idempotency-Key": "a"})
    assert header.json()["id"] == first.json()["id"]
    theirs = SAID | {"base": "elsewhere", "client_id": "a"}
    assert program("stranger").post("orders/", theirs).status_code == 409
    assert Order.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"base": "elsewhere"}, "base"),
        ({"supplier": " "}, "supplier"),
        ({"supplier": None}, "supplier"),
        ({"supplier": "x" * 121}, "supplier"),
        ({"lines": []}, "lines"),
        ({"lines": "oil"}, "lines"),
        ({"lines": [{"spare": "oil", "quantity": 1}] * 2}, "lines"),
        ({"lines": [{"spare": "oil", "quantity": 0}]}, "lines[0].quantity"),
        ({"lines": [{"spare": "gold", "quantity": 1}]}, "lines[0].spare"),
        ({"lines": [{"spare": "oil"}]}, "lines[0].quantity"),
        ({"lines": [{"spare": "oil", "quantity": 1, "each": "8,50"}]}, "lines[0].each"),
        ({"lines": [{"spare": "oil", "quantity": 1, "each": -1}]}, "lines[0].each"),
        ({"lines": [{"spare": "oil", "quantity": 1, "each": 1, "currency": "kr"}]}, "lines[0].currency"),
        ({"lines": [{"spare": "oil", "quantity": 1, "currency": "EUR"}]}, "lines[0].currency"),
        ({"number": "x" * 61}, "number"),
        ({"words": "x" * 501}, "words"),
        ({"state": "sent"}, "state"),
    ],
)
def test_an_order_that_cannot_be_is_refused_by_field_and_nothing_is_kept(program, changed, field):
    answer = program().post("orders/", SAID | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert not Order.objects.exists()


def test_an_order_is_changed_until_it_is_sent(program, order, step):
    where = f"orders/{order}/"
    lines = [{"spare": "oil", "quantity": 24, "each": "8", "currency": "SEK"}]
    assert program().patch(where, {"lines": lines}).status_code == 428
    changed = program().change(where, {"lines": lines}).json()
    assert [(one["spare"], one["quantity"], one["each"], one["currency"]) for one in changed["lines"]] == [
        ("oil", 24, "8.0000", "SEK")
    ]
    assert changed["words"] == "By the van", "what is not said stays"
    kept = program().change(where, {"words": "Ring before"}).json()
    assert (kept["words"], len(kept["lines"])) == ("Ring before", 1)
    twice = program().change(where, {"lines": lines * 2})
    assert (twice.status_code, list(wrongs(twice))) == (422, ["lines"])
    assert list(wrongs(program().change(where, {"lines": []}))) == ["lines"]
    assert list(wrongs(program().change(where, {"supplier": "Another"}))) == ["supplier"]
    step("sent")
    late = program().change(where, {"lines": LINES})
    assert (late.status_code, list(wrongs(late))) == (422, ["lines"])
    assert program().get(where).json()["lines"] == kept["lines"]


def test_an_order_is_sent_promised_comes_in_two_parts_and_is_received(program, cast, store, order, step):
    sent = step("sent", on="2026-05-20", expected_on="2026-05-26", number="QC-0042")
    assert sent.status_code == 201, sent.content
    told = sent.json()
    assert (told["state"], told["sent_on"], told["expected_on"], told["number"], told["late"]) == (
        *("sent", "2026-05-20", "2026-05-26", "QC-0042"),
        2,
    )
    assert step("promised", expected_on="2026-06-02").json()["late"] == 0
    came = [{"spare": "oil", "quantity": 12.5, "place": store}]
    half = step("came", came=came, on="2026-05-27").json()
    assert half["state"] == "part received"
    assert [(one["came"], one["waits"]) for one in half["lines"]] == [(12.5, 7.5), (0, 2)]
    assert lies(cast, "oil") == Decimal("32.5")
    rest = [
        {"spare": "oil", "quantity": 8, "place": store},
        {"spare": "gas bottle", "quantity": 1, "place": store, "mark": "0417", "expires_on": "2027-06-30"},
        {"spare": "gas bottle", "quantity": 1, "place": store},
    ]
    whole = step("came", came=rest).json()
    assert (whole["state"], [one["came"] for one in whole["lines"]]) == ("received", [20.5, 2])
    assert Lot.objects.get().mark == "0417"
    moves = program().rows("stock-moves/", why="received", from_day="2026-05-27")
    assert [(row["spare"], row["quantity"], row["recorded_by"]) for row in moves] == [
        ("oil", 12.5, "Engineer"),
        ("oil", 8, "Engineer"),
        ("gas bottle", 1, "Engineer"),
        ("gas bottle", 1, "Engineer"),
    ]


def test_what_came_sent_twice_is_kept_once(program, cast, store, step):
    step("sent")
    came = [
        {"spare": "oil", "quantity": 5, "place": store},
        {"spare": "gas bottle", "quantity": 1, "place": store},
    ]
    first, again = (step("came", came=came, client_id="a") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert (lies(cast, "oil"), lies(cast, "gas bottle")) == (25, 4)
    program().post(
        "counts/", {"spare": "oil", "place": store, "counted": 1, "day": "2026-05-28", "client_id": "c"}
    )
    assert step("came", came=came, client_id="c").status_code == 409


def test_a_move_put_right_changes_what_is_waited_for(program, store, order, step):
    step("sent")
    step("came", came=[{"spare": "oil", "quantity": 20, "place": store}])
    [move] = program().rows("stock-moves/", why="received", day="2026-05-28")
    program().post(f"stock-moves/{move['id']}/corrections/", {"quantity": 2})
    assert program().get(f"orders/{order}/").json()["lines"][0]["waits"] == 18
    program().post("orders/", SAID)
    assert len(program().rows("orders/", state="part received")) == 1


def test_an_order_is_closed_with_a_reason_and_opened_again(order, step):
    step("sent")
    closed = step("closed", why="Made no more").json()
    assert (closed["state"], closed["closed_on"], closed["closed_why"]) == (
        *("closed", "2026-05-28"),
        "Made no more",
    )
    again = step("promised", expected_on="2026-06-02")
    assert (again.status_code, list(wrongs(again))) == (422, ["order"])
    opened = step("opened again").json()
    assert (opened["state"], opened["closed_on"], opened["closed_why"]) == ("sent", None, "")
    assert step("promised", expected_on=None).json()["expected_on"] is None


CAME = {"step": "came", "came": [{"spare": "oil", "quantity": 1, "place": "store"}]}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"step": "lost"}, "step"),
        ({"step": None}, "step"),
        ({"order": 10**9}, "order"),
        ({"order": "QC"}, "order"),
        ({"step": "sent", "on": "2026-05-29"}, "on"),
        ({"step": "sent", "on": "0001-01-01"}, "on"),
        ({"step": "sent", "expected_on": "2026-05-27"}, "expected_on"),
        ({"step": "sent", "why": "Because"}, "why"),
        ({"step": "sent", "number": "x" * 61}, "number"),
        ({"step": "promised"}, "expected_on"),
        ({"step": "promised", "expected_on": "2026-06-02"}, "expected_on"),
        ({"step": "promised", "expected_on": None, "on": "2026-05-28"}, "on"),
        ({"step": "came"}, "came"),
        ({"step": "came", "came": []}, "came"),
        (CAME | {"on": "2026-05-29"}, "on"),
        (CAME | {"expected_on": "2026-06-02"}, "expected_on"),
        ({"step": "came", "came": [{"spare": "impeller kit", "quantity": 1, "place": "store"}]}, "came"),
        ({"step": "came", "came": [{"spare": "oil", "quantity": 0, "place": "store"}]}, "came[0].quantity"),
        ({"step": "came", "came": [{"spare": "oil", "quantity": 1, "place": "far"}]}, "came[0].place"),
        ({"step": "came", "came": [{"spare": "oil", "quantity": 1}]}, "came[0].place"),
        (
            {"step": "came", "came": [{"spare": "oil", "quantity": 2, "place": "store", "serial": "7"}]},
            "came",
        ),
        ({"step": "closed"}, "why"),
        ({"step": "closed", "why": " "}, "why"),
        ({"step": "closed", "why": "x" * 201}, "why"),
        ({"step": "opened again", "came": CAME["came"]}, "came"),
        ({"step": "sent", "by": "van"}, "by"),
    ],
)
def test_a_step_that_cannot_be_is_refused_by_field_and_changes_nothing(program, cast, order, said, field):
    places = {"store": cast.place["store"].pk, "far": cast.place["far store"].pk}
    if "came" in said:
        came = [one | {"place": places[one["place"]]} if "place" in one else one for one in said["came"]]
        said = said | {"came": came}
    before, moves = program().get(f"orders/{order}/").json(), StockMove.objects.count()
    answer = program().post("order-steps/", {"order": order, "step": "sent"} | said)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert program().get(f"orders/{order}/").json() == before
    assert StockMove.objects.count() == moves


def test_what_came_is_kept_whole_or_not_at_all(program, cast, store, step):
    came = [
        {"spare": "oil", "quantity": 5, "place": store},
        {"spare": "gas bottle", "quantity": 2, "place": store, "serial": "007"},
    ]
    assert list(wrongs(step("came", came=came))) == ["came"]
    assert lies(cast, "oil") == 20
    assert not Lot.objects.exists()


def test_orders_are_found_by_supplier_spare_state_lateness_and_day(program, cast, order, step):
    step("sent", on="2026-05-20", expected_on="2026-05-26")
    other = SAID | {"supplier": "Another", "lines": [{"spare": "impeller kit", "quantity": 1}]}
    second = program().post("orders/", other).json()["id"]
    for query, found in (
        ({}, [order, second]),
        ({"base": "harbour"}, [order, second]),
        ({"supplier": "Another"}, [second]),
        ({"spare": "oil"}, [order]),
        ({"state": "to send"}, [second]),
        ({"state": "closed"}, []),
        ({"open": "true"}, [order, second]),
        ({"open": "false"}, []),
        ({"late": "true"}, [order]),
        ({"late": "false"}, [second]),
        ({"from_day": "2026-05-20", "to_day": "2026-05-20"}, [order]),
    ):
        assert [row["id"] for row in program().rows("orders/", **query)] == found, query
        assert [row["id"] for row in program().rows("orders/", **query, page_size=1)] == found, query
    for query in ({"state": "lost"}, {"late": "very"}, {"base": "elsewhere"}, {"spares": "oil"}):
        assert list(wrongs(program().get("orders/", **query))) == list(query)


def test_the_office_reads_orders_without_their_prices_and_writes_none(program, cast, store, order, step):
    told = program("office").get(f"orders/{order}/").json()
    assert [(one["each"], one["currency"]) for one in told["lines"]] == [(None, None)] * 2
    assert told["lines"][0]["quantity"] == 20
    assert "8.4375" not in program("office").get("orders/").content.decode()
    assert program("office").post("orders/", SAID).status_code == 403
    assert program("office").patch(f"orders/{order}/", {"words": "x"}, {"If-Match": "*"}).status_code == 403
    assert step("sent", who="office").status_code == 403
    assert Order.objects.get().sent_on is None


def test_another_bases_orders_are_not_seen_changed_or_stepped(program, cast, order, step):
    there = cast.boat["far cry"].terms.get().base
    theirs = make_order(there, "Far Chandlery", [Wanted(cast.spare["oil"], Decimal(1))], at=NOW)
    assert program().get(f"orders/{theirs.pk}/").status_code == 404
    assert program().patch(f"orders/{theirs.pk}/", {"words": "x"}, {"If-Match": "*"}).status_code == 404
    sent = program().post("order-steps/", {"order": theirs.pk, "step": "sent"})
    assert (sent.status_code, list(wrongs(sent))) == (400, ["order"])
    assert [row["id"] for row in program().rows("orders/")] == [order]
    assert program("stranger").get(f"orders/{order}/").status_code == 404
    assert Order.objects.get(pk=theirs.pk).sent_on is None


def test_what_came_is_put_only_where_one_may_count(program, cast, order, step):
    """An engineer here who is in the office there."""
    there = cast.boat["far cry"].terms.get().base
    make.MembershipFactory(person=cast.person["engineer"], base=there, role="office")
    far = cast.place["far store"].pk
    assert step("came", came=[{"spare": "oil", "quantity": 1, "place": far}]).status_code == 403
    assert program().post("orders/", SAID | {"base": "elsewhere"}).status_code == 403
