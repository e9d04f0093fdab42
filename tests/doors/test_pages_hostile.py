"""Whatever is typed: kept as it was or refused by name, shown as text, and never lost on the way."""

from decimal import Decimal

import pytest
from django.urls import reverse

from maintenance.defects.models import Defect
from maintenance.turnaround.models import Return
from tests.cast import due_list_holds, more_boats
from tests.doors.sheets import MAIN, said, sheet_with, tap

TEXTS = {
    "emoji": "Kühlschrank 🧊 kaputt, Žut & Ploče 🔦👩🏽‍🔧",
    "from right to left": "המשאבה דולפת \u202eexe.gnp",
    "marks": "<script>alert('x')</script> {{ 7*7 }} {% csrf_token %} \" onmouseover=x ' </textarea>",
    "greek": "Το ψυγείο δεν λειτουργεί",
    "spaces": "a\u00a0b\u2003c",
    "a percent sign": "100 % of 5%d %s",
    "long": "x" * 20_000,
}


@pytest.fixture
def form(cast, engineer):
    return engineer.get(reverse("return", args=["harbour", cast.boat["sandpiper"].pk]))


@pytest.fixture
def dial(cast):
    return f"dial-{cast.meter['sandpiper main'].pk}"


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_words_are_kept_as_written_and_shown_as_text_on_every_page(cast, engineer, form, text):
    where = tap(engineer, form, MAIN, defects=text, reporter=text[:120])["Location"]
    defect = Defect.objects.get()
    assert defect.words == text
    assert Return.objects.get().reporter == text[:120]
    pages = [
        where,
        reverse("week", args=["harbour"]),
        reverse("defect", args=["harbour", defect.pk]),
        reverse("boat", args=["harbour", cast.boat["sandpiper"].pk]),
    ]
    for address in pages:
        page = engineer.get(address)
        assert page.status_code == 200
        assert b"<script>alert" not in page.content
        assert " ".join(text.split()) in said(page)


def test_words_that_ended_a_defect_are_said_back_as_text(cast, engineer, form):
    tap(engineer, form, MAIN, defects=TEXTS["marks"])
    where = reverse("defect", args=["harbour", Defect.objects.get().pk])
    answer = tap(engineer, engineer.get(where), MAIN, why=TEXTS["emoji"], who=TEXTS["marks"][:120])
    week = engineer.get(answer["Location"])
    assert b"<script>alert" not in week.content


@pytest.mark.parametrize(("field", "most"), [("defects", 20_000), ("lost", 20_000), ("reporter", 120)])
def test_words_too_many_are_said_to_be_and_stay_in_the_form(engineer, form, dial, field, most):
    text = "é" * (most + 1)
    page = tap(engineer, form, MAIN, **{dial: "1210", field: text, "ask-touched_bottom": "yes"})
    assert page.status_code == 422
    assert str(most) in said(page)
    values = sheet_with(page, MAIN).values
    assert (values[field], values[dial], values["ask-touched_bottom"]) == ([text], ["1210"], ["yes"])
    assert not Return.objects.exists()


def test_a_zero_byte_is_refused_and_nothing_is_kept(engineer, form):
    assert tap(engineer, form, MAIN, defects="a\x00b").status_code == 422
    assert not Return.objects.exists()


@pytest.mark.parametrize(
    "typed", ["12x4", "9" * 30, "--5", "1e5", "١٢١٠", "½", "0x10", "NaN", "inf", "1.2.3", "1;2"]
)
def test_a_dial_that_is_no_number_is_named_with_what_is_wanted_and_nothing_is_lost(
    engineer, form, dial, typed
):
    page = tap(engineer, form, MAIN, **{dial: typed, "defects": "Leaks"})
    assert page.status_code == 422
    assert "wanted hours such as 1212.4" in said(page)
    values = sheet_with(page, MAIN).values
    assert (values[dial], values["defects"]) == ([typed], ["Leaks"])
    assert not Return.objects.exists()


@pytest.mark.parametrize(
    ("typed", "dial_kept"),
    [
        ("1 212,4", "1212.4"),
        ("1\u202f212.4", "1212.4"),
        ("1212.40", "1212.4"),
        ("+1212", "1212"),
        (" 1212 ", "1212"),
    ],
)
def test_a_number_is_read_as_people_write_it(engineer, form, dial, typed, dial_kept):
    assert tap(engineer, form, MAIN, **{dial: typed}).status_code == 302
    assert Return.objects.get().readings.get().reading.dial == Decimal(dial_kept)


