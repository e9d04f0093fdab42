"""Which jobs of the week cannot have their parts before their limit: rows in, for each due line what is
missing and when it can be here."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Q

from fleet.bases.models import Base
from fleet.charters.models import Charter
from maintenance.ordering.facts import lead_of
from maintenance.ordering.in_time import NONE, Comes, Need, TooLate, too_late
from maintenance.ordering.models import Order
from maintenance.ordering.orders import Coming, coming, orders_of, took, took_from, written
from maintenance.planning.facts import Visit
from maintenance.planning.taking import Take
from maintenance.servicing.models import Due
from maintenance.spares.models import Spare


@dataclass(frozen=True, slots=True)
class Late:
    """So many of a part that are here only on a day after a job's limit; `leaves`: the limit is that she
    leaves; `ordered`: they are on their way already, `written`: in an order that is to be sent still."""

    spare: Spare
    missing: Decimal
    here_on: date
    leaves: bool
    ordered: bool
    written: bool = False


@dataclass(frozen=True, slots=True)
class _Asked:
    """What one job needs of a part that her own kit has not, and how it is found."""

    need: Need
    take: Take
    leaves: bool


def late_parts(visits: Iterable[Visit], *, base: Base, on: date) -> dict[int, tuple[Late, ...]]:
    """By due line, the parts that come too late, whoever's limit comes first being served first. A thing
    that is away takes no part here; of a task never recorded nobody knows whether it was done. No query
    where the stores have everything, else at most six."""
    asked = _beyond_kits([one for visit in visits for one in _asked(visit, on)])
    lying = _ashore(asked)
    wanted: dict[int, Decimal] = defaultdict(Decimal)
    for one in asked:
        wanted[one.need.spare] += one.need.quantity
    scarce = {
        one.take.spare.pk: one.take.spare for one in asked if wanted[one.need.spare] > lying[one.need.spare]
    }
    if not scarce:
        return {}
    comes, now, to_send = _comes(scarce, base, on)
    needs = [one.need for one in asked if one.need.spare in scarce]
    found = too_late(needs, lying=lying, coming=comes, ordered_now=now)
    return _told(_without_stand_ins(found, asked, lying, wanted), asked, comes, to_send)


def limit_of(due: Due, charter: Charter | None, on: date) -> date | None:
    """The day by which a line's part must be here: its limit, or that her next charter leaves where it
    must be done before; today where it is overdue, None where it has no limit."""
    if due.overdue:
        return on
    if due.limit_on is not None and due.before_handover and charter is not None:
        return min(due.limit_on, charter.starts_on)
    return due.limit_on


def _asked(visit: Visit, on: date) -> list[_Asked]:
    found = []
    for job in visit.jobs:
        by = limit_of(job.due, visit.charter, on) if job.away is None else None
        if by is None:
            continue
        leaves = by != job.due.limit_on and not job.due.overdue
        needs = [(Need(job.due.pk, take.spare.pk, take.quantity, by), take) for take in job.take]
        found += [_Asked(need, take, leaves) for need, take in needs]
    return found


def _beyond_kits(asked: Iterable[_Asked]) -> list[_Asked]:
    """What is wanted of the stores: her own kit can serve no other boat, so it is counted first."""
    kits: dict[tuple[int, int], Decimal] = {}
    found = []
    for one in sorted(asked, key=lambda one: (one.need.by, one.need.job)):
        need = one.need
        left = need.quantity
        for lie in one.take.lies:
            if lie.place.boat_id is None:
                continue
            where = (need.spare, lie.place.pk)
            share = min(left, kits.get(where, lie.good))
            kits[where] = kits.get(where, lie.good) - share
            left -= share
        if left > NONE:
            found.append(_Asked(Need(need.job, need.spare, left, need.by), one.take, one.leaves))
    return found


def _ashore(asked: Iterable[_Asked]) -> dict[int, Decimal]:
    """What the stores have that is good, of the parts wanted."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    for take in {one.take.spare.pk: one.take for one in asked}.values():
        found[take.spare.pk] = sum((lie.good for lie in take.lies if lie.place.base_id is not None), NONE)
    return found


def _comes(
    scarce: Mapping[int, Spare], base: Base, on: date
) -> tuple[dict[int, Comes], dict[int, date], Collection[int]]:
    """By part: what is on its way and when, the soonest first; when an order made today is here; and which
    parts stand in an order that is to be sent still."""
    suppliers = {spare.supplier for spare in scarce.values()} - {""}
    rows = Order.objects.filter(Q(lines__spare__in=scarce) | Q(supplier__in=suppliers), base=base)
    orders = orders_of(base.pk, on=on, orders=set(rows.order_by().values_list("pk", flat=True)))
    on_the_way, parts, houses = coming(orders), took(orders), took_from(orders)
    comes: dict[int, Comes] = {}
    now: dict[int, date] = {}
    for key, spare in scarce.items():
        days = lead_of(spare, parts, houses).days
        now[key] = on + timedelta(days)
        comes[key] = sorted((_day(one, days, on), one.quantity) for one in on_the_way.get(key, ()))
    return comes, now, written(orders).keys()


def _day(one: Coming, days: int, on: date) -> date:
    """When what is on its way should be here: as the supplier said, else as long as it takes after it was
    sent. What should be here already is not: tomorrow at the earliest."""
    sent = one.order.sent_on or on
    day = one.expected_on or sent + timedelta(days)
    return day if day >= on else on + timedelta(1)


def _without_stand_ins(
    found: Iterable[TooLate],
    asked: Iterable[_Asked],
    lying: Mapping[int, Decimal],
    wanted: Mapping[int, Decimal],
) -> list[TooLate]:
    """What is missing when other parts that lie there and may be used instead are used, each once."""
    takes = {(one.need.job, one.need.spare): one.take for one in asked}
    free: dict[tuple[int, int], Decimal] = {}
    left = []
    for one in found:
        missing = one.missing
        for other in takes[one.need.job, one.need.spare].instead:
            promised = wanted.get(other.spare.pk, NONE)
            for lie in other.lies:
                where = (other.spare.pk, lie.place.pk)
                good = free.setdefault(where, max(lie.good - promised, NONE))
                promised = max(promised - lie.good, NONE)
                free[where] = good - min(good, missing)
                missing -= min(good, missing)
        if missing > NONE:
            left.append(TooLate(one.need, missing, one.here_on))
    return left


def _told(
    found: Iterable[TooLate],
    asked: Iterable[_Asked],
    comes: Mapping[int, Comes],
    to_send: Collection[int],
) -> dict[int, tuple[Late, ...]]:
    by_need = {(one.need.job, one.need.spare): one for one in asked}
    told: dict[int, list[Late]] = defaultdict(list)
    for one in found:
        known = by_need[one.need.job, one.need.spare]
        ordered = any(day == one.here_on for day, _ in comes.get(one.need.spare, ()))
        part = Late(
            known.take.spare, one.missing, one.here_on, known.leaves, ordered, one.need.spare in to_send
        )
        told[one.need.job].append(part)
    return {job: tuple(of) for job, of in told.items()}
