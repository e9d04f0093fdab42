"""The round on a phone: walked in parts, signed, taken back; the base's own list; the kit counted."""

import pytest
from django.urls import reverse

from maintenance.defects.actions import grade_defect
from maintenance.defects.models import Defect
from maintenance.spares.facts import hands
from maintenance.spares.sealing import seal_kit
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.round import add_item
from maintenance.turnaround.usual_round import USUAL_ROUND
from maintenance.turnaround.walking import Tick, walk
from tests.cast import NOW, TODAY
from tests.doors.sheets import said, sheet_with, tap


@pytest.fixture
def ship(cast):
    return cast.boat["twice shy"]


@pytest.fixture
def items(cast):
    bilge = add_item(cast.base, words="Bilge dry", function="bilge", caution="Find where it comes from")
    return [bilge, add_item(cast.base, words="Seal of the kit box", asks="seal")]


@pytest.fixture
def opened(ship, engineer):
    """The round's page, as it opens now."""
    return lambda browser=engineer: browser.get(reverse("round", args=["harbour", ship.pk]))


def ticked(items, *states, **notes) -> dict[str, str]:
    said = {f"state-{item.pk}": state for item, state in zip(items, states, strict=False)}
    return said | {f"note-{items[0].pk}": note for note in notes.values()}


def test_a_base_without_a_list_starts_with_the_usual_one_by_one_tap(engineer, opened):
    page = tap(engineer, opened(), "Start with the usual list")
    assert page.status_code == 302
    shown = said(opened())
    assert all(usual.words in shown for usual in USUAL_ROUND)
    assert "Everyone clear of belts and propeller" in shown


def test_what_is_ticked_is_kept_without_signing(engineer, opened, items):
    page = tap(engineer, opened(), "Keep what is ticked", **ticked(items, "in order"))
    assert page.status_code == 302
    assert RoundLine.objects.get().state == "in order"
    assert Round.objects.get().signed_by == ""
    assert "Not signed yet" in said(opened())


def test_a_failing_check_is_a_defect_and_its_line_leads_there(engineer, opened, items):
    tap(engineer, opened(), "Keep what is ticked", **ticked(items, "fails", note="a cup of water"))
    defect = Defect.objects.open().get()
    assert defect.words == "Round: Bilge dry: a cup of water"
    assert reverse("defect", args=["harbour", defect.pk]) in opened().content.decode()
    tap(engineer, opened(), "Keep what is ticked")
    assert Defect.objects.count() == 1


def test_signing_with_checks_unanswered_keeps_the_ticks_and_names_them(engineer, opened, items):
    page = tap(engineer, opened(), "Sign the round", **ticked(items, "in order"))
    assert page.status_code == 422
    assert "Seal of the kit box" in said(page)
    assert "Kept, not signed yet." in said(page)
    assert RoundLine.objects.count() == 1
    page = tap(engineer, page, "Sign the round", **{f"state-{items[1].pk}": "in order"})
    assert page.status_code == 302
    assert "Signed by Engineer" in said(opened())


def test_a_line_changed_after_signing_was_refused_is_changed(engineer, opened, items):
    page = tap(engineer, opened(), "Sign the round", **ticked(items, "in order"))
    tap(engineer, page, "Keep what is ticked", **ticked(items, "fails"))
    assert RoundLine.objects.standing().get().state == "fails"


def test_another_name_can_be_typed_and_none_is_refused(engineer, opened, items):
    page = tap(engineer, opened(), "Sign the round", who=" ", **ticked(items, "in order", "in order"))
    assert page.status_code == 422
    assert "Who walked it: wanted the name" in said(page)
    tap(engineer, page, "Sign the round", who="B. Mate")
    assert "Signed by B. Mate" in said(opened())


def test_a_signature_is_taken_back_today_and_the_ticks_are_there(engineer, opened, items):
    tap(engineer, opened(), "Sign the round", **ticked(items, "in order", "in order"))
    tap(engineer, opened(), "Take the signature back")
    sheet = sheet_with(opened(), "Sign the round")
    assert sheet.values[f"state-{items[0].pk}"] == ["in order"]


def test_a_round_of_another_day_is_walked_again(engineer, opened, items, today_is):
    tap(engineer, opened(), "Sign the round", **ticked(items, "in order", "in order"))
    today_is.shift(86400)
    tap(engineer, opened(), "Walk it again")
    assert "Sign the round" in said(opened())


