"""Lists of required gear on their pages: kept by the manager, gone by, and shown beside what is aboard."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.boats.models import Kind
from maintenance.planning.gear import adoptions
from maintenance.safety.models import Adoption, Requirement
from maintenance.safety.requiring import adopt_list
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.sheets import said, tap


@pytest.fixture
def manager(sign_in):
    return sign_in("manager")


@pytest.fixture
def raft(cast):
    return cast.part["sandpiper life-raft"].kind


@pytest.fixture
def clause(cast, raft):
    """One raft wanted, by the list coastal."""
    return Requirement.objects.create(
        base=cast.base,
        list="coastal",
        kind=raft,
        number=1,
        source="the flag's code",
        from_on=date(2026, 1, 1),
    )


def gear(browser):
    return browser.get(reverse("gear", args=["harbour"]))


def dates(browser, boat):
    return said(browser.get(reverse("safety-boat", args=["harbour", boat.pk])))


def test_a_clause_is_added_with_its_source_and_stands_in_its_list(manager, raft):
    typed = {
        "list": "coastal",
        "kind": raft.pk,
        "number": "2",
        "source": "flag's code 13.2",
        "clause": "13.2",
    }
    answer = tap(manager, gear(manager), "Add the clause", **typed)
    assert answer.status_code == 302, said(answer)
    row = Requirement.objects.get()
    assert (row.number, row.per, row.from_on) == (2, "boat", TODAY)
    assert "Life raft 2 for the boat 13.2: flag's code 13.2" in said(gear(manager)).replace("’", "'")


def test_sent_twice_a_clause_is_added_once(manager, raft):
    shown = gear(manager)
    typed = {"list": "coastal", "kind": raft.pk, "number": "2", "source": "own rule"}
    assert {tap(manager, shown, "Add the clause", **typed).status_code for _ in range(2)} == {302}
    assert Requirement.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"list": ""}, "List: wanted the list's name, such as coastal"),
        ({"number": "some"}, "How many: wanted a number from 1 to 500"),
        ({"number": "0"}, "How many: wanted a number from 1 to 500"),
        ({"kind": "999999"}, "Thing: wanted a kind"),
        ({"source": ""}, "Source: wanted where the list says so"),
        ({"on": "1.4."}, "From: wanted a day such as 2026-05-30"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_kept(manager, raft, typed, wanted):
    whole = {"list": "coastal", "kind": raft.pk, "number": "2", "source": "own rule"}
    answer = tap(manager, gear(manager), "Add the clause", **whole | typed)
    assert answer.status_code == 422
    assert wanted in said(answer).replace("’", "'")
    assert not Requirement.objects.exists()


def test_a_boat_goes_by_a_list_and_leaves_it(cast, manager, clause):
    boat = cast.boat["twice shy"]
    answer = tap(manager, gear(manager), "Goes by it", **{"adopt-boat": boat.pk})
    assert answer.status_code == 302, said(answer)
    assert "Twice Shy from Thu 28 May" in said(gear(manager))
    tap(manager, gear(manager), "Leaves it")
    assert not Adoption.objects.standing().exists()
    assert "None: it only warns." in said(gear(manager))


def test_a_boat_that_goes_by_it_already_is_said_so(cast, manager, clause):
    boat = cast.boat["twice shy"]
    adopt_list(boat, cast.base, "coastal", from_on=TODAY, at=NOW)
    answer = tap(manager, gear(manager), "Goes by it", **{"adopt-boat": boat.pk})
    assert answer.status_code == 422
    assert "From: wanted a day after Twice Shy left coastal: she goes by it then" in said(answer)


def test_a_clause_changed_from_today_asks_for_more_and_says_what_it_asked_for(manager, clause):
    page = manager.get(reverse("gear-clause", args=["harbour", clause.pk]))
    assert tap(manager, page, "Change the clause", number="2").status_code == 302
    assert sorted(Requirement.objects.values_list("number", "until_on")) == [
        (1, date(2026, 5, 27)),
        (2, None),
    ]


def test_a_clause_is_ended_and_its_number_typed_wrong_changes_nothing(manager, clause):
    page = manager.get(reverse("gear-clause", args=["harbour", clause.pk]))
    assert tap(manager, page, "Change the clause", number="-1").status_code == 422
    assert tap(manager, page, "End the clause", **{"end-last": "2026-05-28"}).status_code == 302
    clause.refresh_from_db()
    assert (clause.number, clause.until_on) == (1, TODAY)


def test_the_engineer_reads_the_lists_and_changes_none(engineer, clause):
    shown = gear(engineer)
    assert "Life raft" in said(shown)
    assert "A new clause" not in said(shown)
    assert "Change" not in said(shown)


def test_a_boats_dates_say_what_is_required_carried_and_in_date(cast, engineer, clause):
    boat = cast.boat["twice shy"]  # her raft runs out inside her next charter
    shown = dates(engineer, boat)
    assert "Required: coastal Twice Shy does not go by this list: what is short of it only warns." in shown
    adopt_list(boat, cast.base, "coastal", from_on=TODAY, at=NOW)
    shown = dates(engineer, boat)
    assert "goes by this list: what is short of it holds her" in shown
    Kind.objects.update(date_required=True)
    assert "Life raft 1 1 0, 1 short the flag's code" in dates(engineer, boat).replace("’", "'")


def test_a_base_without_lists_says_nothing_of_them(cast, engineer):
    assert "Required" not in dates(engineer, cast.boat["twice shy"])


def test_for_each_person_without_a_number_of_persons_is_said_not_guessed(cast, engineer):
    kind = make.KindFactory(code="lifejacket", system="safety")
    Requirement.objects.create(base=cast.base, list="coastal", kind=kind, number=1, per="person")
    shown = dates(engineer, cast.boat["twice shy"])
    assert "1 for each person: how many she carries is not recorded" in shown


def test_adoptions_of_another_bases_boats_are_not_shown(cast, manager, clause):
    assert adoptions(cast.base, [cast.boat["far cry"].pk], TODAY) == []


def test_which_boats_go_by_which_list_and_what_is_short_stands_in_one_table(cast, manager, clause):
    boat = cast.boat["sandpiper"]
    Requirement.objects.filter(pk=clause.pk).update(number=3)
    adopt_list(boat, cast.base, "coastal", from_on=TODAY, at=NOW)
    text = said(gear(manager)).split("Who goes by what")[1].split("Boats that go by it")[0]
    assert "Sandpiper Goes by it, one thing short Life raft: 1 of 3 in date" in text
    assert "Blank Page goes by no list Does not go by it, one thing short" in text
    assert text.index("Blank Page") < text.index("Sandpiper")


def test_a_boat_that_goes_by_no_list_is_said_to_where_the_base_has_one(cast, manager, clause):
    boat = cast.boat["sandpiper"]
    hers = reverse("boat", args=["harbour", boat.pk])
    places = (hers, reverse("week", args=["harbour"]), reverse("boats", args=["harbour"]))
    adopt_list(cast.boat["twice shy"], cast.base, "coastal", from_on=TODAY, at=NOW)
    adopt_list(cast.boat["blank page"], cast.base, "coastal", from_on=TODAY, at=NOW)
    assert all("oes by no list of gear" in said(manager.get(where)) for where in places)
    assert "Sandpiper goes by no list of gear" in dates(manager, boat)
    adopt_list(boat, cast.base, "coastal", from_on=TODAY, at=NOW)
    assert not any("oes by no list of gear" in said(manager.get(where)) for where in places)
    assert "goes by no list of gear" not in dates(manager, boat)


def test_without_a_list_no_boat_is_said_to_go_by_none(cast, manager):
    where = reverse("boat", args=["harbour", cast.boat["sandpiper"].pk])
    assert "oes by no list" not in said(manager.get(where))
