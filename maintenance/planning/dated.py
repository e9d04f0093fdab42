"""The audit of a base's printed dates: it stands here, above what is sent away and what is dated."""

from datetime import date, datetime

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat
from maintenance.jobs.away import Away, away_on
from maintenance.safety.audit import READ, Audit, Elsewhere, Printed, audit
from maintenance.safety.facts import expected_dates, known_by, things_aboard, throughs
from maintenance.servicing.models import ServiceInterval


def audit_of(base: Base, *, on: date, now: datetime, boat: int | None = None) -> Audit:
    """Every date that things aboard should carry, judged for a day through the end of each boat's
    next charter; a past day by what was recorded by its end, any other by what is known now.

    Of one boat, where it is given. The number of queries does not hang on how many there are.
    """
    ours = Boat.objects.of_base(base.pk, on)
    boats = list((ours if boat is None else ours.filter(pk=boat)).values_list("pk", flat=True))
    known_at = known_by(base, on, now)
    away = away_on(boats, on, known_at)
    elsewhere = {component: _elsewhere(of) for component, of in away.items()}
    things = things_aboard(boats, on)
    by_date = _by_their_own_date([thing.component for thing in things], on)
    return audit(expected_dates(things, elsewhere, by_date, known_at), throughs(boats, on), on)


def _by_their_own_date(components: list[int], on: date) -> set[int]:
    """Things with a task of their own, not their kind's, that goes by the date printed on them."""
    rows = ServiceInterval.objects.filter(component__in=components, on_expiry=True)
    in_force = rows.filter(Q(until_on__isnull=True) | Q(until_on__gte=on))
    return {component for component in in_force.values_list("component", flat=True) if component is not None}


def _elsewhere(away: Away) -> Elsewhere:
    sent, lent = away.sent, away.lent
    if lent is None:
        return Elsewhere(sent.whom, sent.day)
    by = lent.recorded_by.name if lent.recorded_by else ""
    printed = Printed(lent.pk, READ, "", lent.good_through, lent.recorded_at, by)
    return Elsewhere(sent.whom, sent.day, printed, lent.whom, lent.serial)
