"""People on pages: the list, hiring, ending a role, passwords, one's own tokens."""

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fleet.people.facts import person_of
from fleet.people.models import Membership, Person, Token
from fleet.people.roles import MAY, ROLES, SKIPPER
from tests.doors.sheets import said, sheet_with, sheets, tap
from tests.factories import MembershipFactory, PersonFactory

PASSWORD = "a long enough password"
NEW = {"name": "Nia Torrel", "login": "nia", "role": "engineer", "password": "seven-boats-back"}


@pytest.fixture
def manager(cast, sign_in):
    cast.person["manager"].set_password(PASSWORD)
    cast.person["manager"].save()
    return sign_in("manager")


@pytest.fixture
def elsewhere(cast):
    return cast.person["stranger"].memberships.get().base


def the_list(browser):
    return browser.get(reverse("people", args=["harbour"]))


def page_of(browser, person: Person):
    return browser.get(reverse("person", args=["harbour", person.pk]))


def follow(browser, answer):
    assert answer.status_code == 302, said(answer)
    return browser.get(answer["Location"])


def signs_in(login: str, password: str) -> bool:
    sent = {"username": login, "password": password}
    return Client().post(reverse("sign-in"), sent).status_code == 302


# the list and the table


def test_the_table_on_the_page_is_the_table_in_the_code(engineer):
    page = the_list(engineer).content.decode()
    table = page[page.index('<table class="may">') :]
    rows = re.findall(r"<tr>(.*?)</tr>", table, re.S)
    cells = [
        [re.sub(r"<.*?>", "", c).replace("&#x27;", "'") for c in re.findall(r"<t[hd].*?</t[hd]>", r)]
        for r in rows
    ]
    assert [c.lower() for c in cells[0]] == ["what", *ROLES, SKIPPER]
    shown = {
        row[0].lower(): {r for r, c in zip([*ROLES, SKIPPER], row[1:], strict=True) if c == "yes"}
        for row in cells[1:]
    }
    assert shown == {action: set(roles) for action, roles in MAY.items()}


def test_everybody_sees_who_works_here_and_only_the_manager_how_they_sign_in(cast, engineer, manager):
    left = PersonFactory(name="Adam Left")
    MembershipFactory(person=left, base=cast.base, until_on=date(2026, 5, 27))
    later = PersonFactory(name="Zora Later")
    MembershipFactory(person=later, base=cast.base, role="office", from_on=date(2026, 7, 1))
    seen, changed = said(the_list(engineer)), said(the_list(manager))
    for text in (seen, changed):
        assert "Engineer engineer since 1 Jan 2025" in text.replace(" signs in as engineer", "").replace(
            " does not sign in: no password", ""
        )
        assert "from 1 Jul 2026" in text
        assert "Worked here before (1)" in text
        assert "Stranger" not in text
    assert "signs in as manager" in changed
    assert "signs in as" not in seen
    assert "Add somebody" not in seen
    assert not [s for s in sheets(the_list(engineer)) if s.action != reverse("sign-out")]


def test_the_way_to_oneself_and_to_people_stands_on_every_page_of_a_base(engineer):
    page = engineer.get(reverse("week", args=["harbour"])).content.decode()
    assert f'href="{reverse("me")}"' in page
    assert f'href="{reverse("people", args=["harbour"])}"' in page


# hiring


def test_somebody_new_is_added_told_of_and_signs_in(manager):
    page = follow(manager, tap(manager, the_list(manager), "Add them", **NEW))
    assert "Nia Torrel is engineer from Thu 28 May 2026" in said(page)
    assert signs_in("nia", "seven-boats-back")


def test_the_password_that_stands_there_is_good_and_each_time_another(manager):
    first, second = (sheet_with(the_list(manager), "Add them").values["password"][0] for _ in range(2))
    assert first != second
    told = {k: v for k, v in NEW.items() if k != "password"}
    page = the_list(manager)
    stood_there = sheet_with(page, "Add them").values["password"][0]
    tap(manager, page, "Add them", **told)
    assert signs_in("nia", stood_there)


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"name": ""}, "Their name: wanted the name of a new person"),
        ({"name": "N" * 121}, "Their name: wanted at most 120 letters"),
        ({"login": ""}, "Name to sign in with: wanted a short name such as nia"),
        ({"login": "two words"}, "Name to sign in with: login: letters, digits"),
        ({"login": "stranger"}, "Name to sign in with: “stranger” is taken; wanted another name"),
        ({"login": "office"}, "Name to sign in with: “office” is Office, who is known here"),
        ({"role": ""}, "Role: wanted engineer, manager or office"),
        ({"role": "admiral"}, "Role: wanted engineer, manager or office"),
        ({"role": SKIPPER}, "Role: wanted engineer, manager or office"),
        ({"from_on": ""}, "From: wanted a day"),
        ({"from_on": "28/5/2026"}, "From: wanted a day such as 2026-05-30"),
        ({"from_on": "0206-05-28"}, "From: wanted a day of the past sixty years"),
        ({"password": ""}, "Password to start with: wanted a password"),
        ({"password": "short"}, "Password to start with: This password is too short"),
        ({"name": "\u202eNia"}, "Their name: wanted letters, digits and signs that can be seen"),
    ],
)
def test_what_is_wrong_is_named_and_what_was_typed_stays(manager, told, why):
    before = Person.objects.count(), Membership.objects.count()
    answer = tap(manager, the_list(manager), "Add them", **NEW | told)
    assert answer.status_code == 422
    assert why in said(answer)
    kept = sheet_with(answer, "Add them").values
    for name, typed in (NEW | told).items():
        assert name == "role" or kept[name] == [typed]
    assert (Person.objects.count(), Membership.objects.count()) == before


