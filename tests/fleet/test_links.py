"""A skipper's link: for one charter, ended after its return, and what a secret turns out to be."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from fleet.charters.actions import cancel_charter, extend_charter
from fleet.charters.links import (
    LinkRefused,
    State,
    by_secret,
    close_links,
    end_of,
    make_link,
    revoke_link,
)
from fleet.charters.models import Link
from fleet.secret import LETTERS, new_secret
from tests.cast import NOW, back
from tests.factories import BaseFactory, BoatFactory, CharterFactory, TermsFactory

HOUR = timedelta(hours=1)
# S2 comes back on 30 May at 09:00 at a base in Athens, 06:00 in UTC; 48 h later:
S2_ENDS = datetime(2026, 6, 1, 6, 0, tzinfo=UTC)


@pytest.fixture
def made(cast):
    return make_link(cast.charter["S2"], at=NOW, by=cast.person["office"])


def state(secret: str, at: datetime = NOW) -> State:
    return by_secret(secret, at=at).state


def test_a_link_opens_its_own_charter_and_only_the_digest_of_its_secret_is_kept(cast, made):
    link, secret = made
    verdict = by_secret(secret, at=NOW)
    assert (verdict.state, verdict.link, verdict.link.charter) == (State.GOOD, link, cast.charter["S2"])
    assert (link.made_at, link.made_by) == (NOW, cast.person["office"])
    assert secret not in str(Link.objects.values())


def test_it_ends_48_hours_after_the_return_by_the_bases_clock(made):
    link, secret = made
    assert link.ends_at == S2_ENDS
    assert state(secret, S2_ENDS - timedelta(microseconds=1)) is State.GOOD
    assert state(secret, S2_ENDS) is State.ENDED


def test_where_no_time_was_agreed_she_is_back_at_nine(cast):
    cast.charter["S2"].back_at = None
    assert end_of(cast.charter["S2"]) == S2_ENDS
    cast.charter["S2"].back_at = time(18)
    assert end_of(cast.charter["S2"]) == S2_ENDS + 9 * HOUR


def test_the_48_hours_are_real_hours_where_clocks_change_in_between(db):
    """Europe/Athens went back from 04:00 to 03:00 on 25 October 2026 (IANA time zone database)."""
    boat = BoatFactory()
    TermsFactory(boat=boat, base=BaseFactory(timezone="Europe/Athens"))
    days = {"starts_on": date(2026, 10, 17), "ends_on": date(2026, 10, 24)}
    charter = CharterFactory(boat=boat, back_at=time(9), **days)
    assert end_of(charter) == datetime(2026, 10, 26, 6, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "copied", [" {} ", "{}.", "<{}>", "{}\n", "({}),", '"{}"'], ids=["spaces", "dot", "<>", "line", "(", '"']
)
def test_a_secret_is_known_however_a_message_dressed_it(made, copied):
    assert state(copied.format(made[1])) is State.GOOD
    assert state(copied.format(made[1].upper())) is State.GOOD


def test_a_cut_or_mistyped_secret_is_told_from_an_unknown_one(made):
    secret = made[1]
    swapped = next(letter for letter in LETTERS if letter != secret[5])
    for broken in (
        "",
        secret[:-1],
        secret[1:],
        secret + "a",
        secret[:5] + swapped + secret[6:],
        "\0",
        "ß" * 28,
    ):
        assert state(broken) is State.INCOMPLETE, broken
    assert state(new_secret()) is State.UNKNOWN


def test_a_revoked_link_opens_nothing_and_stays_revoked_by_whom_it_was(cast, made):
    link, secret = made
    revoke_link(link, at=NOW, by=cast.person["manager"])
    again = revoke_link(link, at=NOW + HOUR, by=cast.person["office"])
    assert (again.revoked_at, again.revoked_by) == (NOW, cast.person["manager"])
    assert state(secret) is State.REVOKED
    assert state(secret, S2_ENDS) is State.REVOKED


def test_the_link_of_a_charter_called_off_says_so(cast):
    _, secret = make_link(cast.charter["S3"], at=NOW)
    cancel_charter(cast.charter["S3"], at=NOW)
    assert state(secret) is State.CANCELLED


def test_several_links_may_be_in_force_and_all_move_with_the_charters_end(cast, made):
    _, second = make_link(cast.charter["S4"], at=NOW)
    _, third = make_link(cast.charter["S4"], at=NOW)
    extend_charter(cast.charter["S4"], ends_on=date(2026, 6, 14), back_at=time(12))
    last = datetime(2026, 6, 16, 9, 0, tzinfo=UTC)
    for secret in (second, third):
        assert state(secret, last - HOUR) is State.GOOD
        assert state(secret, last) is State.ENDED
    assert state(made[1], S2_ENDS) is State.ENDED  # another charter's is where it was


def test_no_link_is_made_that_opens_nothing(cast):
    with pytest.raises(LinkRefused, match="S0 came back on Sat 9 May 2026"):
        make_link(cast.charter["S0"], at=NOW)
    cancel_charter(cast.charter["S4"], at=NOW)
    with pytest.raises(LinkRefused, match="called off"):
        make_link(cast.charter["S4"], at=NOW)
    assert not Link.objects.exists()


def test_closing_ends_a_link_24_hours_later_and_never_makes_one_longer(cast, made):
    link, _ = made
    close_links(cast.charter["S2"], at=NOW)
    link.refresh_from_db()
    assert link.ends_at == NOW + 24 * HOUR
    close_links(cast.charter["S2"], at=NOW + 5 * HOUR)
    link.refresh_from_db()
    assert link.ends_at == NOW + 24 * HOUR


def test_a_return_without_a_charter_closes_no_link(cast, made):
    back(cast, "sandpiper", main="1212")
    made[0].refresh_from_db()
    assert made[0].ends_at == S2_ENDS
