"""The pages of the store: one part, one move, what is looked for, what goes back, labels."""

import re
from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from maintenance.ordering.actions import Wanted, make_order, send_order
from maintenance.spares.actions import count_stock, use_spare
from maintenance.spares.astray import miss
from maintenance.spares.facts import hands
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import CoreBack, Instead, Lot, Price, Spare, SpareFit, StockMove
from maintenance.spares.moving import move_stock
from tests import factories as make
from tests.cast import NOW, TODAY, back

D = Decimal


def text_of(answer) -> str:
    """What a page says, without its marks."""
    said = " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())
    return re.sub(r" (?=[.,:;])", "", said)


@pytest.fixture
def gas(cast):
    return cast.spare["gas bottle"]


@pytest.fixture
def at(gas):
    """The address of a page of the gas bottle's, or of the base's."""
    return lambda name: reverse(
        name, args=["harbour", *([gas.pk] if name in ("spare", "spare-move") else [])]
    )


@pytest.fixture
def page(engineer, at):
    def page(name: str = "spare", **asked) -> str:
        answer = engineer.get(at(name), asked)
        assert answer.status_code == 200
        return text_of(answer)

    return page


@pytest.fixture
def send(engineer, at):
    """Sends a form and follows it: the code it was answered with, and what the page then says."""

    def send(name: str, browser=engineer, **data) -> tuple[int, str]:
        answer = browser.post(at(name), data)
        shown = browser.get(answer["Location"]) if answer.status_code == 302 else answer
        return answer.status_code, text_of(shown)

    return send


def lot_of(gas, quantity: str, place, **marked) -> Lot:
    lot = keep_lot(gas, Marked(**marked))
    move_stock(gas, why="received", quantity=D(quantity), day=TODAY, at=NOW, to_place=place, lot=lot)
    return lot