def test_a_slip_sent_twice_makes_one_person(manager):
    tap(manager, the_list(manager), "Add them", **NEW)
    answer = tap(manager, the_list(manager), "Add them", **NEW)
    assert answer.status_code == 422
    assert "Nia Torrel has one already" in said(answer)
    assert Person.objects.filter(login="nia").count() == 1


# one person


def test_another_role_is_given_and_ended_and_the_end_taken_back(cast, manager):
    office = cast.person["office"]
    given = {"role-role": "engineer", "role-from_on": "2026-05-28"}
    page = follow(manager, tap(manager, page_of(manager, office), "Give this role", **given))
    assert "Office is engineer from Thu 28 May 2026" in said(page)
    row = office.memberships.get(role="engineer")
    Membership.objects.filter(pk=row.pk).update(from_on=date(2026, 1, 1))
    ended = {"what": f"end-{row.pk}", f"end-{row.pk}-until_on": "2026-06-30"}
    page = follow(manager, manager.post(page_of(manager, office).request["PATH_INFO"], ended))
    assert "Office is engineer until Tue 30 Jun 2026" in said(page)
    page = follow(manager, tap(manager, page, "Take the end back"))
    assert "Office is engineer until further notice" in said(page)
    assert office.memberships.get(role="engineer").until_on is None


def test_who_is_shut_out_finds_nothing_the_moment_after(cast, manager, sign_in):
    office, browser = cast.person["office"], sign_in("office")
    assert the_list(browser).status_code == 200
    tap(manager, page_of(manager, office), "Set the last day", **_last_day(office, "2026-05-27"))
    assert the_list(browser).status_code == 404
    assert "No base yet" in said(browser.get("/"))
    assert "No base has you on its list" in said(browser.get(reverse("me")))


def test_the_last_manager_is_told_why_they_stay(cast, manager):
    me = cast.person["manager"]
    answer = tap(manager, page_of(manager, me), "Set the last day", **_last_day(me, "2026-05-28"))
    assert answer.status_code == 422
    assert "Last day: Harbour would have no manager from 29 May 2026 on" in said(answer)
    assert me.memberships.get().until_on is None


def test_a_manager_who_leaves_at_once_is_not_led_to_a_page_that_is_shut(cast, manager):
    other = PersonFactory(name="Nia")
    other.set_password(PASSWORD)
    other.save()
    MembershipFactory(person=other, base=cast.base, role="manager")
    me = cast.person["manager"]
    answer = tap(manager, page_of(manager, me), "Set the last day", **_last_day(me, "2026-05-27"))
    assert "Manager is manager until Wed 27 May 2026" in said(follow(manager, answer))


@pytest.mark.parametrize("typed", ["", "soon", "2024-05-28", "9999-12-31"])
def test_a_last_day_that_can_not_be_is_refused_by_name(cast, manager, typed):
    office = cast.person["office"]
    answer = tap(manager, page_of(manager, office), "Set the last day", **_last_day(office, typed))
    assert answer.status_code == 422
    assert "Last day: wanted" in said(answer)
    assert office.memberships.get().until_on is None


def _last_day(person: Person, day: str) -> dict[str, str]:
    return {f"end-{person.memberships.get().pk}-until_on": day}


@pytest.mark.parametrize("what", ["end-0", "end-", "end-1e3", "end-" + "9" * 40, "on-1", "password", "rule"])
def test_a_form_nobody_was_given_changes_nothing(cast, manager, elsewhere, what):
    """Neither another base's role nor a password that is not this manager's to give."""
    row = cast.person["stranger"].memberships.get()
    MembershipFactory(person=cast.person["office"], base=elsewhere, role="office")
    office = cast.person["office"]
    for name in (what, f"end-{row.pk}"):
        sent = {"what": name, f"{name}-until_on": "2026-05-28", "password-password": "taken-over-by-us"}
        assert manager.post(page_of(manager, office).request["PATH_INFO"], sent).status_code == 422
    assert not Membership.objects.filter(until_on__isnull=False).exists()
    assert not Person.objects.get(pk=office.pk).check_password("taken-over-by-us")


