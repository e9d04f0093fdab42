"""Signing in, and finding one's base."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import MembershipFactory

LOGIN, PASSWORD = "engineer", "a long enough password"


@pytest.fixture
def person(cast, today_is):
    engineer = cast.person["engineer"]
    engineer.set_password(PASSWORD)
    engineer.save()
    return engineer


@pytest.fixture
def browser() -> Client:
    return Client()


def sign_in(browser: Client, password: str = PASSWORD, **more: str):
    return browser.post(reverse("sign-in"), {"username": LOGIN, "password": password} | more)


def test_who_signs_in_comes_to_the_week_of_their_base(browser, person):
    answer = sign_in(browser)
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert browser.get("/")["Location"] == reverse("week", args=["harbour"])


def test_who_was_asked_to_sign_in_comes_back_to_the_page_they_wanted(browser, person):
    asked = browser.get(reverse("returns", args=["harbour"]))
    assert asked["Location"] == "/sign-in/?next=/at/harbour/returns/"
    assert sign_in(browser, next="/at/harbour/returns/")["Location"] == "/at/harbour/returns/"


@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"]
)
def test_nobody_is_sent_to_another_site(browser, person, elsewhere):
    assert sign_in(browser, next=elsewhere)["Location"] == "/"


def test_a_wrong_password_is_refused_and_says_no_more_than_that(browser, person):
    wrong = sign_in(browser, "not the password")
    unknown = browser.post(reverse("sign-in"), {"username": "nobody", "password": PASSWORD})
    assert (wrong.status_code, unknown.status_code) == (200, 200)
    errors = [list(a.context["form"].non_field_errors()) for a in (wrong, unknown)]
    assert errors[0] == errors[1] != []
    assert "sessionid" not in browser.cookies


def test_who_left_the_company_does_not_sign_in(browser, person):
    person.is_active = False
    person.save()
    assert sign_in(browser).status_code == 200
    assert browser.get("/").status_code == 302


def test_who_works_at_several_bases_chooses_and_who_works_at_none_is_told(cast, browser, person):
    elsewhere = cast.person["stranger"].memberships.get().base
    other = MembershipFactory(person=person, base=elsewhere, role="office")
    sign_in(browser)
    page = browser.get("/").content.decode()
    assert reverse("week", args=["harbour"]) in page
    assert reverse("week", args=["elsewhere"]) in page
    person.memberships.exclude(pk=other.pk).delete()
    other.until_on = date(2026, 5, 1)
    other.save()
    assert "No base yet" in browser.get("/").content.decode()


def test_several_roles_at_one_base_are_no_choice_to_make(cast, browser, person):
    MembershipFactory(person=person, base=cast.base, role="office")
    sign_in(browser)
    assert browser.get("/")["Location"] == reverse("week", args=["harbour"])


def test_who_signs_out_is_out(browser, person):
    sign_in(browser)
    assert browser.get(reverse("sign-out")).status_code == 405  # a picture's address signs nobody out
    assert browser.post(reverse("sign-out")).status_code == 302
    assert browser.get(reverse("week", args=["harbour"])).status_code == 302


def test_a_form_from_another_site_is_refused(cast, person):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(person)
    where = reverse("return", args=["harbour", cast.boat["sandpiper"].pk])
    assert browser.post(where, {"filed_by": "base", "day": "2026-05-28"}).status_code == 403


def test_the_pages_may_not_be_framed_and_run_no_foreign_script(browser, person):
    sign_in(browser)
    page = browser.get(reverse("week", args=["harbour"]))
    policy = page["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in policy
    assert "default-src 'self'" in policy
    assert page["X-Frame-Options"] == "DENY"
