"""One place counted on a phone, and the week's notice of what is to be counted."""

import re
from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from maintenance.spares.actions import set_class_allowance, use_spare
from maintenance.spares.astray import astray_of, miss
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Lot, StockMove
from maintenance.spares.moving import move_stock
from tests import factories as make
from tests.cast import NOW, TODAY, back

D = Decimal


def text_of(answer) -> str:
    said = " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())
    return re.sub(r" (?=[.,:;])", "", said)


@pytest.fixture
def gas(cast):
    return cast.spare["gas bottle"]


@pytest.fixture
def address(cast):
    return lambda place="store": reverse("shelf", args=["harbour", cast.place[place].pk])


@pytest.fixture
def page(engineer, address):
    def page(place: str = "store") -> str:
        answer = engineer.get(address(place))
        assert answer.status_code == 200
        return text_of(answer)

    return page


@pytest.fixture
def seen(engineer, address):
    """The form as somebody opens it: what the book said in its hidden fields."""

    def seen(place: str = "store") -> dict[str, str]:
        html = engineer.get(address(place)).content.decode()
        return dict(re.findall(r'name="(book-[\d-]+|client_id)" value="([^"]*)"', html))

    return seen


@pytest.fixture
def count(engineer, address, seen):
    """Sends what was counted, from the form as it was opened."""

    def count(place: str = "store", opened: dict[str, str] | None = None, browser=engineer, **lines):
        sent = (opened or seen(place)) | lines
        answer = browser.post(address(place), sent)
        shown = browser.get(answer["Location"]) if answer.status_code == 302 else answer
        return answer.status_code, text_of(shown)

    return count


def n(spare, lot: Lot | None = None, part: str = "n") -> str:
    return f"{part}-{spare.pk}-{lot.pk if lot else 0}"


def lot_of(cast, quantity: str, **marked) -> Lot:
    gas, store = cast.spare["gas bottle"], cast.place["store"]
    lot = keep_lot(gas, Marked(**marked))
    move_stock(gas, why="received", quantity=D(quantity), day=TODAY, at=NOW, to_place=store, lot=lot)
    return lot


def test_everything_that_lies_or_should_lie_there_has_a_line(cast, page):
    make.AllowanceFactory(spare=make.SpareFactory(code="fuse"), place=cast.place["store"], quantity=D(6))
    html = page()
    assert "the book has 20 l" in html
    assert "gas bottle" in html
    assert "the book has 3, 3 should be here" in html
    assert "the book has 0, 6 should be here" in html
    assert "Sandpiper" not in html


def test_what_a_class_of_boats_should_have_is_asked_for_in_her_kit_alone(cast, page):
    cast.boat["sandpiper"].design = cast.boat["blank page"].design = "Sorrel 36"
    for boat in ("sandpiper", "blank page"):
        cast.boat[boat].save()
    set_class_allowance(cast.spare["oil"], "Sorrel 36", quantity=D(2), from_on=TODAY)
    assert "the book has 0 l, 2 should be here" in page("blank page locker")
    assert "oil" not in page("store").replace("the book has 20 l", "").split("oil")[0]


def test_each_difference_is_said_and_what_stays_blank_is_not_counted(cast, gas, count):
    oil, kit = cast.spare["oil"], cast.spare["impeller kit"]
    code, html = count(**{n(oil): "18,5", n(gas): "4", n(kit): ""})
    assert code == 302
    assert "oil: the book had 20, 18.5 counted: 1.5 l fewer." in html
    assert "gas bottle: the book had 3, 4 counted: 1 more." in html
    assert "impeller kit: the book had" not in html
    assert hands()[oil.pk, cast.place["store"].pk] == D("18.5")
    assert StockMove.objects.filter(why="counted", recorded_by=cast.person["engineer"]).count() == 2


def test_lines_that_agree_are_told_by_their_number(cast, gas, count):
    html = count(**{n(gas): "3", n(cast.spare["oil"]): "20", n(gas, part="words"): "All there"})[1]
    assert "Two lines agree with the book." in html
    assert "Words beside a number that agrees with the book are not kept." in html
    assert not StockMove.objects.filter(why="counted").exists()


