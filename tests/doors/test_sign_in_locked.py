"""Guessing a password: ten wrong ones for a name from an address, and that address waits."""

from datetime import timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from tests.doors.sheets import said

PASSWORD, PONTOON, ELSEWHERE = "a long enough password", "192.0.2.7", "198.51.100.9"  # RFC 5737


@pytest.fixture(autouse=True)
def people(cast, today_is):
    for name in ("engineer", "office", "manager"):
        cast.person[name].set_password(PASSWORD)
        cast.person[name].save()


def attempt(password: str, *, login: str = "engineer", address: str = PONTOON, **headers: str):
    sent = {"username": login, "password": password}
    return Client(REMOTE_ADDR=address, **headers).post(reverse("sign-in"), sent)


def guess(times: int, **more: str) -> list[int]:
    return [attempt(f"guess {n}", **more).status_code for n in range(times)]


def test_the_tenth_wrong_password_shuts_the_door_and_says_for_how_long():
    assert guess(9) == [200] * 9
    shut = attempt("guess ten")
    assert shut.status_code == 429
    assert "Wait ten minutes" in said(shut)
    assert attempt(PASSWORD).status_code == 429


def test_nine_wrong_passwords_and_the_right_one_come_in_and_the_count_starts_again():
    for _ in range(2):
        assert guess(9) == [200] * 9
        assert attempt(PASSWORD).status_code == 302


def test_nobody_locks_a_person_out_from_somewhere_else():
    guess(12, address=ELSEWHERE)
    assert attempt(PASSWORD, address=ELSEWHERE).status_code == 429
    assert attempt(PASSWORD).status_code == 302


def test_another_name_from_the_same_address_still_signs_in():
    guess(12)
    assert attempt(PASSWORD, login="office").status_code == 302


def test_a_name_nobody_has_is_shut_in_the_same_way_and_tells_nothing():
    assert guess(10, login="nobody") == guess(10) == [200] * 9 + [429]


def test_it_ends_ten_minutes_after_the_last_try(today_is):
    guess(10)
    today_is.shift(timedelta(minutes=9))
    assert attempt(PASSWORD).status_code == 429
    today_is.shift(timedelta(minutes=9))
    assert attempt(PASSWORD).status_code == 429
    today_is.shift(timedelta(minutes=11))
    assert attempt(PASSWORD).status_code == 302


def test_a_new_password_from_the_manager_opens_at_once(cast, sign_in):
    guess(10)
    where = reverse("person", args=["harbour", cast.person["engineer"].pk])
    given = {"what": "password", "password-password": "given-at-the-pontoon"}
    assert sign_in("manager").post(where, given).status_code == 302
    assert attempt("given-at-the-pontoon").status_code == 302


def test_whoever_keeps_the_machine_opens_it_by_command(capsys):
    guess(10)
    call_command("axes_reset_username", "engineer")
    assert attempt(PASSWORD).status_code == 302


def test_guessing_the_old_password_under_you_is_counted_too(sign_in):
    browser = sign_in("engineer")
    sent = {"what": "password", "password": "fresh-from-the-yard", "again": "fresh-from-the-yard"}
    codes = [browser.post(reverse("me"), sent | {"old": f"guess {n}"}).status_code for n in range(10)]
    assert codes == [422] * 9 + [429]
    assert browser.post(reverse("me"), sent | {"old": PASSWORD}).status_code == 429


def test_what_a_browser_writes_of_its_address_is_believed_from_a_proxy_only():
    for n in range(10):
        shut = attempt("wrong", HTTP_X_FORWARDED_FOR=f"203.0.113.{n}")
    assert shut.status_code == 429


@pytest.mark.parametrize("last", [PONTOON, "2001:db8::7", "fe80::1%eth0"])
def test_behind_a_proxy_each_browser_is_counted_by_the_address_the_proxy_saw(settings, last):
    settings.BEHIND_PROXY = True
    for n in range(10):
        shut = attempt("wrong", address="127.0.0.1", HTTP_X_FORWARDED_FOR=f"203.0.113.{n}, {last}")
    assert shut.status_code == 429
    other = attempt(PASSWORD, address="127.0.0.1", HTTP_X_FORWARDED_FOR=f"{last}, {ELSEWHERE}")
    assert other.status_code == 302


@pytest.mark.parametrize("said_address", ["", "unknown", "' OR 1=1", "1.2.3.4:99", "\x00"])
def test_an_address_that_is_none_is_counted_as_the_proxys(settings, said_address):
    settings.BEHIND_PROXY = True
    for _ in range(10):
        shut = attempt("wrong", address="127.0.0.1", HTTP_X_FORWARDED_FOR=said_address)
    assert shut.status_code == 429


def test_signing_in_changes_the_key_of_the_session():
    browser = Client()
    browser.get("/")
    browser.cookies["sessionid"] = "laid-there-by-somebody-else"
    browser.post(reverse("sign-in"), {"username": "engineer", "password": PASSWORD})
    first = browser.cookies["sessionid"].value
    assert first != "laid-there-by-somebody-else"
    browser.post(reverse("sign-in"), {"username": "office", "password": PASSWORD})
    assert browser.cookies["sessionid"].value != first


def test_signing_out_ends_the_session_itself():
    browser = Client()
    browser.post(reverse("sign-in"), {"username": "engineer", "password": PASSWORD})
    kept = browser.cookies["sessionid"].value
    browser.post(reverse("sign-out"))
    again = Client()
    again.cookies["sessionid"] = kept
    assert again.get(reverse("week", args=["harbour"])).status_code == 302


def test_a_session_of_who_can_not_sign_in_any_more_is_over(cast, sign_in):
    browser = sign_in("engineer")
    cast.person["engineer"].is_active = False
    cast.person["engineer"].save()
    assert browser.get(reverse("me")).status_code == 302