def test_a_new_password_is_given_and_ends_sessions(cast, manager, sign_in):
    browser = sign_in("office")
    given = {"password-password": "given-at-the-pontoon"}
    page = follow(
        manager, tap(manager, page_of(manager, cast.person["office"]), "Give this password", **given)
    )
    assert "Office has a new password" in said(page)
    assert signs_in("office", "given-at-the-pontoon")
    assert the_list(browser).status_code == 302


def test_the_password_of_who_works_elsewhere_too_is_not_offered(cast, manager, elsewhere):
    MembershipFactory(person=cast.person["office"], base=elsewhere, role="office")
    page = page_of(manager, cast.person["office"])
    assert "Give this password" not in page.content.decode()
    assert "not yours to change" in said(page)
    assert "Elsewhere" not in said(page)


def test_who_left_is_taken_on_again_with_a_new_password(cast, manager):
    left = PersonFactory(name="Adam Left", login="adam")
    MembershipFactory(person=left, base=cast.base, until_on=date(2026, 5, 1))
    page = page_of(manager, left)
    given = {"role-role": "engineer", "role-from_on": "2026-05-28"}
    weak = tap(manager, page, "Give this role", **given, **{"role-password": "short"})
    assert "New password: This password is too short" in said(weak)
    follow(manager, tap(manager, page, "Give this role", **given, **{"role-password": "back-for-summer"}))
    assert signs_in("adam", "back-for-summer")


# oneself


def test_you_says_who_one_is_where_and_as_what(cast, sign_in, elsewhere):
    MembershipFactory(person=cast.person["office"], base=elsewhere, role="engineer", from_on=date(2026, 7, 1))
    page = sign_in("office").get(reverse("me"))
    text = said(page)
    assert "Signed in as office" in text
    assert "Harbour office since 1 Jan 2025" in text
    assert "engineer from 1 Jul 2026" in text
    assert reverse("week", args=["elsewhere"]) not in page.content.decode()


def test_ones_own_password_is_changed_with_the_old_one_and_ends_other_sessions(cast, manager, sign_in):
    other = sign_in("manager")
    typed = {"old": PASSWORD, "password": "fresh-from-the-yard", "again": "fresh-from-the-yard"}
    page = follow(manager, tap(manager, manager.get(reverse("me")), "Change it", **typed))
    assert "Your password is changed" in said(page)
    assert manager.get(reverse("me")).status_code == 200
    assert other.get(reverse("me")).status_code == 302
    assert signs_in("manager", "fresh-from-the-yard")


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"old": "not it at all"}, "Password until now: this is not it"),
        ({"old": ""}, "Password until now: wanted your password"),
        ({"again": "fresh-from-the-shop"}, "New password once more: wanted the same as above"),
        ({"password": "short", "again": "short"}, "New password: This password is too short"),
        ({"password": "x" * 121, "again": "x" * 121}, "New password: wanted at most 120 letters"),
    ],
)
def test_a_password_change_that_can_not_be_is_refused_by_name_and_shows_none(manager, typed, why):
    whole = {"old": PASSWORD, "password": "fresh-from-the-yard", "again": "fresh-from-the-yard"} | typed
    answer = tap(manager, manager.get(reverse("me")), "Change it", **whole)
    assert answer.status_code == 422
    assert why in said(answer)
    assert "fresh-from-the-yard" not in answer.content.decode()
    assert signs_in("manager", PASSWORD)


def test_a_token_is_shown_once_and_how_to_send_it(cast, engineer):
    page = tap(engineer, engineer.get(reverse("me")), "Make it", name="diary")
    secret = re.search(r"Authorization: Bearer ([a-z2-7]{28})", said(page))[1]
    assert person_of(secret) == cast.person["engineer"]
    assert "no-store" in page["Cache-Control"]
    later = engineer.get(reverse("me"))
    assert "diary" in said(later)
    assert secret not in later.content.decode()
    again = tap(engineer, later, "Make it", name="diary")
    assert again.status_code == 422
    assert "What it is for: “diary” is in force already" in said(again)
    follow(engineer, tap(engineer, later, "Revoke"))
    assert person_of(secret) is None
    assert "diary" not in said(engineer.get(reverse("me")))


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("", "wanted a word for the program"),
        ("n" * 61, "wanted at most 60 letters"),
        ("\u202ediary", "wanted letters, digits"),
    ],
)
def test_a_token_needs_a_name(engineer, name, why):
    answer = tap(engineer, engineer.get(reverse("me")), "Make it", name=name)
    assert answer.status_code == 422
    assert f"What it is for: {why}" in said(answer)
    assert not Token.objects.exists()


@pytest.mark.parametrize("guess", [None, "0", "", "x", "9" * 40, "-1", "²"])
def test_somebody_elses_token_is_not_revoked(cast, engineer, sign_in, guess):
    office = sign_in("office")
    tap(office, office.get(reverse("me")), "Make it", name="diary")
    sent = {"what": "revoke", "token": guess or Token.objects.get().pk}
    assert engineer.post(reverse("me"), sent).status_code == 404
    assert Token.objects.get().revoked_at is None
