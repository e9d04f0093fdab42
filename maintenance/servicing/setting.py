"""What can be done with intervals: one is set or changed, and every boat it is for follows."""

from collections.abc import Collection, Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.actions import require_dates
from fleet.boats.models import Fitting
from fleet.refused import Refused, Taken
from maintenance.servicing.following import Moved, due_list_follows
from maintenance.servicing.models import IntervalSpare, ServiceInterval

LIMBS = (
    *("every_hours", "every_months", "first_hours", "first_months", "every_charters"),
    *("season_opens", "on_expiry"),
)


class IntervalRefused(Refused):
    """An interval that cannot be as asked."""


@transaction.atomic
def keep_interval(
    interval: ServiceInterval,
    *,
    settles: Collection[ServiceInterval] | None = None,
    spares: Mapping[int, Decimal] | None = None,
    at: datetime,
) -> list[Moved]:
    """Keeps an interval, new or changed, with what it settles and the spares it takes, how many of
    each, where they are said. IntervalRefused where it names no limb, or half a season, or settles
    what is done on something else; Taken where another has its code."""
    take_turn()
    _refuse(interval, settles or ())
    with due_list_follows(_boats_with(interval), at=at) as moved:
        interval.full_clean()
        interval.save()
        if settles is not None:
            interval.settles.set(settles)
        if spares is not None:
            _take(interval, spares)
        if interval.on_expiry and interval.kind_id is not None:
            require_dates([interval.kind_id])
    return moved


def _refuse(interval: ServiceInterval, settles: Collection[ServiceInterval]) -> None:
    if ServiceInterval.objects.filter(code=interval.code).exclude(pk=interval.pk).exists():
        raise Taken("code", interval.code)
    if (interval.kind is None) == (interval.component is None):
        raise IntervalRefused("kind: wanted a kind or a component, exactly one of them")
    if bool(interval.season_opens) != bool(interval.season_closes):
        lacking = "season_closes" if interval.season_opens else "season_opens"
        raise IntervalRefused(f"{lacking}: wanted both days of the season, or neither")
    if not interval.has_a_limb:
        raise IntervalRefused(f"every_months: wanted at least one of {', '.join(LIMBS)}")
    first, last = interval.from_on, interval.until_on
    if first is not None and last is not None and last < first:
        raise IntervalRefused(f"until_on: wanted a day on or after {first}")
    _refuse_settles(interval, settles)


def _refuse_settles(interval: ServiceInterval, settles: Collection[ServiceInterval]) -> None:
    for other in settles:
        if other.pk == interval.pk:
            raise IntervalRefused("settles: wanted other intervals than itself")
        of_kind = interval.kind or (interval.component and interval.component.kind)
        same = other.kind == of_kind if other.kind else other.component == interval.component
        if not same:
            raise IntervalRefused(
                f"settles: wanted intervals of the same kind or component, found {other.code}"
            )


def _take(interval: ServiceInterval, spares: Mapping[int, Decimal]) -> None:
    """What one service takes, in place of what it took before."""
    interval.spares.exclude(spare__in=spares).delete()
    for spare, quantity in spares.items():
        IntervalSpare.objects.update_or_create(
            interval=interval, spare_id=spare, defaults={"quantity": quantity}
        )


def _boats_with(interval: ServiceInterval) -> set[int]:
    """The boats that carry a thing the interval is for."""
    rows = Fitting.objects.standing().filter(removed_on__isnull=True)
    if interval.kind_id is not None:
        return set(rows.filter(component__kind=interval.kind_id).values_list("boat_id", flat=True))
    return set(rows.filter(component=interval.component_id).values_list("boat_id", flat=True))
