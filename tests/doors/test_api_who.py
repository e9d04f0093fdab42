"""Who may call which address of the API with which method: section 9 walked over every route there is."""

import json

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from fleet.people.actions import make_token
from tests.cast import NOW, assemble, more_boats
from tests.doors.api import Program
from tests.doors.api_row import ALL, Ids
from tests.doors.api_rows import ROWS
from tests.doors.api_things import things
from tests.doors.test_pages_who import nothing_written
from tests.factories import MembershipFactory
from tests.once_more import once_more

WORDS = sorted(ROWS)
OPEN = {"api", "api-docs", "api-schema", "api-nothing"}  # they tell of the program and of no base
ROLES = sorted(ALL)


def with_things():
    """The cast, and one thing of each table of either base."""
    cast = assemble()
    ours = things(cast, "twice shy", "port engine-oil", "change", "T2", "engineer")
    return cast, ours, things(cast, "far cry", "engine-oil", "change", "F1", "stranger")


@pytest.fixture
def whole(db, today_is):
    return once_more("the cast and what the API tells of", with_things)


@pytest.fixture
def cast(whole):
    return whole[0]


@pytest.fixture
def ours(whole):
    return whole[1]


@pytest.fixture
def theirs(whole):
    return whole[2]


def routes(patterns) -> dict[str, set[str]]:
    """Every route of the API by name, with the methods it takes."""
    found: dict[str, set[str]] = {}
    for pattern in patterns:
        if hasattr(pattern, "url_patterns"):
            for name, methods in routes(pattern.url_patterns).items():
                found.setdefault(name, set()).update(methods)
        elif (pattern.name or "").startswith("api"):
            actions = getattr(pattern.callback, "actions", {"get": ""})
            allowed = getattr(getattr(pattern.callback, "cls", None), "http_method_names", ("get",))
            found.setdefault(pattern.name, set()).update(m for m in actions if m in allowed and m != "head")
    return found


def in_the_table() -> dict[str, set[str]]:
    """The same by the table: a list, a row, its corrections."""
    found: dict[str, set[str]] = {name: {"get"} for name in OPEN}
    for word, row in ROWS.items():
        of_list = {m for m, who in (("get", row.reads), ("post", row.posts)) if who}
        found[f"api-{word}-list"] = of_list
        if row.one:
            more = {m for m, who in (("patch", row.patches), ("delete", row.deletes)) if who}
            found[f"api-{word}-detail"] = {"get"} | more
        if row.corrects:
            found[f"api-{word}-corrections"] = {"post"}
    found["api-papers-file"] = {"get"}
    return found


def send(client: Client, where: str, body: dict) -> HttpResponse:
    if "file" in body:
        return client.post(where, body)
    return client.post(where, json.dumps(body), content_type="application/json")


def change(client: Client, where: str, body: dict) -> HttpResponse:
    return client.patch(where, json.dumps(body), content_type="application/json", headers={"If-Match": "*"})


def test_every_route_and_method_of_the_api_stands_in_the_table():
    assert routes(get_resolver().url_patterns) == in_the_table()


@pytest.mark.parametrize("role", ROLES)
def test_reading_is_for_who_may_and_writes_nothing(sign_in, ours, role):
    client = sign_in(role)
    for word, row in ROWS.items():
        where = f"/api/{word}/"
        with nothing_written():
            if row.reads:
                answer = client.get(where, row.asks(ours))
                assert answer.status_code == (200 if role in row.reads else 403), word
            if row.one and word != "tokens":
                wanted = 200 if role in row.reads else 403
                assert client.get(f"{where}{ours[word]}/").status_code == wanted, word


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize("role", ROLES)
def test_writing_is_for_who_may_and_is_refused_to_others_unwritten(sign_in, ours, cast, role, word):
    client, row = sign_in(role), ROWS[word]
    if word == "tokens":
        ours["tokens"] = make_token(cast.person[role], name="own", at=NOW)[0].pk
    calls = [
        (row.posts, lambda: send(client, f"/api/{word}/", row.adds(ours)), (201,)),
        (row.patches, lambda: change(client, f"/api/{word}/{ours[word]}/", row.changes), (200,)),
        (
            row.corrects,
            lambda: send(client, f"/api/{word}/{ours[word]}/corrections/", row.changes),
            (201, 409, 422),  # what stands on it may be in the way; the role is not
        ),
        (row.deletes, lambda: client.delete(f"/api/{word}/{ours[word]}/"), (204,)),
    ]
    for who, call, good in calls:
        if role in who:
            answer = call()
            assert answer.status_code in good, answer.content
        elif who:
            with nothing_written():
                assert call().status_code == 403


