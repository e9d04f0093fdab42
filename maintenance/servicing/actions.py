"""What can be done to the due list: derive it again, for the boats that changed or for all."""

from collections.abc import Collection, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Fitting
from maintenance.servicing.facts import line_facts
from maintenance.servicing.forecast import Facts, Verdict, judge
from maintenance.servicing.models import NEVER, Due
from maintenance.servicing.rates import in_batches, store_rates, stored_rates

FOUR_PLACES = Decimal("0.0001")
COLUMNS = (
    "boat_id",
    "component_id",
    "interval_id",
    "due_on",
    "governs",
    "basis",
    "limit_on",
    "due_hours",
    "hours_now",
    "limit_hours",
    "hours_a_day",
    "counted_from",
    "counting",
    "recorded",
    "missing",
    "sort_on",
)


def derive(boats: Collection[int], on: date, rates: dict[int, Fraction | None]) -> Iterator[Due]:
    """Fresh lines of boats for a day, unsaved; `rates` are the bases' rates by base."""
    bases = Boat.objects.filter(pk__in=boats).base_by_boat(on)
    usual = {boat: rates.get(base) for boat, base in bases.items()}
    for line in line_facts(boats, on, usual):
        verdict = judge(line.facts)
        yield _row(line.boat, line.component, line.interval, verdict, line.facts)


def _row(boat: int, component: int, interval: int, verdict: Verdict, facts: Facts) -> Due:
    rate = facts.rate if verdict.due_hours is not None else None
    return Due(
        boat_id=boat,
        component_id=component,
        interval_id=interval,
        due_on=verdict.due_on,
        governs=verdict.governs,
        basis=verdict.basis,
        limit_on=verdict.limit_on,
        due_hours=verdict.due_hours,
        hours_now=verdict.hours_now,
        limit_hours=verdict.limit_hours,
        hours_a_day=None if rate is None else _as_decimal(rate),
        counted_from=verdict.counted_from,
        counting=verdict.counting,
        recorded=verdict.recorded,
        missing=" ".join(verdict.missing),
        sort_on=verdict.due_on or NEVER,
    )


def _as_decimal(rate: Fraction) -> Decimal:
    return (Decimal(rate.numerator) / rate.denominator).quantize(FOUR_PLACES)


@transaction.atomic
def forecast_boats(boats: Collection[int], *, on: date) -> None:
    """Rewrites the due lines of boats by the rates as stored, in a fixed number of queries."""
    fresh = list(derive(boats, on, stored_rates()))
    Due.objects.filter(boat__in=boats).delete()
    Due.objects.filter(component__in=[due.component_id for due in fresh]).delete()
    Due.objects.bulk_create(fresh, batch_size=500)


def boats_resting_on(boat: int) -> list[int]:
    """A boat, and those that now carry a part which has been on it: her hours are its hours."""
    been = Fitting.objects.standing().filter(boat=boat).values("component")
    rows = Fitting.objects.standing().filter(component__in=been, removed_on__isnull=True)
    return sorted({boat, *rows.values_list("boat_id", flat=True)})


@transaction.atomic
def reforecast(*, on: date) -> None:
    """Fits every base's rate and derives every line afresh."""
    take_turn()
    store_rates(on)
    Due.objects.all()._raw_delete(Due.objects.db)
    rates = stored_rates()
    for batch in in_batches(Boat.objects.order_by("pk").values_list("pk", flat=True)):
        Due.objects.bulk_create(derive(batch, on, rates), batch_size=500)


def differences(*, on: date) -> Iterator[tuple[Due | None, Due | None]]:
    """Each line as stored and as freshly derived where the two differ; None where one is not there."""
    rates = stored_rates()
    for batch in in_batches(Boat.objects.order_by("pk").values_list("pk", flat=True)):
        stored = {(d.component_id, d.interval_id): d for d in Due.objects.filter(boat__in=batch)}
        for fresh in derive(batch, on, rates):
            kept = stored.pop((fresh.component_id, fresh.interval_id), None)
            if kept is None or not _same(kept, fresh):
                yield kept, fresh
        yield from ((kept, None) for kept in stored.values())


def _same(kept: Due, fresh: Due) -> bool:
    return all(getattr(kept, column) == getattr(fresh, column) for column in COLUMNS)