class TestOnePart:
    def test_it_says_its_numbers_what_stands_for_it_and_what_it_fits(self, cast, gas, page):
        newer = make.SpareFactory(code="newer", name="Gas bottle, light", part_number="0077")
        older = make.SpareFactory(code="older", name="Gas bottle, old", superseded_by=gas)
        Spare.objects.filter(pk=gas.pk).update(
            superseded_by=newer, part_number="06E2", maker="Halmar", pack_of=4, supplier="Gas depot"
        )
        Instead.objects.create(spare=gas, other=cast.spare["oil"], words="in need")
        kind = cast.interval["swap"].kind
        SpareFit.objects.create(spare=gas, kind=kind, model="G3", serial_from="100", source="maker’s list")
        html = page()
        assert "06E2, Halmar." in html
        assert "The newer number is Gas bottle, light 0077: order that one." in html
        assert f"{older.name} its older number" in html
        assert "oil instead: in need" in html
        assert "Gas bottle G3, serial numbers from 100 maker’s list" in html
        assert "packs of 4, which can be opened" in html
        assert "Supplier Gas depot" in html

    def test_it_says_where_it_lies_lot_by_lot_and_what_ran_out(self, cast, gas, page):
        lot_of(gas, "2", cast.place["store"], mark="A7", expires_on=TODAY - timedelta(1))
        lot_of(gas, "1", cast.place["store"], serial="0041", expires_on=TODAY)
        html = page()
        assert "6 ashore, 0 aboard. 2 of them ran out." in html
        assert "Lot A7, good to Wed 27 May 2026: 2 ran out" in html
        assert "No. 0041, good to Thu 28 May 2026: 1 Without a mark: 3 6 should be 3" in html

    def test_on_hand_is_told_for_any_day_and_a_day_that_cannot_be_is_refused_by_name(
        self, cast, gas, engineer, at, page
    ):
        lot_of(gas, "2", cast.place["store"], mark="A7")
        assert "At the end of Wed 27 May: 3 ashore" in page(on="2026-05-27")
        assert "At the end of Thu 30 Apr: None on the book." in page(on="2026-04-30")
        for typed, wanted in (
            ("2026-05-29", "On hand on: wanted a day up to today, Thu 28 May 2026"),
            ("yesterday", "On hand on: wanted a day such as 2026-05-30"),
        ):
            answer = engineer.get(at("spare"), {"on": typed})
            assert answer.status_code == 422
            assert wanted in text_of(answer)

    def test_it_says_how_many_to_hold_and_what_comes(self, cast, gas, page):
        order = make_order(cast.base, "Gas depot", [Wanted(gas, D(4))], at=NOW)
        send_order(order, sent_on=TODAY, expected_on=TODAY + timedelta(3), today=TODAY)
        html = page()
        assert "Hold 3 ashore; 3 lie there. The base's own number, until a season of use is recorded." in html
        assert "On its way: 4, Gas depot, expected Sun 31 May." in html

    @pytest.mark.parametrize(
        ("good", "over", "told"),
        [
            ("0", "0", "Hold 3 ashore; none lies there."),
            ("1", "0", "Hold 3 ashore; 1 lies there."),
            ("4", "2", "Hold 3 ashore; 4 lie there, 2 more ran out."),
        ],
    )
    def test_how_many_to_hold_is_told_apart_from_how_many_lie_there(self, cast, gas, page, good, over, told):
        store = cast.place["store"]
        count_stock(gas, store, counted=D(good), day=TODAY, at=NOW)
        if over != "0":
            lot_of(gas, over, store, mark="A7", expires_on=TODAY - timedelta(1))
        assert told in page()

    def test_the_price_is_for_who_may_see_prices(self, gas, page, sign_in, at):
        Price.objects.create(spare=gas, from_on=TODAY, each=D("13.75"), currency="EUR")
        assert "Price 13.75 EUR each" in page()
        office = text_of(sign_in("office").get(at("spare")))
        assert "13.75" not in office
        assert "Price" not in office

    def test_each_move_says_who_when_why_and_with_what(self, cast, page, engineer):
        filed = back(cast, "sandpiper", main="1200")
        answer = engineer.get(reverse("spare", args=["harbour", cast.spare["oil"].pk]))
        assert "−1 Thu 28 May: used from Store. With the return of Sandpiper. Written down" in text_of(answer)
        assert reverse("filed", args=["harbour", filed.pk]) in answer.content.decode()
        use_spare(cast.spare["gas bottle"], cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        assert page().index("−1 Thu 28 May: used from Store") < page().index(
            "+3 Fri 1 May: received at Store"
        )

    def test_older_moves_are_a_page_further(self, gas, cast, engineer, at, page):
        for _ in range(30):
            use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        html = engineer.get(at("spare")).content.decode()
        assert html.count("used from Store.") == 25
        [before] = re.findall(r"\?before=(\d+)", html)
        further = page(before=before)
        assert "Moves, further back" in further
        assert further.count("used from Store.") == 5
        assert "Older moves" not in further
        assert "further back" not in page(before="x" * 30)

    def test_a_part_of_another_base_is_shown_without_what_lies_there(self, cast, gas, page):
        make.ReceivedFactory(spare=gas, to_place=cast.place["far store"], quantity=D(400))
        html = page()
        assert "Far store" not in html
        assert "400" not in html

    def test_what_is_not_known_says_so(self, engineer):
        bare = make.SpareFactory(code="bare")
        html = text_of(engineer.get(reverse("spare", args=["harbour", bare.pk])))
        assert "None on the book." in html
        assert "Nothing was ever written down of it here." in html
        assert "Nothing is said of what it fits." in html

    def test_it_takes_as_many_queries_for_many_moves(
        self, cast, gas, engineer, at, django_assert_max_num_queries
    ):
        for _ in range(40):
            use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        with django_assert_max_num_queries(60):
            assert engineer.get(at("spare")).status_code == 200


class TestTakenBack:
    def test_a_move_of_today_is_taken_back(self, cast, gas, send):
        move = use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        code, html = send("spare", move=move.pk)
        assert (code, "Taken back: 1, used." in html) == (302, True)
        assert hands()[gas.pk, cast.place["store"].pk] == 3
        assert "put right or taken back already: 1, used." in send("spare", move=move.pk)[1]

    def test_one_that_a_count_knew_of_is_not_and_the_page_says_why(self, cast, gas, send):
        move = use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        count_stock(gas, cast.place["store"], counted=D(1), day=TODAY, at=NOW)
        html = send("spare", move=move.pk)[1]
        assert "Not taken back: gas bottle was counted at Store after it, and the count knew of it." in html
        assert hands()[gas.pk, cast.place["store"].pk] == 1

    def test_one_of_another_day_or_of_a_job_or_a_return_is_not(self, cast, gas, engineer, send):
        old = gas.moves.get()
        assert "Not taken back: it is of another day" in send("spare", move=old.pk)[1]
        back(cast, "sandpiper", main="1200")
        oil = cast.spare["oil"]
        used = oil.moves.get(why="used")
        address = reverse("spare", args=["harbour", oil.pk])
        shown = engineer.get(engineer.post(address, {"move": used.pk})["Location"])
        assert "Not taken back: it was kept with the return of Sandpiper, put it right there" in text_of(
            shown
        )
        assert hands()[oil.pk, cast.place["store"].pk] == 19

    def test_one_at_another_base_is_not(self, cast, gas, send):
        theirs = make.ReceivedFactory(spare=gas, to_place=cast.place["far store"], day=TODAY, recorded_at=NOW)
        send("spare", move=theirs.pk)
        assert not hasattr(StockMove.objects.get(pk=theirs.pk), "replaced_by")

    def test_the_office_takes_nothing_back(self, cast, gas, sign_in, at):
        move = use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        assert sign_in("office").post(at("spare"), {"move": move.pk}).status_code == 403


class TestMove:
    def sent(self, cast, **more) -> dict[str, str]:
        said = {"why": "used", "quantity": "1", "day": "2026-05-28", "from_place": cast.place["store"].pk}
        return {key: str(value) for key, value in (said | more).items()}

    @pytest.mark.parametrize("typed", ["1,5", "1.5", " 1,5 "])
    def test_a_quantity_has_a_comma_or_a_point(self, cast, gas, send, typed):
        code, html = send("spare-move", **self.sent(cast, quantity=typed))
        assert (code, "gas bottle: 1.5 used from Store." in html) == (302, True)
        assert hands()[gas.pk, cast.place["store"].pk] == D("1.5")

    @pytest.mark.parametrize(
        ("why", "ends", "left"),
        [
            ("received", {"from_place": "", "to_place": "store"}, {"store": 4}),
            ("used", {}, {"store": 2}),
            ("moved", {"to_place": "sandpiper locker"}, {"store": 2, "sandpiper locker": 1}),
            ("scrapped", {}, {"store": 2}),
            ("sent back", {}, {"store": 2}),
        ],
    )
    def test_each_sort_moves_what_it_says(self, cast, gas, send, why, ends, left):
        named = {name: cast.place[place].pk if place else "" for name, place in ends.items()}
        assert send("spare-move", **self.sent(cast, why=why, **named))[0] == 302
        held = {place: n for (spare, place), n in hands().items() if spare == gas.pk}
        assert held == {cast.place[place].pk: n for place, n in left.items()}

    def test_what_belongs_to_another_sort_is_not_looked_at(self, cast, gas, send):
        other = {"to_place": cast.place["sandpiper locker"].pk, "mark": "A7", "serial": "9", "expires": "x"}
        assert send("spare-move", **self.sent(cast, **other))[0] == 302
        assert gas.moves.get(why="used").to_place is None

    def test_what_came_is_marked_and_a_month_is_good_to_its_last_day(self, cast, gas, send):
        came = {"why": "received", "to_place": cast.place["store"].pk, "mark": "A7", "expires": "2027-06"}
        assert (
            "received at Store, lot A7, good to Wed 30 Jun 2027."
            in send("spare-move", **self.sent(cast, **came))[1]
        )
        assert [str(day) for day in gas.lots.values_list("expires_on", flat=True)] == ["2027-06-30"]

    def test_a_date_that_could_mean_two_days_is_asked_about_with_what_was_typed(self, cast, gas, send):
        came = {"why": "received", "to_place": cast.place["store"].pk, "mark": "A7", "expires": "03/04/2027"}
        code, html = send("spare-move", **self.sent(cast, **came))
        assert code == 422
        assert "Good until: wanted which day “03/04/2027” means, chosen below" in html
        assert "Good through Sat 3 Apr 2027, day first" in html
        assert not gas.lots.exists()
        assert send("spare-move", **self.sent(cast, **came, good="2027-03-04"))[0] == 302
        assert str(gas.lots.get().expires_on) == "2027-03-04"

    @pytest.mark.parametrize(
        ("wrong", "wanted"),
        [
            ({"quantity": "0"}, "How many: wanted how many, above 0"),
            ({"quantity": "-2"}, "How many: wanted how many, above 0"),
            ({"quantity": ""}, "How many: wanted how many, above 0"),
            ({"quantity": "two"}, "How many: found “two”, wanted how many, above 0, such as 2 or 4.5"),
            ({"why": "lost"}, "What was done: wanted one of received, used, moved, scrapped, sent back"),
            ({"why": ""}, "What was done: wanted one of received"),
            ({"day": "2026-05-29"}, "Day: wanted a day up to today, Thu 28 May 2026"),
            ({"day": "31/05/2026"}, "Day: wanted a day such as 2026-05-30"),
            ({"from_place": ""}, "From: wanted a place, for it was used"),
            ({"from_place": "99999"}, "From: wanted one of this base’s places in the list"),
            ({"why": "moved"}, "To: wanted a place, for it was moved"),
            ({"why": "received", "expires": "soon"}, "Good until: found “soon”, wanted the date as printed"),
            ({"lot": "77"}, "Which lot: wanted one in the list"),
            ({"words": "x" * 301}, "Words: wanted up to 300 letters"),
        ],
    )
    def test_what_cannot_be_is_asked_for_again_by_name_and_nothing_is_kept(
        self, cast, gas, send, wrong, wanted
    ):
        code, html = send("spare-move", **self.sent(cast, **wrong))
        assert (code, wanted in html) == (422, True)
        assert gas.moves.count() == 1

    def test_another_bases_place_is_none_of_ours(self, cast, gas, send):
        far = cast.place["far store"].pk
        assert send("spare-move", **self.sent(cast, from_place=far))[0] == 422
        assert send("spare-move", **self.sent(cast, why="moved", to_place=far))[0] == 422
        assert gas.moves.count() == 1

    def test_where_several_lots_lie_one_is_chosen(self, cast, gas, send):
        lot = lot_of(gas, "2", cast.place["store"], mark="A7")
        code, html = send("spare-move", **self.sent(cast))
        assert code == 422
        assert "Which lot: wanted which one, for 1 lot lies at Store, and some without a mark" in html
        assert send("spare-move", **self.sent(cast, lot=lot.pk))[0] == 302
        assert send("spare-move", **self.sent(cast, lot="none"))[0] == 302
        assert [move.lot for move in gas.moves.filter(why="used")] == [lot, None]

    def test_a_double_tap_is_one_move(self, cast, gas, send):
        twice = [send("spare-move", **self.sent(cast, client_id="tap-1"))[0] for _ in range(2)]
        assert twice == [302, 302]
        assert gas.moves.filter(why="used").count() == 1

    def test_more_than_the_book_has_is_kept_and_is_to_be_counted(self, cast, gas, send, engineer):
        assert send("spare-move", **self.sent(cast, quantity="4"))[0] == 302
        assert hands()[gas.pk, cast.place["store"].pk] == -1
        assert "the book cannot be right: count it" in text_of(
            engineer.get(reverse("spare", args=["harbour", gas.pk]))
        )

    def test_an_exchange_part_says_that_its_fellow_goes_back(self, cast, gas, send):
        Spare.objects.filter(pk=gas.pk).update(exchange=True)
        assert "The worn-out one is to go back." in send("spare-move", **self.sent(cast))[1]


class TestAstray:
    @pytest.fixture
    def said(self, cast, gas):
        day = TODAY - timedelta(4)
        return miss(
            gas,
            cast.place["store"],
            quantity=D(2),
            day=day,
            at=NOW,
            by=cast.person["engineer"],
            words="Not in the cage",
        )

    def test_it_says_since_when_from_where_and_who_said_so(self, said, page):
        html = page("astray")
        assert (
            "Should be at Store; looked for since Sun 24 May, 4 days. Engineer said so. Not in the cage"
            in html
        )
        assert "Not where it should be (1)" in page("spares")
        assert "Looked for: 2" in page("spares")
        assert "2 since Sun 24 May, not at Store, said Engineer." in page("spare")

    def found(self, said, **more) -> dict[str, str]:
        typed = {"quantity": "1", "place": said.from_place_id, "words": ""} | more
        return {"what": "found", "said": str(said.pk)} | {
            f"found-{said.pk}-{k}": str(v) for k, v in typed.items()
        }

    def test_found_it_lies_there_and_the_rest_is_looked_for_still(self, cast, gas, said, send):
        locker = cast.place["sandpiper locker"]
        html = send("astray", **self.found(said, place=locker.pk))[1]
        assert "gas bottle: 1 found again, at Sandpiper locker." in html
        assert "1. Should be at Store" in html
        assert hands()[gas.pk, locker.pk] == 1

    @pytest.mark.parametrize(
        ("wrong", "wanted"),
        [
            ({"quantity": "3"}, "How many: wanted up to 2, as many as are looked for"),
            ({"quantity": "0"}, "How many: wanted how many, above 0"),
            ({"place": ""}, "Where it lies: wanted one of this base’s places in the list"),
        ],
    )
    def test_what_cannot_be_is_asked_for_again(self, said, send, wrong, wanted):
        code, html = send("astray", **self.found(said, **wrong))
        assert (code, wanted in html) == (422, True)

    def test_given_up_it_is_gone_and_somebody_says_why(self, gas, said, send):
        sent = {"what": "given up", "said": str(said.pk), f"up-{said.pk}-quantity": "2"}
        code, html = send("astray", **sent)
        assert (code, "Why nobody looks for it any more: wanted a few words" in html) == (422, True)
        html = send("astray", **sent, **{f"up-{said.pk}-words": "Stolen"})[1]
        assert "gas bottle: 2 given up, no longer looked for." in html
        assert "Nothing is looked for." in html
        assert gas.moves.get(why="scrapped").words == "Stolen"

    def test_a_double_tap_is_one_find_and_what_is_gone_is_told(self, gas, said, send):
        both = [send("astray", **self.found(said, quantity="2"), client_id="tap-1")[1] for _ in range(2)]
        assert "That is written down already." in both[1]
        assert "somebody found it or gave it up" in send("astray", **self.found(said), client_id="tap-2")[1]
        assert gas.moves.filter(from_place__sort="astray").count() == 1


class TestCores:
    @pytest.fixture
    def used(self, cast, gas):
        Spare.objects.filter(pk=gas.pk).update(exchange=True, supplier="Gas depot")
        gas.refresh_from_db()
        return use_spare(gas, cast.place["store"], quantity=D(2), day=TODAY - timedelta(7), at=NOW)

    def back(self, gas, **more) -> dict[str, str]:
        typed = {"quantity": "1", "day": "2026-05-28", "words": "slip 9"} | more
        return {"spare": str(gas.pk)} | {f"core-{gas.pk}-{key}": value for key, value in typed.items()}

    def test_it_says_what_is_to_go_back_to_whom_since_when(self, used, page):
        assert "2 to Gas depot, since Thu 21 May, 7 days." in page("cores")

    def test_what_went_back_is_told_and_taken_back_the_same_day(self, gas, used, send):
        html = send("cores", **self.back(gas))[1]
        assert "gas bottle: 1 went back on Thu 28 May." in html
        assert "1 to Gas depot" in html
        assert "1 gas bottle, Thu 28 May, written down by Engineer. slip 9 Take back" in html
        html = send("cores", undo=CoreBack.objects.get().pk)[1]
        assert "2 to Gas depot" in html

    def test_on_another_day_it_is_not_taken_back(self, gas, used, send, today_is):
        send("cores", **self.back(gas))
        today_is.shift(timedelta(days=1))
        assert (
            "not taken back, it was written down on another day"
            in send("cores", undo=CoreBack.objects.get().pk)[1]
        )
        assert CoreBack.objects.standing().count() == 1

    @pytest.mark.parametrize(
        ("wrong", "wanted"),
        [
            ({"quantity": "3"}, "How many: wanted above 0 and up to 2, as many as are owed"),
            ({"quantity": "0"}, "How many: wanted above 0 and up to 2"),
            ({"day": "2026-05-29"}, "Day: wanted a day up to today, Thu 28 May 2026"),
        ],
    )
    def test_what_cannot_be_is_asked_for_again(self, gas, used, send, wrong, wanted):
        code, html = send("cores", **self.back(gas, **wrong))
        assert (code, wanted in html) == (422, True)
        assert not CoreBack.objects.exists()

    def test_a_double_tap_sends_one_back(self, gas, used, send):
        for _ in range(2):
            assert send("cores", **self.back(gas), client_id="tap-1")[0] == 302
        assert CoreBack.objects.count() == 1

    def test_with_nothing_to_go_back_it_says_so(self, page):
        assert "Nothing is to go back." in page("cores")


class TestLabels:
    def asked(self, engineer, at, **data):
        return engineer.get(at("labels"), data)

    def test_ticked_parts_and_places_are_a_sheet_with_a_code_each(self, cast, gas, engineer, at):
        Spare.objects.filter(pk=gas.pk).update(part_number="06E2")
        answer = self.asked(engineer, at, spare=gas.pk, place=cast.place["store"].pk)
        html = answer.content.decode()
        assert "2 labels" in text_of(answer)
        assert html.count('class="qr"') == 2
        assert "06E2" in html
        assert "<style" not in html

    def test_the_code_is_the_whole_address_of_the_page(self, gas, engineer, at, monkeypatch):
        coded = []
        monkeypatch.setattr("maintenance.pages.labels.qr_code", lambda address: coded.append(address) or "")
        self.asked(engineer, at, spare=gas.pk)
        assert coded == [f"http://testserver/at/harbour/spares/{gas.pk}/"]

    def test_they_are_found_by_words_and_ticks_stay_while_others_are_found(self, cast, gas, engineer, at):
        html = text_of(self.asked(engineer, at, find="sandpiper"))
        assert "Sandpiper locker" in html
        assert "gas bottle" not in html
        answer = self.asked(engineer, at, find="sandpiper", spare=gas.pk, look="yes")
        assert f'name="spare" value="{gas.pk}" checked' in answer.content.decode()
        assert "1 label" in text_of(self.asked(engineer, at, find="sandpiper", all="yes"))

    def test_too_many_at_once_and_none_at_all_are_said(self, engineer, at):
        for n in range(201):
            make.SpareFactory(code=f"bolt-{n}")
        answer = self.asked(engineer, at, find="bolt", all="yes")
        assert answer.status_code == 422
        assert "Labels: wanted up to 200 at a time, found 201." in text_of(answer)
        answer = self.asked(engineer, at, print="yes")
        assert (answer.status_code, "wanted a tick beside at least one" in text_of(answer)) == (422, True)

    def test_another_bases_place_and_what_is_not_there_have_no_label(self, cast, engineer, at):
        answer = self.asked(engineer, at, place=cast.place["far store"].pk, spare="10000000")
        assert "Far store" not in text_of(answer)
        assert 'class="qr"' not in answer.content.decode()

    def test_too_long_a_word_is_refused_by_name(self, engineer, at):
        answer = self.asked(engineer, at, find="x" * 81)
        assert (answer.status_code, "Find: wanted up to 80 letters" in text_of(answer)) == (422, True)