def test_a_broken_seal_asks_for_a_count_of_the_kit(cast, engineer, opened, items, ship):
    tap(engineer, opened(), "Keep what is ticked", **ticked(items, "in order", "fails"))
    assert "The seal of the kit box is broken: count what is in it" in said(opened())
    assert reverse("kit", args=["harbour", ship.pk]) in opened().content.decode()
    assert not Defect.objects.open().exists()


def test_the_seals_line_names_the_number_that_should_be_on_the_box(cast, engineer, opened, items, ship):
    assert "No number of a seal is known" in said(opened())
    seal_kit(ship, number="004512", day=TODAY, at=NOW)
    text = said(opened())
    assert "Seal 004512 should be on it" in text
    assert text.index("Seal of the kit box") < text.index("004512")


def test_a_broken_seal_lets_the_round_be_signed_and_one_put_on_since_is_told(
    engineer, opened, items, ship, today_is
):
    seal_kit(ship, number="004512", day=TODAY, at=NOW)
    tap(engineer, opened(), "Sign the round", **ticked(items, "in order", "fails"))
    assert "Signed by Engineer" in said(opened())
    assert "The seal of the kit box is broken: count what is in it" in said(opened())
    today_is.shift(60)
    tap(engineer, engineer.get(reverse("kit", args=["harbour", ship.pk])), "Counted", number="004513")
    assert "It is sealed again, with number 004513" in said(opened())
    assert "count what is in it" not in said(opened())


def test_what_was_typed_stands_where_an_answer_is_none(engineer, opened, items):
    sent = ticked(items, "maybe", note="typed at length") | {"what": "keep", "who": "X"}
    page = engineer.post(opened().request["PATH_INFO"], sent)
    assert page.status_code == 422
    assert "Bilge dry: wanted In order, Fails, Not aboard" in said(page)
    assert "typed at length" in page.content.decode()
    assert not RoundLine.objects.exists()


def test_a_note_beside_no_answer_is_not_lost(engineer, opened, items):
    page = tap(engineer, opened(), "Keep what is ticked", **ticked(items, note="wet"))
    assert page.status_code == 422
    assert "Bilge dry: wanted In order, Fails, Not aboard beside the note" in said(page)


def test_what_somebody_else_said_meanwhile_is_shown_and_not_written_over(cast, engineer, opened, items, ship):
    page = opened()
    walk(ship, [Tick(items[0], "fails", "wet")], at=NOW, by=cast.person["manager"])
    tap(engineer, page, "Keep what is ticked", **ticked(items, "in order"))
    assert "Bilge dry: Manager said “Fails, wet” while this page was open" in said(opened())
    assert RoundLine.objects.standing().get().state == "fails"


def test_signed_by_somebody_else_meanwhile_nothing_typed_is_lost(engineer, opened, items):
    page = opened()
    tap(engineer, opened(), "Sign the round", **ticked(items, "in order", "in order"))
    late = tap(engineer, page, "Keep what is ticked", **ticked(items, "fails", note="wet"))
    assert late.status_code == 422
    assert "It is signed, by Engineer" in said(late)
    assert "wet" in late.content.decode()


def test_a_defect_dealt_with_stays_and_that_is_said(engineer, opened, items):
    tap(engineer, opened(), "Keep what is ticked", **ticked(items, "fails"))
    grade_defect(Defect.objects.open().get(), grade="watch", who="A", at=NOW)
    tap(engineer, opened(), "Keep what is ticked", **ticked(items, "in order"))
    assert "“Round: Bilge dry” is still open" in said(opened())


def test_the_office_reads_the_round_and_cannot_tick_it(sign_in, opened, items):
    assert "Sign the round" not in said(opened(sign_in("office")))


def test_the_week_leads_to_the_round_of_boats_in_port_that_leave_within_the_week(cast, engineer):
    week = engineer.get(reverse("week", args=["harbour"])).content.decode()
    there = [name for name in cast.boat if reverse("round", args=["harbour", cast.boat[name].pk]) in week]
    assert there == ["twice shy", "blank page"]  # Sandpiper is out until Saturday


