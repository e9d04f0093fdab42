"""Kits on their pages: counted and sealed, filled from the store in the order the boats leave, by class."""

from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.boats.models import Boat
from maintenance.ordering.actions import Wanted, make_order, send_order
from maintenance.spares.actions import use_spare
from maintenance.spares.facts import hands
from maintenance.spares.models import Allowance, KitSeal, StockMove
from maintenance.spares.sealing import seal_kit, seals_of
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said, sheet_with, tap


@pytest.fixture
def where(cast):
    return reverse("kit", args=["harbour", cast.boat["sandpiper"].pk])


@pytest.fixture
def field(cast):
    return f"kit-{cast.spare['impeller kit'].pk}-{cast.place['sandpiper locker'].pk}"


@pytest.fixture
def fill(cast):
    return reverse("fill-kits", args=["harbour"])


def lacks(cast, boat: str, spare: str, quantity: int = 1) -> str:
    """Her kit should hold so many; what that row is called on the page."""
    make.AllowanceFactory(spare=cast.spare[spare], place=cast.place[f"{boat} locker"], quantity=quantity)
    return f"{cast.spare[spare].pk}-{cast.place[f'{boat} locker'].pk}-{cast.place['store'].pk}"


def test_the_kit_is_counted_and_sealed_in_one_go_and_says_since_when_and_by_whom(engineer, where, field):
    page = engineer.get(where)
    assert "No seal is known to be on the box" in said(page)
    assert tap(engineer, page, "Counted", **{field: "0", "number": "004512"}).status_code == 302
    page = engineer.get(where)
    assert "one line of the kit counted, seal 004512 is on the box" in said(page)
    assert "Seal 004512 is on the box since Thu 28 May, put on by Engineer" in said(page)
    assert "It lacks: 1 impeller kit Fill it from the store" in said(page)


def test_a_number_below_nothing_cannot_be_right_and_is_to_be_counted(cast, engineer, where, field):
    assert "cannot be right" not in said(engineer.get(where))
    spare, locker = cast.spare["impeller kit"], cast.place["sandpiper locker"]
    use_spare(spare, locker, quantity=Decimal(3), day=TODAY, at=NOW)
    told = "impeller kit the book has −2, 1 should be there the book cannot be right: count it"
    assert told in said(engineer.get(where))


def test_a_place_of_hers_leads_to_her_kit_and_a_shelf_ashore_does_not(cast, engineer, where):
    link = f'<a href="{where}">Her kit and its seal</a>'
    aboard, ashore = (
        reverse("shelf", args=["harbour", cast.place[p].pk]) for p in ("sandpiper locker", "store")
    )
    assert link in engineer.get(aboard).content.decode()
    assert "Her kit and its seal" not in engineer.get(ashore).content.decode()


def test_a_seal_alone_is_kept_and_one_that_is_no_new_one_is_said_at_its_field(cast, engineer, where, field):
    seal_kit(cast.boat["blank page"], number="7", day=TODAY, at=NOW)
    page = tap(engineer, engineer.get(where), "Counted", number="7", **{field: "0"})
    assert page.status_code == 422
    assert "Number of the new seal: found 7; wanted another, for it closes another boat's kit" in said(page)
    assert sheet_with(page, "Counted").values[field] == ["0"]  # what was typed stands
    assert hands()[cast.spare["impeller kit"].pk, cast.place["sandpiper locker"].pk] == 1
    assert tap(engineer, page, "Counted", number="8", **{field: ""}).status_code == 302
    assert seals_of([cast.boat["sandpiper"].pk])[cast.boat["sandpiper"].pk].number == "8"


def test_a_box_that_stays_open_is_said_with_a_tick_and_not_beside_a_number(cast, engineer, where):
    tap(engineer, engineer.get(where), "Counted", number="8")
    page = tap(engineer, engineer.get(where), "Counted", number="9", opened="on")
    assert "wanted none, where the box stays open" in said(page)
    tap(engineer, engineer.get(where), "Counted", opened="on")
    assert "No seal is known to be on the box" in said(engineer.get(where))


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({}, "Counted: wanted a number beside at least one of them, or the number of the new seal"),
        ({"number": "x" * 41}, "Number of the new seal: wanted at most 40 letters"),
        ({"number": "\0"}, "Null characters are not allowed"),
    ],
)
def test_what_cannot_be_kept_says_what_is_wanted(engineer, where, typed, wanted):
    page = tap(engineer, engineer.get(where), "Counted", **typed)
    assert page.status_code == 422
    assert wanted in said(page)
    assert not KitSeal.objects.exists()


