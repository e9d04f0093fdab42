"""manage.py person: who may sign in at a base."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from fleet.people.facts import person_of
from fleet.people.models import Membership, Person


@pytest.fixture
def add(cast, tmp_path):
    def add(
        login="nia", name="Nia Torrel", base="harbour", role="engineer", password="seven-boats-back", **more
    ):
        file = tmp_path / "password"
        file.write_text(password + "\n", encoding="utf-8")
        said = StringIO()
        told = {"name": name, "base": base, "role": role, "password_from": file} | more
        call_command("person", login, **told, stdout=said)
        return said.getvalue()

    return add


def test_somebody_new_can_sign_in_and_is_said_to_be_there(add, client):
    assert add() == "Nia Torrel is engineer at Harbour.\n"
    way_in = {"username": "nia", "password": "seven-boats-back", "next": "/"}
    answer = client.post("/sign-in/", way_in, follow=True)
    assert answer.redirect_chain[-1][0] == "/at/harbour/"


def test_a_second_role_is_added_to_the_same_person(add):
    add()
    add(name=None, role="manager")
    assert Person.objects.filter(login="nia").count() == 1
    roles = Membership.objects.filter(person__login="nia").values_list("role", flat=True)
    assert set(roles) == {"engineer", "manager"}


def test_the_same_role_twice_is_one(add):
    add()
    add()
    assert Membership.objects.filter(person__login="nia").count() == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"base": "nowhere"}, "--base: found nowhere; wanted one of .*harbour"),
        ({"name": None}, "--name: wanted the name of a new person"),
        ({"password": "short"}, "too short"),
        ({"password": "password123"}, "too common"),
    ],
)
def test_what_is_wrong_is_named_and_nobody_is_added(add, wrong, said):
    before = Person.objects.count()
    with pytest.raises(CommandError, match=said):
        add(**wrong)
    assert Person.objects.count() == before


def test_a_token_is_printed_once_and_opens_for_the_person(add, cast):
    said = add(token="diary")
    _, secret = said.splitlines()
    assert person_of(secret).login == "nia"
    _, other = add(name=None, token="second").splitlines()
    assert person_of(other).login == "nia"
    with pytest.raises(CommandError, match="--token: “diary” is in force already"):
        add(name=None, token="diary")


def test_a_name_without_sense_makes_neither_person_nor_token(add):
    with pytest.raises(CommandError):
        add(token=" ")
    assert not Person.objects.filter(login="nia").exists()


def test_who_keeps_the_machine_takes_another_bases_person_on(add, cast):
    assert add(login="stranger", name=None) == "Stranger is engineer at Harbour.\n"
    assert cast.person["stranger"].memberships.count() == 2


def test_the_same_login_under_another_name_is_refused(add):
    add()
    with pytest.raises(CommandError, match="--name: nia is Nia Torrel already"):
        add(name="Nils Tander", role="office")
