"""Who may do what: the code's table beside section 9 of the design, cell by cell."""

import pytest

from fleet.people.roles import ENGINEER, MANAGER, MAY, OFFICE, ROLES, SKIPPER, may

# Section 9 of the design, word for word.
DESIGN = """
| action | engineer | manager | office | skipper's link |
|---|---|---|---|---|
| see boats, due list, defects, spares, audit of own bases | yes | yes | yes, no prices set aside | own charter's boat: places, open limits, own reports |
| record readings, services, returns, defects, stock moves, counts | yes | yes | readings, returns, defects | return and defects of own charter, once each by client_id |
| grade, defer, put right; release; override a hold | as the base's rules say | yes | no | no |
| intervals, requirements, allowances, kinds, boats | no | yes | boats, charters | no |
| charters, links | see | yes | yes | no |
| people and roles, rules of the base, exports, restore | no | yes | no | no |
"""  # noqa: E501
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in DESIGN.strip().splitlines()]
COLUMNS = ROWS[0][1:]
TABLE = {row[0]: dict(zip(COLUMNS, row[1:], strict=True)) for row in ROWS[2:]}
SEE, RECORD, GRADE, LISTS, CHARTERS, PEOPLE = TABLE

# What the code calls a thing: the design's row it stands in, and the word that a cell naming some
# of the row's things must have for it.
PLACED = {
    "see": (SEE, "due list"),
    "record a return": (RECORD, "return"),
    "record a reading": (RECORD, "readings"),
    "report a defect": (RECORD, "defects"),
    "keep a paper": (RECORD, "defects"),  # the photo of one; what a return hands in
    "record work": (RECORD, "services"),
    "read a printed date": (RECORD, "services"),  # new paper is work on a part, as a service is
    "count stock": (RECORD, "counts"),
    "put a defect right": (GRADE, "put right"),
    "grade and defer": (GRADE, "grade"),
    "release a boat": (GRADE, "release"),
    "hand over": (GRADE, "release"),  # it opens on the release, or over its lack by name
    "look at a hull": (GRADE, "put right"),  # a look may end a touch, as putting right ends a defect
    "lay up and fit out": (GRADE, "release"),  # fitting-out is signed before the first charter
    "walk the round": (RECORD, "services"),
    "order parts": (RECORD, "stock moves"),  # what comes of an order is a stock move
    "export for an owner": (PEOPLE, "exports"),
    "change boats": (LISTS, "boats"),
    "change intervals": (LISTS, "intervals"),
    "change charters": (CHARTERS, "charters"),
    "change people": (PEOPLE, "people"),
    "change the base's rules": (PEOPLE, "rules of the base"),
}
# What the design's table has no row for, and why it is given as it is.
BESIDE = {
    # the skipper is answered by whoever of the base reads the report, and does not answer himself
    "answer a report": {ENGINEER, MANAGER, OFFICE},
    # whoever is there goes and looks; and whoever is rung up takes the call
    "look at an alarm": {ENGINEER, MANAGER, OFFICE},
    "go out to a boat": {ENGINEER, MANAGER, OFFICE},
    # the office sees what all see, its prices set aside
    "see prices": {ENGINEER, MANAGER},
}


def given(action: str, role: str) -> bool:
    """What the design says: a whole cell, or the things it names."""
    if action in BESIDE:
        return role in BESIDE[action]
    row, word = PLACED[action]
    cell = TABLE[row][role]
    if cell in ("no", "see"):
        return False
    return cell.startswith(("yes", "as the base's rules say")) or word in cell


@pytest.mark.parametrize("action", MAY)
@pytest.mark.parametrize("role", [*ROLES, SKIPPER])
def test_a_role_may_do_what_the_table_gives_it_and_nothing_else(role, action):
    assert may(frozenset({role}), action) is given(action, role)


def test_every_action_of_the_code_stands_in_the_table_and_every_row_of_the_table_in_the_code():
    assert set(MAY) == set(PLACED) | set(BESIDE)
    assert {row for row, _ in PLACED.values()} == set(TABLE)


def test_the_roles_of_the_code_are_the_columns_of_the_table():
    assert [*ROLES, SKIPPER] == COLUMNS


def test_several_roles_may_do_what_any_of_them_may():
    assert may(frozenset({ENGINEER, OFFICE}), "change charters")
    assert may(frozenset({ENGINEER, OFFICE}), "record work")


def test_nobody_without_a_role_may_do_anything():
    assert not any(may(frozenset(), action) for action in MAY)


def test_an_unknown_action_is_a_mistake_of_ours_and_not_a_no():
    with pytest.raises(KeyError):
        may(frozenset(ROLES), "sail away")