def test_what_should_be_there_is_filled_in_for_looking_over_and_counts_nothing(cast, engineer, where, field):
    tap(engineer, engineer.get(where), "Counted", **{field: "0"})
    page = engineer.get(where + "?as-it-should-be")
    assert "Nothing is counted yet: look at each" in said(page)
    assert sheet_with(page, "Counted").values[field] == ["1"]
    assert hands()[cast.spare["impeller kit"].pk, cast.place["sandpiper locker"].pk] == 0
    assert sheet_with(engineer.get(where), "Counted").values[field] == [""]
    assert tap(engineer, page, "Counted", number="8").status_code == 302
    assert "By the book it lacks nothing" in said(engineer.get(where))


def test_what_was_used_while_it_was_counted_is_said_and_the_next_look_is_kept(cast, engineer, where, field):
    page = engineer.get(where)
    locker = cast.place["sandpiper locker"]
    use_spare(cast.spare["impeller kit"], locker, quantity=Decimal(1), day=TODAY, at=NOW)
    page = tap(engineer, page, "Counted", number="8", **{field: "1"})
    assert page.status_code == 422
    assert "the book says 0 by now; look again" in said(page)
    assert not KitSeal.objects.exists()
    assert tap(engineer, page, "Counted").status_code == 302
    assert KitSeal.objects.get().number == "8"


def test_the_office_sees_the_kit_and_has_nothing_to_send(sign_in, where):
    page = sign_in("office").get(where)
    assert "Counted" not in said(page)
    assert "Number of the new seal" not in said(page)


def test_kits_are_filled_in_the_order_the_boats_leave_by_one_tap(cast, engineer, fill):
    cast.spare["impeller kit"].part_number = "0041-7"
    cast.spare["impeller kit"].save()
    lacks(cast, "blank page", "impeller kit")
    lacks(cast, "twice shy", "gas bottle", 2)
    lacks(cast, "twice shy", "impeller kit")
    page = engineer.get(fill)
    text = said(page)
    assert text.index("Twice Shy leaves Sat 30 May") < text.index("Blank Page leaves Thu 4 Jun")
    assert "impeller kit 0041-7 Store has 1" in text
    assert "1 impeller kit: the 1 ashore goes to boats that leave before her. Not ordered. Order it" in text
    assert f"{reverse('new-order', args=['harbour'])}?part={cast.spare['impeller kit'].pk}" in (
        page.content.decode()
    )
    assert tap(engineer, page, "Put aboard what is ticked").status_code == 302
    assert hands()[cast.spare["gas bottle"].pk, cast.place["twice shy locker"].pk] == 2
    assert hands()[cast.spare["gas bottle"].pk, cast.place["store"].pk] == 1
    page = engineer.get(fill)
    assert "Aboard Twice Shy: 2 gas bottle, 1 impeller kit." in said(page)
    assert "Twice Shy leaves" not in said(page)
    assert "1 impeller kit: in no store." in said(page)


def test_what_is_on_its_way_is_told_with_its_day(cast, engineer, fill):
    lacks(cast, "blank page", "gas bottle", 5)
    order = make_order(cast.base, "Chandler", [Wanted(cast.spare["gas bottle"], Decimal(3))], at=NOW)
    send_order(order, sent_on=TODAY, expected_on=TODAY.replace(day=30), today=TODAY)
    assert "2 gas bottle: in no store. 3 on the way from Chandler, expected Sat 30 May." in said(
        engineer.get(fill)
    )


def test_what_is_written_down_and_not_sent_is_told_and_not_offered_again(cast, engineer, fill):
    lacks(cast, "blank page", "gas bottle", 5)
    make_order(cast.base, "Chandler", [Wanted(cast.spare["gas bottle"], Decimal(3))], at=NOW)
    text = said(engineer.get(fill))
    assert "2 gas bottle: in no store. 3 written down, not sent. Orders" in text
    assert "Order it" not in text


