"""The API against its own description: its cast, and tokens for everybody who may call."""

import pytest

from fleet.people.actions import make_token
from tests.cast import NOW, Cast, assemble
from tests.contract.things import Things, gather
from tests.once_more import once_more


def with_things() -> Cast:
    cast = assemble()
    gather(cast)
    return cast


@pytest.fixture
def cast(db, today_is) -> Cast:
    """The standing cast, with one thing of each sort that the API tells of."""
    return once_more("the cast and one thing of each sort", with_things)


@pytest.fixture
def things(cast) -> Things:
    """Their names and numbers, asked of what is there."""
    return Things()


@pytest.fixture
def tokens(cast, today_is) -> dict[str, str]:
    """A token of each role's person."""
    return {role: make_token(person, name="contract", at=NOW)[1] for role, person in cast.person.items()}