def test_the_manager_starts_words_moves_and_ends_checks(cast, sign_in):
    browser, where = sign_in("manager"), reverse("round-items", args=["harbour"])
    tap(browser, browser.get(where), "Start with the usual list")
    assert RoundItem.objects.filter(base=cast.base).count() == len(USUAL_ROUND)
    last = RoundItem.objects.last()
    browser.post(where, {"what": f"up:{last.pk}"})
    assert list(RoundItem.objects.all())[-2] == last
    prefix = f"check{last.pk}"
    sent = {f"{prefix}-words": "Seal, number read", f"{prefix}-until_on": "2026-10-31"}
    browser.post(where, sent | {"what": f"item:{last.pk}"})
    last.refresh_from_db()
    assert (last.words, str(last.until_on)) == ("Seal, number read", "2026-10-31")


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"new-words": ""}, "Check: wanted what is checked"),
        ({"new-words": "x", "new-function": "tea"}, "It touches: wanted one of those listed"),
        ({"new-words": "x", "new-until_on": "soon"}, "Asked up to: wanted a day"),
        ({"new-words": "y" * 201}, "Check: wanted up to 200 letters"),
    ],
)
def test_a_wrong_check_says_what_is_wanted_and_keeps_what_was_typed(sign_in, typed, wanted):
    page = sign_in("manager").post(reverse("round-items", args=["harbour"]), typed | {"what": "new"})
    assert page.status_code == 422
    assert wanted in said(page)
    assert not RoundItem.objects.exists()


def test_another_bases_check_is_not_found(cast, sign_in):
    far = add_item(cast.person["stranger"].memberships.get().base, words="Far")
    where = reverse("round-items", args=["harbour"])
    assert sign_in("manager").post(where, {"what": f"up:{far.pk}"}).status_code == 404
    assert sign_in("manager").post(where, {"what": "item:99999999999999999999"}).status_code == 404


def test_the_kit_is_counted_in_one_go_and_a_blank_is_not_counted(cast, engineer):
    where = reverse("kit", args=["harbour", cast.boat["sandpiper"].pk])
    spare, place = cast.spare["impeller kit"], cast.place["sandpiper locker"]
    page = engineer.get(where)
    assert "the book has 1, 1 should be there" in said(page)
    name = f"kit-{spare.pk}-{place.pk}"
    assert tap(engineer, page, "Counted", **{name: "0"}).status_code == 302
    assert hands([place.pk]).get((spare.pk, place.pk), 0) == 0
    page = tap(engineer, engineer.get(where), "Counted")
    assert page.status_code == 422
    assert "Counted: wanted a number" in said(page)
    page = tap(engineer, engineer.get(where), "Counted", **{name: "many"})
    assert "found “many”, wanted how many" in said(page)


def test_the_grade_of_what_failed_is_asked_with_what_its_check_touches(engineer, opened, items):
    tap(engineer, opened(), "Keep what is ticked", **ticked(items, "fails"))
    defect = Defect.objects.open().get()
    page = engineer.get(reverse("grade", args=["harbour", defect.pk])).content.decode()
    assert 'name="function" value="bilge" checked' in page


def test_a_new_check_is_placed_behind_the_one_named(cast, sign_in, items):
    manager, where = sign_in("manager"), reverse("round-items", args=["harbour"])
    assert "1. Bilge dry" in said(manager.get(where))
    assert tap(manager, manager.get(where), "Add it", **{"new-words": "Anchor pinned", "new-after": "1"})
    tap(manager, manager.get(where), "Add it", **{"new-words": "Lights", "new-after": "0"})
    tap(manager, manager.get(where), "Add it", **{"new-words": "Horn"})
    words = list(RoundItem.objects.order_by("number").values_list("words", flat=True))
    assert words == ["Lights", "Bilge dry", "Anchor pinned", "Seal of the kit box", "Horn"]


@pytest.mark.parametrize("typed", ["3", "-1", "last"])
def test_a_place_that_is_none_is_refused_in_words(sign_in, items, typed):
    manager, where = sign_in("manager"), reverse("round-items", args=["harbour"])
    answer = tap(manager, manager.get(where), "Add it", **{"new-words": "Horn", "new-after": typed})
    assert answer.status_code == 422
    assert "After which check: wanted its number, 0 to 2, or blank for the end" in said(answer)
    assert RoundItem.objects.count() == 2


def test_the_round_of_a_boat_lights_boats_in_the_menu(opened, items):
    lit = opened().content.decode().split('aria-current="page"')[0]
    assert lit.endswith(f'{reverse("boats", args=["harbour"])}" ')