def test_two_shelves_give_a_kit_no_more_than_it_lacks_and_what_no_shelf_had_is_put_there_if_found(
    cast, engineer, fill
):
    shelf = make.PlaceFactory(base=cast.base, code="b2", name="B2", sort="shelf")
    make.ReceivedFactory(spare=cast.spare["gas bottle"], to_place=shelf, quantity=Decimal(1))
    store = lacks(cast, "twice shy", "gas bottle", 6)  # three in the store, one at B2, two nowhere
    other = store.rsplit("-", 1)[0] + f"-{shelf.pk}"
    page = tap(
        engineer, engineer.get(fill), "Put aboard", **{f"quantity-{store}": "5", f"quantity-{other}": "2"}
    )
    assert page.status_code == 422
    assert "gas bottle for Twice Shy: wanted up to 6, as many as it lacks" in said(page)
    assert tap(engineer, page, "Put aboard", **{f"quantity-{other}": "1"}).status_code == 302
    assert hands()[cast.spare["gas bottle"].pk, cast.place["twice shy locker"].pk] == 6


def test_one_boat_is_asked_for_and_the_others_are_served_first_all_the_same(cast, engineer, fill):
    lacks(cast, "twice shy", "impeller kit")
    lacks(cast, "blank page", "impeller kit")
    page = engineer.get(fill + f"?boat={cast.boat['blank page'].pk}")
    assert "What the kit of Blank Page lacks" in said(page)
    assert "goes to boats that leave before her" in said(page)
    assert "Twice Shy" not in said(page)


@pytest.mark.parametrize("boat", ["0", "x", "-1", "9" * 30, ""])
def test_a_boat_that_is_none_of_ours_is_not_found(cast, engineer, fill, boat):
    assert engineer.get(fill + f"?boat={boat}").status_code == 404
    assert engineer.get(fill + f"?boat={cast.boat['far cry'].pk}").status_code == 404


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("many", "gas bottle for Twice Shy: found “many”, wanted how many, such as 2 or 4.5"),
        ("0", "gas bottle for Twice Shy: wanted how many, above 0, or no tick"),
        ("", "gas bottle for Twice Shy: wanted how many, above 0, or no tick"),
        ("-2", "gas bottle for Twice Shy: found “-2”, wanted how many"),
        ("3", "gas bottle for Twice Shy: wanted up to 2, as many as it lacks"),
    ],
)
def test_a_wrong_number_is_named_and_nothing_goes_aboard(cast, engineer, fill, typed, wanted):
    name = lacks(cast, "twice shy", "gas bottle", 2)
    lacks(cast, "twice shy", "oil", 2)
    before = hands()
    page = tap(engineer, engineer.get(fill), "Put aboard", **{f"quantity-{name}": typed})
    assert page.status_code == 422
    assert wanted in said(page)
    assert hands() == before


def test_what_is_not_ticked_stays_ashore_and_no_tick_at_all_is_asked_about(cast, engineer, fill):
    name, oil = lacks(cast, "twice shy", "gas bottle", 2), lacks(cast, "twice shy", "oil", 2)
    assert tap(engineer, engineer.get(fill), "Put aboard", **{f"tick-{name}": ""}).status_code == 302
    assert hands()[cast.spare["gas bottle"].pk, cast.place["store"].pk] == 3
    page = tap(engineer, engineer.get(fill), "Put aboard", **{f"tick-{name}": ""})
    assert "Put aboard: wanted a tick beside at least one of them" in said(page)
    assert oil not in page.content.decode()


def test_sent_twice_it_goes_aboard_once(cast, engineer, fill):
    name = lacks(cast, "twice shy", "gas bottle", 2)
    page = engineer.get(fill)
    for _ in range(2):
        assert tap(engineer, page, "Put aboard", **{f"quantity-{name}": "1"}).status_code == 302
    assert hands()[cast.spare["gas bottle"].pk, cast.place["twice shy locker"].pk] == 1
    assert StockMove.objects.filter(why="moved").count() == 1