@pytest.mark.parametrize("word", WORDS)
def test_what_nobody_can_do_there_is_said_to_be_so(sign_in, ours, word):
    client, row = sign_in("manager"), ROWS[word]
    with nothing_written():
        for method in ("put", "delete", "patch"):
            assert getattr(client, method)(f"/api/{word}/").status_code == 405
        if row.one:
            where = f"/api/{word}/{ours[word]}/"
            assert client.put(where, "{}", content_type="application/json").status_code == 405
            if not row.deletes:
                assert client.delete(where).status_code == 405
            if not row.patches:
                assert client.patch(where, "{}", content_type="application/json").status_code == 405


@pytest.mark.parametrize("secret", [None, "x" * 28, "", "Ünï"])
def test_who_is_not_signed_in_or_shows_a_false_token_reads_and_writes_nothing(ours, secret):
    client = Client(headers={"Authorization": f"Bearer {secret}"} if secret is not None else {})
    for word, row in ROWS.items():
        where = f"/api/{word}/"
        with nothing_written():
            if row.reads:
                assert client.get(where).status_code == 401, word
            if row.posts:
                assert send(client, where, row.adds(ours)).status_code == 401, word
            if row.one:
                assert client.get(f"{where}{ours[word]}/").status_code == 401, word
            if row.patches:
                assert change(client, f"{where}{ours[word]}/", row.changes).status_code == 401, word
            if row.corrects:
                answer = send(client, f"{where}{ours[word]}/corrections/", row.changes)
                assert answer.status_code == 401, word
            if row.deletes:
                assert client.delete(f"{where}{ours[word]}/").status_code == 401, word


@pytest.mark.parametrize("word", [word for word in WORDS if ROWS[word].one and not ROWS[word].shared])
def test_a_guessed_number_of_another_bases_row_finds_nothing(sign_in, theirs, word):
    client, row = sign_in("manager"), ROWS[word]
    for number in (theirs[word], 0, 10**17):
        where = f"/api/{word}/{number}/"
        with nothing_written():
            assert client.get(where).status_code == 404
            if row.patches:
                assert change(client, where, row.changes).status_code == 404
            if row.corrects:
                assert send(client, f"{where}corrections/", row.changes).status_code == 404
            if row.deletes:
                assert client.delete(where).status_code == 404
    listed = {told["id"] for told in Program(client).rows(f"{word}/")}
    assert theirs[word] not in listed


@pytest.mark.parametrize("word", [word for word in WORDS if ROWS[word].posts and not ROWS[word].shared])
def test_another_bases_people_add_nothing_here(sign_in, ours, word):
    if word == "tokens":
        return_own = send(sign_in("stranger"), "/api/tokens/", {"name": "own"})
        assert return_own.status_code == 201  # a token is its person's, of no base
        return
    client = sign_in("stranger")
    with nothing_written():
        answer = send(client, f"/api/{word}/", ROWS[word].adds(ours))
    assert answer.status_code in (400, 403, 422)


def test_the_file_of_a_paper_is_for_its_own_base(sign_in, ours, theirs):
    client = sign_in("engineer")
    assert client.get(f"/api/papers/{ours['papers']}/file/")["Content-Type"] == "image/jpeg"
    assert client.get(f"/api/papers/{theirs['papers']}/file/").status_code == 404


