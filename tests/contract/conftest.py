"""The API against its own description: its cast, and tokens for everybody who may call."""

import pytest

from fleet.people.actions import make_token
from tests.cast import NOW
from tests.contract.things import Things, gather


@pytest.fixture
def things(cast, today_is) -> Things:
    """One thing of each sort, of the base's own and of another's."""
    return gather(cast)


@pytest.fixture
def tokens(cast, today_is) -> dict[str, str]:
    """A token of each role's person."""
    return {role: make_token(person, name="contract", at=NOW)[1] for role, person in cast.person.items()}
