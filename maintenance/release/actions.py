"""What can be done about a boat that is to go: hold her by name, release her, confirm, sign fitting-out."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import correction, enter
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.release.facts import Judged, judge
from maintenance.release.models import Hold, Release, ReleaseName
from maintenance.release.rule_list import FIT, HELD, WITH_LIMITS
from maintenance.release.rules import names_needed


class ReleaseRefused(Refused):
    """A release that cannot be said as asked; `field` names what to put right."""


class HoldLifted(TooLate):
    """A hold that somebody has lifted already."""


@dataclass(frozen=True, slots=True)
class Name:
    """One name under a release: who, how, and what was read out where it was by telephone."""

    name: str
    how: str = ReleaseName.How.LOOKED
    person: Person | None = None
    at: datetime | None = None
    read_out: str = ""


@transaction.atomic
def release_boat(
    boat: Boat,
    charter: Charter,
    names: Sequence[Name],
    *,
    limits: str = "",
    let_be: Collection[str] = (),
    why: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Release:
    """Says that a boat may go out for a charter, in the names of those who say so.

    Fit where nothing holds her and nothing limits her; fit with limits where something deferred says
    so, `limits` does, or what holds her is let be by name (`let_be`, keys of reasons) with a limit
    and a reason why. One name is enough to say it: where the base's rules want more, it is shown
    as released by one person. ReleaseRefused where something holds her that is not let be, where an
    alarm was not looked at, or where a name is missing.
    """
    take_turn()
    judged = _judged(boat, charter, at)
    _refuse_names(names)
    _refuse_held(judged, let_be, limits, why)
    held = [r for r in (*judged.standing.reasons, *judged.standing.let_be) if r.key in set(let_be)]
    told = bool(limits.strip() or held or _told(judged))
    row = Release(
        boat=boat,
        charter=charter,
        verdict=WITH_LIMITS if told else FIT,
        limits=limits.strip(),
        reasons=[reason.as_json() for reason in held],
        why=why.strip(),
        names_needed=_needed(judged, [r.code for r in held]),
    )
    return _with_names(row, names, at, by, client_id)


@transaction.atomic
def say_held(
    boat: Boat,
    charter: Charter,
    name: Name,
    *,
    why: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Release:
    """Says that a boat does not go out for a charter, by name and with the reason; it stands until she
    is released. ReleaseRefused where name or reason is missing."""
    take_turn()
    _refuse_names([name])
    if not why.strip():
        raise ReleaseRefused("why: wanted the reason why she is held")
    row = Release(boat=boat, charter=charter, verdict=HELD, why=why.strip())
    return _with_names(row, [name], at, by, client_id)


@transaction.atomic
def add_name(
    release: Release,
    name: Name,
    *,
    confirms: ReleaseName | None = None,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> ReleaseName:
    """Adds a name to a release: the other one, or the confirmation of one given by telephone."""
    take_turn()
    _refuse_names([name])
    if release.void or hasattr(release, "replaced_by"):
        raise ReleaseRefused("It was taken back: release her again")
    if confirms is not None and confirms.release_id != release.pk:
        raise ReleaseRefused("confirms: wanted a name of this release")
    if confirms is not None and hasattr(confirms, "confirmed_by"):
        raise ReleaseRefused("confirms: wanted a name that is not confirmed yet")
    return _enter_name(release, name, at, by, client_id, confirms)


@transaction.atomic
def hold_boat(
    boat: Boat, *, why: str, who: str, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Hold:
    """Keeps a boat in by name; ReleaseRefused where the reason or the name is missing."""
    take_turn()
    for field, said, wanted in (("why", why, "the reason why she is held"), ("who", who, "who holds her")):
        if not said.strip():
            raise ReleaseRefused(f"{field}: wanted {wanted}")
    return enter(Hold(boat=boat, why=why.strip(), by=who.strip()), at=at, by=by, client_id=client_id)


@transaction.atomic
def lift_hold(
    hold: Hold, *, why: str, who: str, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Hold:
    """Ends a hold by name, with the reason; HoldLifted where somebody has."""
    take_turn()
    if hold.lifted or hold.void or hasattr(hold, "replaced_by"):
        raise HoldLifted("It was lifted already")
    if not why.strip() or not who.strip():
        raise ReleaseRefused("why: wanted why it is lifted, and by whom")
    row: Hold = correction(hold, at=at, by=by, client_id=client_id, lifted=why.strip(), lifted_by=who.strip())
    return row


def by_one_person(release: Release) -> bool:
    """Whether fewer people than the base's rules want stand under a release; it prints, and the
    manager reads it afterwards."""
    return release.verdict != HELD and len(people_of(release)) < release.names_needed


def people_of(release: Release) -> set[str]:
    """Who stands under a release, each once; who only read it or confirmed it afterwards does not."""
    rows = release.names.standing().exclude(how__in=(ReleaseName.How.SEEN, ReleaseName.How.CONFIRMED))
    return {" ".join(name.casefold().split()) for name in rows.values_list("name", flat=True)}


def _judged(boat: Boat, charter: Charter, at: datetime) -> Judged:
    if charter.boat_id != boat.pk or charter.cancelled_at is not None:
        raise ReleaseRefused(f"charter: wanted a charter {boat.name} is booked for")
    base = base_of(boat, at.date())
    on: date = base.day_of(at)
    if charter.ends_on <= on:
        raise ReleaseRefused("charter: wanted one that is not over")
    return judge(boat, charter, base=base, on=on, now=at)


def _refuse_names(names: Sequence[Name]) -> None:
    if not names or not all(name.name.strip() for name in names):
        raise ReleaseRefused("names: wanted the name of who says so")
    for name in names:
        if name.how == ReleaseName.How.BY_TELEPHONE and not name.read_out.strip():
            raise ReleaseRefused("read_out: wanted what was read out on the telephone")


def _refuse_held(judged: Judged, let_be: Collection[str], limits: str, why: str) -> None:
    reasons = {r.key: r for r in (*judged.standing.reasons, *judged.standing.let_be)}
    if unknown := set(let_be) - reasons.keys():
        raise ReleaseRefused(f"let_be: {sorted(unknown)[0]} does not hold her now")
    for reason in reasons.values():
        if not reason.said and (not reason.can_be_let_be or reason.key not in let_be):
            raise ReleaseRefused(f"let_be: {reason.words}. {reason.way_out}")
    if let_be and not limits.strip():
        raise ReleaseRefused("limits: wanted the limit she goes to, in plain words for the skipper")
    if let_be and not why.strip():
        raise ReleaseRefused("why: wanted why what holds her is let be")


def _told(judged: Judged) -> bool:
    return any(d.limit or d.inoperative for d in judged.ship.defects if d.waits is not None)


def _needed(judged: Judged, codes: Collection[str]) -> int:
    return names_needed(judged.ship, codes, judged.rules)


def _with_names(
    row: Release, names: Sequence[Name], at: datetime, by: Person | None, client_id: str | None
) -> Release:
    kept = enter(row, at=at, by=by, client_id=client_id)
    for name in names:
        _enter_name(kept, name, at, by, None, None)
    return kept


def _enter_name(
    release: Release,
    name: Name,
    at: datetime,
    by: Person | None,
    client_id: str | None,
    confirms: ReleaseName | None,
) -> ReleaseName:
    row = ReleaseName(
        release=release,
        person=name.person,
        name=name.name.strip(),
        how=name.how,
        at=name.at or at,
        read_out=name.read_out.strip(),
        confirms=confirms,
    )
    return enter(row, at=at, by=by, client_id=client_id)