def test_a_role_at_one_base_gives_none_at_another(cast, sign_in, ours):
    """An engineer here who is manager there changes nothing of here as a manager."""
    elsewhere = cast.person["stranger"].memberships.get().base
    MembershipFactory(person=cast.person["engineer"], base=elsewhere, role="manager")
    client = sign_in("engineer")
    for word in ("bases", "boats", "places", "memberships", "allowances", "charters"):
        with nothing_written():
            answer = change(client, f"/api/{word}/{ours[word]}/", ROWS[word].changes)
        assert answer.status_code == 403, word


def test_a_token_ends_when_it_is_revoked_or_its_person_works_here_no_more(cast, today_is):
    person = cast.person["engineer"]
    token, secret = make_token(person, name="phone", at=NOW)
    client = Client(headers={"Authorization": f"Bearer {secret}"})
    assert client.get("/api/boats/").json()["results"]
    person.memberships.update(until_on="2026-05-27")
    assert client.get("/api/boats/").status_code == 403
    person.memberships.update(until_on=None)
    assert client.delete(f"/api/tokens/{token.pk}/").status_code == 204
    assert client.get("/api/boats/").status_code == 401


def test_a_session_needs_the_csrf_token_to_write_and_a_bearer_does_not(cast, today_is):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(cast.person["engineer"])
    body = json.dumps({"boat": "twice-shy", "words": "Hums"})
    assert strict.post("/api/defects/", body, content_type="application/json").status_code == 403
    _, secret = make_token(cast.person["engineer"], name="phone", at=NOW)
    bearer = Client(enforce_csrf_checks=True, headers={"Authorization": f"Bearer {secret}"})
    assert bearer.post("/api/defects/", body, content_type="application/json").status_code == 201


def test_lists_take_the_same_number_of_queries_for_one_boat_as_for_many(cast, sign_in, ours):
    client = sign_in("manager")
    few = {word: queries_of(client, word, ours) for word, row in ROWS.items() if row.reads}
    more_boats(cast, 4)
    assert few == {word: queries_of(client, word, ours) for word in few}


def queries_of(client: Client, word: str, ours: Ids) -> int:
    with CaptureQueriesContext(connection) as asked:
        query = {"page_size": "500"} | ROWS[word].asks(ours)
        assert client.get(f"/api/{word}/", query).status_code == 200
    return len(asked)


@pytest.mark.parametrize("method", ["get", "post", "put", "patch", "delete"])
@pytest.mark.parametrize("where", ["nope/", "boats", "bases/abc/", "bases/-1/", "bases/1234567890123456789/"])
def test_what_is_no_address_of_the_api_is_said_as_a_problem_and_not_as_a_page(db, method, where):
    answer = getattr(Client(enforce_csrf_checks=True), method)(f"/api/{where}")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")


def test_a_file_is_given_whatever_format_is_asked_for(sign_in, ours):
    client = sign_in("engineer")
    for accept in ("image/*", "image/png", "application/json", "*/*"):
        answer = client.get(f"/api/papers/{ours['papers']}/file/", headers={"Accept": accept})
        assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg"), accept


@pytest.mark.parametrize("word", ["due", "audit", "readings", "charters", "stock"])
def test_a_base_or_boat_that_is_not_ours_is_said_to_be_wrong_and_not_read_as_nothing(sign_in, ours, word):
    client = sign_in("engineer")
    for name, codes in {"boat": ("nobody", "far-cry"), "base": ("nowhere", "elsewhere")}.items():
        for code in codes:
            answer = client.get(f"/api/{word}/", {name: code})
            assert answer.status_code == 400
            assert [wrong["field"] for wrong in answer.json()["errors"]] == [name]


@pytest.mark.parametrize("word", ["due", "audit", "stock", "boats"])
def test_what_is_no_ledger_does_not_pretend_to_know_what_was_known(sign_in, ours, word):
    answer = sign_in("engineer").get(f"/api/{word}/", {"known_at": "2026-05-01T00:00:00Z"})
    assert answer.status_code == 400


def test_a_refusal_names_whose_it_is_to_do(sign_in, ours):
    answer = send(sign_in("engineer"), "/api/kinds/", {})
    assert "“change intervals” is for manager" in answer.json()["detail"]
