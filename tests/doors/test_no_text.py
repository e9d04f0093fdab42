"""The byte 0 is in no text: PostgreSQL refuses it in a question, so a page must before it asks."""

import pytest
from django.test import Client

from fleet.charters.links import make_link
from tests.cast import NOW


@pytest.mark.parametrize(
    "where",
    ["/at/%00/", "/at/harbour%00/boats/", "/at/harbour/papers/%00/", "/at/harbour/papers/a%00b/", "/%00/"],
)
def test_an_address_with_it_leads_nowhere(engineer, where):
    assert engineer.get(where).status_code == 404


def test_a_skippers_address_with_it_leads_nowhere(cast, today_is):
    _, secret = make_link(cast.charter["S2"], at=NOW)
    assert Client().get(f"/s/{secret}/papers/%00/").status_code == 404
    assert Client().get("/s/%00/").status_code in (404, 410)


def test_a_name_with_it_does_not_sign_in(cast, today_is):
    sent = {"username": "engineer\x00", "password": "x\x00"}
    assert Client().post("/sign-in/", sent).status_code == 200


def test_a_token_with_it_is_nobodys(cast, today_is):
    answer = Client().get("/api/boats/", HTTP_AUTHORIZATION="Bearer a\x00b")
    assert answer.status_code == 401


@pytest.mark.parametrize("asked", ["base=%00", "boat=%00", "fields=%00", "cursor=%00", "kind=%00"])
def test_a_question_of_the_api_with_it_is_refused(engineer, asked):
    for table in ("boats", "components", "due"):
        assert engineer.get(f"/api/{table}/?{asked}").status_code in (200, 400, 404), table