def test_why_it_differs_stays_with_the_move(cast, gas, count, engineer):
    count(**{n(gas): "2", n(gas, part="words"): "One rusted through"})
    shown = text_of(engineer.get(reverse("spare", args=["harbour", gas.pk])))
    assert "−1 Thu 28 May: counted at Store: 1 fewer than the book had. One rusted through" in shown


def test_lots_are_counted_apart(cast, gas, count, page):
    lot, other = lot_of(cast, "4", mark="A7"), lot_of(cast, "2", serial="", mark="B1")
    assert "Lot A7 the book has 4, 3 in all should be here" in page()
    assert "Without a mark the book has 3" in page()
    html = count(**{n(gas, lot): "3", n(gas): "5"})[1]
    assert "gas bottle, lot A7: the book had 4, 3 counted: 1 fewer." in html
    assert "gas bottle: the book had 3, 5 counted: 2 more." in html
    assert lots_at()[gas.pk, cast.place["store"].pk] == {lot.pk: 3, other.pk: 2}
    assert hands()[gas.pk, cast.place["store"].pk] == 10


def test_what_is_missing_may_be_looked_for_instead_of_written_off(cast, gas, count, engineer):
    html = count(**{n(gas): "1", n(gas, part="look"): "on", n(gas, part="words"): "Lent?"})[1]
    assert "gas bottle: the book had 3, 1 lie there: 2 are looked for from now on." in html
    assert "Lent?" in text_of(engineer.get(reverse("astray", args=["harbour"])))
    assert not StockMove.objects.filter(why__in=("counted", "scrapped")).exists()


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        ({}, "Counted: wanted a number beside at least one of them"),
        ({"n": "x"}, "gas bottle: found “x”, wanted how many, such as 2 or 4.5"),
        ({"n": "-1"}, "gas bottle: found “-1”, wanted how many"),
        ({"words": "Rust"}, "gas bottle: wanted how many lie there, for more is said of it"),
        ({"look": "on"}, "gas bottle: wanted how many lie there"),
        (
            {"n": "3", "look": "on"},
            "gas bottle: wanted fewer than the 3 in the book, or no tick to look for it",
        ),
        ({"n": "1", "words": "x" * 301}, "gas bottle, why it differs: wanted up to 300 letters"),
    ],
)
def test_what_cannot_be_is_asked_for_again_and_nothing_is_kept(
    cast, gas, engineer, address, seen, lines, wanted
):
    sent = {n(gas, part=part): value for part, value in lines.items()}
    oil = n(cast.spare["oil"])
    more = {oil: "7"} if lines else {}
    answer = engineer.post(address(), seen() | sent | more)
    assert (answer.status_code, wanted in text_of(answer)) == (422, True)
    assert not StockMove.objects.filter(day=TODAY).exists()
    if lines:
        assert re.search(rf'name="{oil}" value="7"', answer.content.decode())