@pytest.mark.parametrize("typed", ["-5", "0", "0,01", "999999999", "1190.39"])
def test_a_number_that_cannot_be_right_is_asked_about_and_can_be_kept(engineer, form, dial, typed):
    page = tap(engineer, form, MAIN, **{dial: typed, "defects": "Leaks"})
    assert page.status_code == 422
    assert tap(engineer, page, "Keep as read").status_code == 302
    assert Return.objects.get().readings.get().reading.standing == "doubtful"
    assert Defect.objects.get().words == "Leaks"
    assert engineer.get(reverse("week", args=["harbour"])).status_code == 200
    assert due_list_holds()


def test_no_number_at_all_is_a_return_all_the_same(engineer, form):
    assert tap(engineer, form, MAIN, defects="Leaks").status_code == 302
    assert not Return.objects.get().readings.exists()


@pytest.mark.parametrize("typed", ["-1", "2x", "9" * 30, "12345678", "1,2,3"])
def test_how_many_of_a_part_is_named_where_it_is_no_number(cast, engineer, form, typed):
    oil = str(cast.spare["oil"].pk)
    page = tap(engineer, form, MAIN, **{"more0-spare": oil, "more0-quantity": typed, "defects": "Leaks"})
    assert page.status_code == 422
    assert "wanted how many, such as 2 or 4.5" in said(page)
    values = sheet_with(page, MAIN).values
    assert (values["more0-quantity"], values["more0-spare"]) == ([typed], [oil])
    assert not Return.objects.exists()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"more0-quantity": "1"}, "Part: wanted which one"),
        ({"more0-spare": "oil"}, "wanted a number above 0"),
        ({"more0-spare": "oil", "more0-quantity": "0"}, "wanted a number above 0"),
        ({"more0-spare": "oil", "more0-quantity": "1", "more0-place": "0"}, "0 is not one of the available"),
    ],
    ids=str,
)
def test_half_a_part_is_asked_about(cast, engineer, form, typed, why):
    if "more0-spare" in typed:
        typed = typed | {"more0-spare": str(cast.spare["oil"].pk)}
    page = tap(engineer, form, MAIN, **typed)
    assert page.status_code == 422
    assert why in said(page)


@pytest.mark.parametrize("given", ["x" * 20_001, "a\nb", "🦀", "", " "])
def test_an_id_of_any_sort_keeps_a_return_once(engineer, form, given):
    for _ in range(2):
        assert tap(engineer, form, MAIN, defects="Leaks", client_id=given).status_code == 302
    assert Return.objects.count() == (1 if given else 2)


@pytest.mark.parametrize(
    "meant",
    ["swap:1:999", "swap:", "1:NaN", "1:1e99", "x:5", ":", "0:12", "swap:²:³", "9" * 5000 + ":1"],
    ids=range(9),
)
def test_an_answer_nobody_offered_is_no_answer(engineer, form, dial, meant):
    page = tap(engineer, form, MAIN, **{dial: "1210", "meant": meant})
    assert page.status_code in (302, 422)


def test_the_day_she_is_back_is_one_of_the_charters_and_not_to_come(engineer, form):
    for day, why in (("2026-05-29", "up to today"), ("2026-05-22", "S2 went out"), ("30/5", "wanted a day")):
        page = tap(engineer, form, MAIN, day=day, defects="Leaks")
        assert page.status_code == 422
        assert why in said(page)
        assert sheet_with(page, MAIN).values["defects"] == ["Leaks"]


def test_another_charters_code_is_not_found(cast, engineer):
    where = reverse("return", args=["harbour", cast.boat["sandpiper"].pk])
    assert engineer.get(where, {"charter": "S2"}).status_code == 200
    for code in ("T1", "F1", "S4", "nothing", "<script>"):
        assert engineer.get(where, {"charter": code}).status_code == 404


def test_a_return_asks_the_store_no_more_at_a_base_of_twenty_boats(
    cast, engineer, form, dial, django_assert_max_num_queries
):
    def asked(**typed: str) -> int:
        with django_assert_max_num_queries(120) as queries:
            assert tap(engineer, form, MAIN, **typed).status_code == 302
        return len(queries)

    three = asked(**{dial: "1210", "client_id": "a", "defects": "Leaks"})
    more_boats(cast, 17)
    assert asked(**{dial: "1211", "client_id": "b", "defects": "Leaks"}) == three
