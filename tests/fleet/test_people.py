"""Hiring, ending a role, passwords and tokens: who may do that to whom, and what it leaves."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from fleet.people.actions import (
    MOST_TOKENS,
    LoginTaken,
    NotTheirs,
    PeopleRefused,
    end_membership,
    give_password,
    hire,
    make_token,
    revoke_token,
)
from fleet.people.facts import bases_where, person_of, workers
from fleet.people.models import Membership, Person, Token
from fleet.secret import new_secret
from tests.cast import NOW, TODAY
from tests.factories import MembershipFactory, PersonFactory

GOOD = "seven-boats-back"
LATER = TODAY + timedelta(days=30)
YESTERDAY = TODAY - timedelta(days=1)


@pytest.fixture
def manager(cast):
    person = cast.person["manager"]
    person.set_password(GOOD)
    person.save()
    return person


@pytest.fixture
def elsewhere(cast):
    return cast.person["stranger"].memberships.get().base


@pytest.fixture
def take_on(cast, manager):
    """Hires at the cast's base, as its manager, with what is not told filled in."""

    def take_on(**told):
        told = {"login": "nia", "role": "engineer", "from_on": TODAY, "by": manager} | told
        return hire(told.pop("base", cast.base), at=NOW, **told)

    return take_on


@pytest.fixture
def nia(take_on):
    return take_on(name="Nia Torrel", password=GOOD).person


def role(person, base, **more):
    return MembershipFactory(person=person, base=base, **more)


def end(membership, until_on, by=None):
    return end_membership(membership, until_on=until_on, at=NOW, by=by)


# hiring


def test_somebody_new_has_the_role_from_the_day_on(take_on):
    membership = take_on(name=" Nia  Torrel ", password=GOOD, from_on=LATER)
    assert (membership.person.name, membership.role, membership.until_on) == ("Nia Torrel", "engineer", None)
    assert membership.person.check_password(GOOD)
    assert not Membership.objects.filter(person__login="nia").on(TODAY).exists()
    assert Membership.objects.filter(person__login="nia").on(LATER).exists()


def test_somebody_known_here_gets_another_role_and_stays_one_person(nia, take_on):
    assert take_on(role="office").person == nia
    assert set(nia.memberships.values_list("role", flat=True)) == {"engineer", "office"}
    assert nia.check_password(GOOD)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"name": ""}, "name: wanted the name of a new person"),
        ({"password": ""}, "password: wanted one"),
        ({"from_on": date(206, 5, 28)}, "from_on: wanted a day"),
        ({"from_on": date(2062, 5, 28)}, "from_on: wanted a day"),
    ],
)
def test_what_is_wrong_is_named_and_nobody_is_hired(take_on, told, said):
    with pytest.raises(PeopleRefused, match=said):
        take_on(**{"name": "Nia", "password": GOOD} | told)
    assert not Person.objects.filter(login="nia").exists()


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"password": "short"}, "password"),
        ({"password": "password123"}, "password"),
        ({"login": "two words"}, "login"),
        ({"login": "x" * 61}, "login"),
        ({"name": "Nia\x00Torrel"}, "name"),
        ({"name": "\u202eNia"}, "name"),
        ({"name": "N" * 121}, "name"),
        ({"role": "admiral"}, "role"),
    ],
)
def test_what_no_column_takes_is_named_and_nobody_is_hired(take_on, told, field):
    with pytest.raises(ValidationError) as wrong:
        take_on(**{"name": "Nia", "password": GOOD} | told)
    assert field in wrong.value.message_dict
    assert not Person.objects.filter(name__startswith="N", memberships__isnull=True).exists()


@pytest.mark.parametrize("login", ["stranger", "STRANGER", " Stranger "])
def test_a_login_of_another_base_is_taken_and_nothing_is_said_of_whose_it_is(take_on, elsewhere, login):
    with pytest.raises(LoginTaken) as taken:
        take_on(login=login, name="Stranger", password=GOOD)
    assert str(taken.value) == "login: “stranger” is taken; wanted another name to sign in with"
    assert not Membership.objects.filter(person__login="stranger").exclude(base=elsewhere).exists()