@pytest.mark.parametrize(
    ("lie", "told"), [("3", "1 more, as was looked for."), ("5", "3 more, 1 of what was looked for.")]
)
def test_what_is_counted_elsewhere_and_was_looked_for_is_found(cast, gas, count, lie, told):
    """Counted as more out of nowhere it would be in the book twice."""
    shelf = make.PlaceFactory(base=cast.base, parent=cast.place["store"], sort="shelf")
    cast.place["another shelf"] = shelf
    make.ReceivedFactory(spare=gas, to_place=shelf, quantity=D(2))
    miss(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
    before = sum(hands().values())
    assert told in count(place="another shelf", **{n(gas): lie})[1]
    assert hands()[gas.pk, shelf.pk] == D(lie)
    assert hands().get((gas.pk, astray_of(cast.base).pk), D(0)) == 0
    assert sum(hands().values()) == before + D(lie) - 3


def test_sent_twice_it_is_one_count_and_says_the_same(gas, count, seen):
    opened = seen()
    told = [count(opened=opened, **{n(gas): "2"}) for _ in range(2)]
    assert all("gas bottle: the book had 3, 2 counted: 1 fewer." in html for _, html in told)
    assert StockMove.objects.filter(why="counted").count() == 1


def test_of_two_people_the_second_is_told_what_the_book_says_now(cast, gas, count, seen, sign_in):
    first, second = seen(), seen()
    count(opened=first, **{n(gas): "2"})
    code, html = count(opened=second, browser=sign_in("manager"), **{n(gas): "1", n(cast.spare["oil"]): "20"})
    assert code == 422
    assert (
        "gas bottle: the book says 2 now, and said 3 when you began: counted by Engineer 28 May 2026, 16:00"
        in html
    )
    assert hands()[gas.pk, cast.place["store"].pk] == 2


def test_after_another_look_the_second_count_is_taken(gas, cast, seen, engineer, address):
    stale = seen() | {n(gas): "1"}
    use_spare(gas, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
    html = engineer.post(address(), stale).content.decode()
    again = dict(re.findall(r'name="(book-[\d-]+|client_id)" value="([^"]*)"', html))
    assert again[n(gas, part="book")] == "2"
    assert engineer.post(address(), again | {n(gas): "1"}).status_code == 302
    assert hands()[gas.pk, cast.place["store"].pk] == 1


def test_what_somebody_took_away_meanwhile_is_still_on_the_form(cast, gas, seen, count):
    opened = seen()
    use_spare(gas, cast.place["store"], quantity=D(3), day=TODAY, at=NOW)
    cast.place["store"].allowances.all().delete()
    code, html = count(opened=opened, **{n(gas): "3"})
    assert (code, "gas bottle: the book says 0 now, and said 3" in html) == (422, True)


class TestFoundThere:
    """A part that the book does not have there."""

    def test_it_is_found_by_words_with_what_was_typed_kept(self, cast, gas, engineer, address, seen):
        fuse = make.SpareFactory(code="fuse", name="Fuse 10 A", part_number="0099")
        typed = seen() | {n(gas): "2", "what": "find", "find": "fuse 0099"}
        answer = engineer.post(address(), typed)
        assert answer.status_code == 200
        assert "Fuse 10 A 0099" in text_of(answer)
        assert f'name="{n(gas)}" value="2"' in answer.content.decode()
        answer = engineer.post(address(), typed | {"what": "", "add": str(fuse.pk)})
        html = answer.content.decode()
        assert f'name="{n(fuse)}"' in html
        assert f'name="{n(gas)}" value="2"' in html
        added = dict(re.findall(r'name="(book-[\d-]+|client_id)" value="([^"]*)"', html))
        shown = text_of(engineer.get(engineer.post(address(), added | {n(fuse): "6"})["Location"]))
        assert "Fuse 10 A: the book had 0, 6 counted: 6 more." in shown

    def test_enter_with_words_typed_finds_and_counts_nothing(self, gas, engineer, address, seen):
        answer = engineer.post(address(), seen() | {n(gas): "1", "what": "enter", "find": "oil"})
        assert answer.status_code == 200
        assert not StockMove.objects.filter(why="counted").exists()
        assert (
            engineer.post(address(), seen() | {n(gas): "1", "what": "enter", "find": ""}).status_code == 302
        )

    def test_a_lot_that_lies_elsewhere_can_be_found_here(self, cast, gas, engineer, address, seen):
        lot = lot_of(cast, "2", mark="A7")
        locker = "sandpiper locker"
        html = engineer.post(address(locker), seen(locker) | {"add": str(gas.pk)}).content.decode()
        opened = dict(re.findall(r'name="(book-[\d-]+|client_id)" value="([^"]*)"', html))
        engineer.post(address(locker), opened | {n(gas, lot): "1"})
        assert lots_at()[gas.pk, cast.place[locker].pk] == {lot.pk: 1}

    def test_no_part_found_says_so(self, count):
        assert "No part has all these words" in count(what="find", find="anchor")[1]

    @pytest.mark.parametrize("hostile", ["9" * 30, "x", "-1", "0"])
    def test_what_is_no_part_adds_no_line(self, hostile, engineer, address, seen):
        answer = engineer.post(address(), seen() | {"add": hostile})
        assert answer.status_code in (200, 422)
        made_up = {f"book-{hostile}-0": "1", f"n-{hostile}-0": "1", "book-1-999999": "1", "n-1-999999": "1"}
        assert engineer.post(address(), seen() | made_up).status_code == 422
        assert not StockMove.objects.filter(why="counted").exists()


def test_places_inside_it_and_what_it_is_inside_of_are_linked(cast, engineer, address, page):
    shelf = make.PlaceFactory(base=cast.base, code="A1", parent=cast.place["store"], sort="shelf")
    box = make.PlaceFactory(base=cast.base, code="box", name="Box 3", parent=shelf, sort="shelf")
    cast.place |= {"shelf": shelf, "box": box}
    assert reverse("shelf", args=["harbour", shelf.pk]) in engineer.get(address()).content.decode()
    assert "Store, A1, Box 3" in page("box")
    assert "Back to A1" in page("box")
    assert "Inside: Box 3" in page("shelf")


def test_the_office_reads_and_does_not_count(sign_in, address, gas):
    office = sign_in("office")
    html = office.get(address()).content.decode()
    assert "the book has 3" in html
    assert "Why it differs" not in html
    assert office.post(address(), {n(gas): "1"}).status_code == 403


def test_what_is_looked_for_has_a_page_of_its_own(cast, gas, count, engineer):
    count(**{n(gas): "2", n(gas, part="look"): "on"})
    where = StockMove.objects.get(why="moved").to_place
    answer = engineer.get(reverse("shelf", args=["harbour", where.pk]))
    assert answer["Location"] == reverse("astray", args=["harbour"])


class TestTheWeeksNotice:
    def take(self, cast, who: str, days: int = 0, **more) -> None:
        said = {"quantity": D(1), "day": TODAY - timedelta(days), "at": NOW, "by": cast.person[who]} | more
        move_stock(cast.spare["impeller kit"], why="used", from_place=cast.place["store"], **said)

    @pytest.fixture
    def week(self, engineer):
        return lambda: text_of(engineer.get(reverse("week", args=["harbour"])))

    def test_it_says_who_took_the_last_one_and_who_took_it_again_each_for_what(self, cast, week):
        self.take(cast, "engineer", days=1, words="for the dinghy")
        self.take(cast, "manager")
        assert (
            "Engineer took 1 on Wed 27 May (for the dinghy); then Manager took 1 on Thu 28 May, when the "
            "book had none left. Both are kept." in week()
        )

    def test_what_went_with_a_return_says_so(self, cast, week):
        move_stock(
            cast.spare["oil"], why="used", quantity=D(20), day=TODAY, at=NOW, from_place=cast.place["store"]
        )
        back(cast, "sandpiper", main="1200")
        assert (
            "then somebody took 1 l on Thu 28 May with the return of Sandpiper, when the book had none left"
            in week()
        )

    def test_where_one_took_more_than_there_was_it_says_what_the_book_had(self, cast, week):
        self.take(cast, "engineer", quantity=D(3))
        assert "Engineer took 3 on Thu 28 May; the book had 1 there." in week()

    def test_a_count_from_an_old_page_is_told_what_the_book_says_now(self, cast, engineer, week):
        self.take(cast, "engineer")
        self.take(cast, "manager")
        spare, store = cast.spare["impeller kit"], cast.place["store"]
        sent = {"spare": spare.pk, "place": store.pk, "counted": "0", "book": "-1"}
        self.take(cast, "manager")
        engineer.post(reverse("count", args=["harbour"]), sent)
        assert "not counted, the book says −2 by now. Look again." in week()
        engineer.post(reverse("count", args=["harbour"]), sent | {"book": "-2"})
        assert "0 counted." in week()
        assert hands()[spare.pk, store.pk] == 0

    def test_what_has_lots_is_counted_lot_by_lot(self, cast, gas, engineer, week):
        lot_of(cast, "1", mark="A7")
        move_stock(gas, why="used", quantity=D(6), day=TODAY, at=NOW, from_place=cast.place["store"])
        assert "Count it lot by lot" in week()
        sent = {"spare": gas.pk, "place": cast.place["store"].pk, "counted": "1"}
        answer = engineer.post(reverse("count", args=["harbour"]), sent)
        assert answer["Location"] == reverse("shelf", args=["harbour", cast.place["store"].pk])

    def test_of_very_many_the_first_are_told_and_how_many_more_there_are(self, cast, week):
        for n in range(43):
            spare = make.SpareFactory(code=f"bolt-{n:02}")
            use_spare(spare, cast.place["store"], quantity=D(1), day=TODAY, at=NOW)
        html = week()
        assert html.count("the book says −1") == 40
        assert "3 more places are to be counted" in html
