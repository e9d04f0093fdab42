"""Who may do what: section 9 of the design, row by row."""

import pytest

from fleet.people.roles import ENGINEER, MANAGER, MAY, OFFICE, ROLES, may

ALL = {ENGINEER, MANAGER, OFFICE}
TABLE = {
    "see": ALL,
    "record a return": ALL,
    "record a reading": ALL,
    "report a defect": ALL,
    "put a defect right": {ENGINEER, MANAGER},
    "record work": {ENGINEER, MANAGER},
    "count stock": {ENGINEER, MANAGER},
    "change charters": {MANAGER, OFFICE},
}


@pytest.mark.parametrize("action", TABLE)
@pytest.mark.parametrize("role", ROLES)
def test_a_role_may_do_what_the_table_gives_it(role, action):
    assert may(frozenset({role}), action) is (role in TABLE[action])


def test_every_action_of_the_code_stands_in_the_table():
    assert set(MAY) == set(TABLE)


def test_several_roles_may_do_what_any_of_them_may():
    assert may(frozenset({ENGINEER, OFFICE}), "change charters")
    assert may(frozenset({ENGINEER, OFFICE}), "record work")


def test_nobody_without_a_role_may_do_anything():
    assert not any(may(frozenset(), action) for action in MAY)


def test_an_unknown_action_is_a_mistake_of_ours_and_not_a_no():
    with pytest.raises(KeyError):
        may(frozenset(ROLES), "sail away")