def test_who_manages_both_bases_takes_their_person_to_the_other(cast, manager, take_on, elsewhere):
    role(manager, elsewhere, role="manager")
    assert take_on(login="stranger").person == cast.person["stranger"]
    assert cast.person["stranger"].memberships.count() == 2


def test_an_engineer_at_the_other_base_is_not_its_manager(manager, take_on, elsewhere):
    role(manager, elsewhere, role="engineer")
    with pytest.raises(LoginTaken):
        take_on(login="stranger")


def test_nobody_gives_roles_where_they_are_not_manager_that_day(cast, manager, take_on, elsewhere):
    for who in (cast.person["engineer"], cast.person["office"], cast.person["stranger"]):
        with pytest.raises(NotTheirs):
            take_on(by=who, name="Nia", password=GOOD)
    with pytest.raises(NotTheirs):
        take_on(base=elsewhere, name="Nia", password=GOOD)
    role(manager, elsewhere, role="manager", from_on=LATER)
    with pytest.raises(NotTheirs):
        take_on(base=elsewhere, name="Nia", password=GOOD)
    assert not Person.objects.filter(login="nia").exists()


def test_a_login_known_here_with_another_name_is_not_somebody_new(nia, take_on):
    with pytest.raises(PeopleRefused, match="“nia” is Nia Torrel"):
        take_on(name="Nils Tander", password="nils-comes-aboard", role="office")
    with pytest.raises(PeopleRefused, match="Nia Torrel has one already"):
        take_on(password="nils-comes-aboard", role="office")
    assert nia.memberships.count() == 1


@pytest.mark.parametrize("from_on", [YESTERDAY, TODAY, LATER, LATER + timedelta(days=9)])
def test_the_same_role_is_not_held_twice_at_a_time(nia, take_on, from_on):
    held = nia.memberships.get()
    held.from_on, held.until_on = LATER, LATER + timedelta(days=9)
    held.save()
    with pytest.raises(PeopleRefused, match=f"role: Nia Torrel is engineer from {LATER} until"):
        take_on(from_on=from_on)
    assert take_on(from_on=LATER + timedelta(days=10)).from_on == LATER + timedelta(days=10)


def test_who_comes_back_gets_a_new_password_and_the_old_ways_in_are_shut(nia, take_on):
    _, secret = make_token(nia, name="diary", at=NOW)
    nia.memberships.update(from_on=date(2025, 1, 1), until_on=YESTERDAY)
    with pytest.raises(PeopleRefused, match="password: wanted one"):
        take_on()
    take_on(password="back-for-the-season")
    nia.refresh_from_db()
    assert nia.check_password("back-for-the-season")
    assert person_of(secret) is None


def test_who_can_not_sign_in_any_more_is_not_taken_on(nia, take_on):
    Person.objects.filter(pk=nia.pk).update(is_active=False)
    with pytest.raises(LoginTaken):
        take_on(role="office")


# ending a role


def test_a_role_ends_on_its_last_day_and_the_end_can_be_taken_back(cast, manager, nia):
    held = nia.memberships.get()
    end(held, LATER, manager)
    assert nia.memberships.on(LATER).exists()
    assert not nia.memberships.on(LATER + timedelta(days=1)).exists()
    end(held, None, manager)
    assert nia.memberships.on(LATER + timedelta(days=1)).exists()


def test_the_end_is_not_taken_back_over_the_same_role_given_again(manager, nia, take_on):
    held = end(nia.memberships.get(), LATER, manager)
    take_on(from_on=LATER + timedelta(days=1))
    with pytest.raises(PeopleRefused, match="role: Nia Torrel is engineer"):
        end(held, None, manager)
    held.refresh_from_db()
    assert held.until_on == LATER


@pytest.mark.parametrize("from_on", [TODAY, LATER])
def test_a_role_nobody_had_a_day_of_is_called_off(manager, nia, from_on):
    nia.memberships.update(from_on=from_on)
    assert end(nia.memberships.get(), YESTERDAY, manager) is None
    assert not nia.memberships.exists()