def test_what_somebody_else_filled_meanwhile_is_not_filled_again(cast, engineer, fill):
    name = lacks(cast, "twice shy", "gas bottle", 3)
    first, second, third = (engineer.get(fill) for _ in range(3))
    tap(engineer, first, "Put aboard", **{f"quantity-{name}": "1"})
    page = tap(engineer, second, "Put aboard")
    assert page.status_code == 422
    assert "gas bottle for Twice Shy: somebody filled or counted it meanwhile; look again" in said(page)
    assert tap(engineer, page, "Put aboard", **{f"quantity-{name}": "2"}).status_code == 302
    page = tap(engineer, third, "Put aboard")
    assert "gas bottle for Twice Shy: it lacks none from that shelf any more; look again" in said(page)
    assert hands()[cast.spare["gas bottle"].pk, cast.place["twice shy locker"].pk] == 3


def test_the_office_reads_the_slip(cast, sign_in, fill):
    lacks(cast, "twice shy", "gas bottle", 2)
    page = sign_in("office").get(fill)
    assert "gas bottle Store has 3" in said(page)
    assert "Put aboard" not in said(page)
    assert "Order it" not in said(page)


def test_a_base_whose_kits_lack_nothing_says_so(engineer, fill):
    assert "By the book nothing is missing from any of them" in said(engineer.get(fill))


@pytest.fixture
def classes(cast):
    Boat.objects.filter(pk=cast.boat["blank page"].pk).update(design="Tern 38")
    return reverse("kit-classes", args=["harbour"])


def test_the_manager_says_what_a_class_should_have_changes_it_and_takes_it_back(cast, sign_in, classes, fill):
    manager = sign_in("manager")
    typed = {"design": "Tern 38", "spare": "oil", "quantity": "4,5", "from_on": "2026-05-01"}
    assert tap(manager, manager.get(classes), "Keep it", **typed).status_code == 302
    assert "Tern 38: 4.5 oil from Fri 1 May" in said(manager.get(classes))
    assert "Blank Page" in said(manager.get(fill))
    row = Allowance.objects.get(design="Tern 38")
    page = manager.get(classes + f"?row={row.pk}")
    tap(manager, page, "Keep it", quantity="2")
    row.refresh_from_db()
    assert (row.quantity, Allowance.objects.filter(design="Tern 38").count()) == (2, 1)
    tap(manager, manager.get(classes), "Keep it", **(typed | {"quantity": "1", "from_on": "2026-06-01"}))
    assert "Mon 1 Jun from then on" in said(manager.get(classes))
    tap(manager, manager.get(classes), "Take back")
    assert Allowance.objects.get(design="Tern 38").quantity == 1


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"design": "Gull 30"}, "Class: wanted one of Tern 38"),
        ({"spare": ""}, "Part: wanted its code, its number or its name"),
        ({"spare": "rudder"}, "Part: found no “rudder”"),
        ({"quantity": "-1"}, "How many: found “-1”, wanted how many"),
        ({"quantity": ""}, "How many: wanted how many"),
        ({"from_on": "soon"}, "From: wanted a day"),
    ],
)
def test_a_wrong_word_on_a_class_is_named_and_what_was_typed_stands(sign_in, classes, typed, wanted):
    sent = {"design": "Tern 38", "spare": "oil", "quantity": "4", "from_on": "2026-05-01"} | typed
    page = sign_in("manager").post(classes, sent | {"what": "say"})
    assert page.status_code == 422
    assert wanted in said(page)
    assert not Allowance.objects.filter(place=None).exists()


def test_what_no_row_has_is_not_taken_back(cast, sign_in, classes):
    one = Allowance.objects.filter(place__isnull=False).first()
    for key in (one.pk, "0", "x", "9" * 30):
        assert sign_in("manager").post(classes, {"what": f"back:{key}"}).status_code == 404
    assert Allowance.objects.filter(pk=one.pk).exists()


def test_the_engineer_reads_what_a_class_should_have_and_changes_nothing(engineer, classes):
    page = engineer.get(classes)
    assert "Nothing is said of a class yet" in said(page)
    assert "Keep it" not in said(page)