def test_a_role_held_for_long_does_not_end_before_it_began(cast, manager):
    held = cast.person["engineer"].memberships.get()
    with pytest.raises(PeopleRefused, match="until_on: wanted 2025-01-01 or later"):
        end(held, date(2024, 5, 28), manager)
    with pytest.raises(PeopleRefused, match="until_on: wanted a day of"):
        end(held, date.max, manager)
    held.refresh_from_db()
    assert held.until_on is None


def test_a_role_that_ended_is_given_again_and_not_changed(cast, manager):
    held = cast.person["engineer"].memberships.get()
    held.until_on = YESTERDAY
    held.save()
    for until_on in (None, LATER):
        with pytest.raises(PeopleRefused, match="ended already"):
            end(held, until_on, manager)


def _day_after(day):
    after = day + timedelta(days=1)
    return f"{after.day} {after:%b %Y}"


@pytest.mark.parametrize("until_on", [YESTERDAY, TODAY, LATER])
def test_a_base_keeps_its_last_manager(cast, manager, until_on):
    held = manager.memberships.get()
    with pytest.raises(PeopleRefused, match=f"no manager from {_day_after(until_on)} on"):
        end(held, until_on, manager)
    held.refresh_from_db()
    assert held.until_on is None


@pytest.mark.parametrize("short_of", ["too late", "no password", "not active", "other base", "other role"])
def test_another_manager_must_be_able_to_take_over(cast, manager, nia, elsewhere, short_of):
    held = manager.memberships.get()
    base = elsewhere if short_of == "other base" else cast.base
    from_on = LATER + timedelta(days=2 if short_of == "too late" else 1)
    role(nia, base, role="office" if short_of == "other role" else "manager", from_on=from_on)
    if short_of == "no password":
        nia.set_unusable_password()
    nia.is_active = short_of != "not active"
    nia.save()
    with pytest.raises(PeopleRefused, match="would have no manager"):
        end(held, LATER, manager)


def test_a_manager_goes_where_another_takes_over_the_day_after(cast, manager, nia):
    role(nia, cast.base, role="manager", from_on=LATER + timedelta(days=1))
    assert end(manager.memberships.get(), LATER, manager).until_on == LATER


def test_a_role_to_come_is_not_taken_from_the_manager_who_takes_over(cast, manager, nia):
    follows = role(nia, cast.base, role="manager", from_on=LATER + timedelta(days=1))
    end(manager.memberships.get(), LATER, manager)
    with pytest.raises(PeopleRefused, match="would have no manager"):
        end(follows, YESTERDAY, manager)
    assert Membership.objects.filter(pk=follows.pk).exists()


def test_nobody_ends_roles_at_a_base_they_do_not_manage(cast, manager):
    with pytest.raises(NotTheirs):
        end(cast.person["stranger"].memberships.get(), TODAY, manager)
    with pytest.raises(NotTheirs):
        end(cast.person["office"].memberships.get(), TODAY, cast.person["engineer"])
    assert not Membership.objects.filter(until_on__isnull=False).exists()


# passwords


def test_a_manager_gives_a_password_that_ends_tokens_and_ones_own_leaves_them(manager, nia):
    _, secret = make_token(nia, name="diary", at=NOW)
    give_password(nia, password="mine-and-nobody-elses", at=NOW, by=nia)
    assert person_of(secret) == nia
    give_password(nia, password="given-at-the-pontoon", at=NOW, by=manager)
    nia.refresh_from_db()
    assert nia.check_password("given-at-the-pontoon")
    assert person_of(secret) is None


@pytest.mark.parametrize("from_on", [date(2025, 1, 1), LATER])
def test_no_base_takes_over_the_sign_in_of_another_bases_person(manager, nia, elsewhere, from_on):
    role(nia, elsewhere, role="office", from_on=from_on)
    with pytest.raises(NotTheirs):
        give_password(nia, password="given-at-the-pontoon", at=NOW, by=manager)
    role(manager, elsewhere, role="manager")
    give_password(nia, password="given-at-the-pontoon", at=NOW, by=manager)
    assert nia.check_password("given-at-the-pontoon")


@pytest.mark.parametrize("who", ["engineer", "office", "stranger"])
def test_only_managers_give_passwords(cast, nia, who):
    with pytest.raises(NotTheirs):
        give_password(nia, password="given-at-the-pontoon", at=NOW, by=cast.person[who])


def test_who_works_nowhere_any_more_gets_none(cast, manager, nia):
    nia.memberships.update(from_on=date(2025, 1, 1), until_on=YESTERDAY)
    with pytest.raises(NotTheirs):
        give_password(nia, password="given-at-the-pontoon", at=NOW, by=manager)


@pytest.mark.parametrize("weak", ["short", "password123"])
def test_a_weak_password_is_refused_and_the_old_one_holds(nia, weak):
    with pytest.raises(ValidationError):
        give_password(nia, password=weak, at=NOW, by=nia)
    assert Person.objects.get(pk=nia.pk).check_password(GOOD)


# tokens


def test_a_token_opens_for_its_person_and_only_its_digest_is_kept(nia):
    token, secret = make_token(nia, name=" my  diary ", at=NOW)
    assert person_of(secret) == nia
    assert token.name == "my diary"
    row = Token.objects.filter(pk=token.pk).values().get()
    assert secret not in str(row)


@pytest.mark.parametrize("secret", ["", "x", "ä" * 28, "\udc80" * 28, "a" * 28, "a" * 10_000])
def test_what_is_no_token_is_nobodys(nia, secret):
    make_token(nia, name="diary", at=NOW)
    assert person_of(secret) is None
    assert person_of(new_secret()) is None


def test_a_revoked_token_opens_nothing_and_keeps_its_moment(nia):
    token, secret = make_token(nia, name="diary", at=NOW)
    revoke_token(token, at=NOW)
    assert person_of(secret) is None
    assert revoke_token(token, at=NOW + timedelta(hours=1)).revoked_at == NOW


def test_a_token_of_who_can_not_sign_in_any_more_opens_nothing(nia):
    _, secret = make_token(nia, name="diary", at=NOW)
    Person.objects.filter(pk=nia.pk).update(is_active=False)
    assert person_of(secret) is None


def test_two_tokens_of_one_name_are_told_apart_by_having_one_at_a_time(nia, cast):
    token, _ = make_token(nia, name="diary", at=NOW)
    with pytest.raises(PeopleRefused, match="name: “diary” is in force already"):
        make_token(nia, name="diary", at=NOW)
    make_token(cast.person["engineer"], name="diary", at=NOW)
    revoke_token(token, at=NOW)
    make_token(nia, name="diary", at=NOW)


def test_there_are_only_so_many_tokens(nia):
    for n in range(MOST_TOKENS):
        make_token(nia, name=f"program {n}", at=NOW)
    with pytest.raises(PeopleRefused, match="revoke one"):
        make_token(nia, name="one more", at=NOW)


@pytest.mark.parametrize("name", ["", "   ", "n" * 61, "a\x00b", "\ud800"])
def test_a_token_needs_a_name_that_can_be_read(nia, name):
    with pytest.raises(ValidationError) as wrong:
        make_token(nia, name=name, at=NOW)
    assert "name" in wrong.value.message_dict


# who is there


def test_the_list_tells_who_is_here_who_comes_and_who_left(cast, nia):
    later, left = PersonFactory(name="Zora Later"), PersonFactory(name="Adam Left")
    role(later, cast.base, from_on=LATER)
    role(left, cast.base, until_on=YESTERDAY)
    role(nia, cast.base, role="office", until_on=YESTERDAY)
    found = {w.person.name: w for w in workers(cast.base, TODAY)}
    assert "Stranger" not in found
    assert (found["Nia Torrel"].here, found["Nia Torrel"].ended) == (True, False)
    assert [m.role for m in found["Nia Torrel"].roles] == ["engineer"]
    assert (found["Zora Later"].here, found["Zora Later"].ended) == (False, False)
    assert (found["Adam Left"].here, found["Adam Left"].ended) == (False, True)


def test_a_role_counts_on_its_first_and_last_day_and_not_beyond(cast, manager):
    held = manager.memberships.get()
    for first, last, counts in [
        (TODAY, TODAY, True),
        (LATER, None, False),
        (date(2025, 1, 1), YESTERDAY, False),
    ]:
        held.from_on, held.until_on = first, last
        held.save()
        assert bases_where(manager, "change people", NOW) == ({cast.base.pk} if counts else set())
