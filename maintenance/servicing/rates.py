"""The hours a base's meters run on a charter day: fitted afresh for a day, or as last stored."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import islice

from django.db import transaction

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.charters.facts import spans_by_boat
from fleet.meters.facts import use_by_boat
from fleet.meters.models import UseRate
from fleet.meters.rules import Use

AT_A_TIME = 50  # boats whose rows are held in memory together


def in_batches(boats: Iterable[int], size: int = AT_A_TIME) -> Iterator[list[int]]:
    rest = iter(boats)
    while batch := list(islice(rest, size)):
        yield batch


def uses(on: date) -> dict[int, Use]:
    """Each base's use on a day, over its boats' meters that have charter days; over all boats
    where the base has none; nothing where nobody has."""
    bases = Boat.objects.all().base_by_boat(on)
    sums: dict[int, Use] = defaultdict(Use)
    for batch in in_batches(bases):
        for boat, use in use_by_boat(batch, spans_by_boat(batch), on).items():
            sums[bases[boat]] += use
    everybody = sum(sums.values(), Use())
    found = {base: sums.get(base, everybody) for base in Base.objects.values_list("pk", flat=True)}
    return {base: use for base, use in found.items() if use.days}


def usual_rates(on: date) -> dict[int, Fraction | None]:
    """Each base's rate fitted afresh from what was known by a day, in hours a charter day."""
    return {base: use.rate for base, use in uses(on).items()}


def stored_rates(bases: Collection[int] | None = None) -> dict[int, Fraction | None]:
    """Each base's rate as last stored, exactly."""
    rows = UseRate.objects.all() if bases is None else UseRate.objects.filter(base__in=bases)
    return {rate.base_id: Use(rate.hours_run, rate.charter_days).rate for rate in rows}


@transaction.atomic
def store_rates(on: date) -> None:
    """Fits and keeps every base's rate; a base whose use did not change keeps its row."""
    fitted = uses(on)
    UseRate.objects.exclude(base__in=fitted.keys()).delete()
    known = {rate.base_id: rate for rate in UseRate.objects.all()}
    for base, use in fitted.items():
        old = known.get(base)
        if old is None or (old.hours_run, old.charter_days) != (use.hours, use.days):
            _keep(base, use, on)


def _keep(base: int, use: Use, on: date) -> None:
    shown = (use.hours / use.days).quantize(Decimal("0.0001"))
    values = {"fitted_on": on, "hours_run": use.hours, "charter_days": use.days, "hours_per_day": shown}
    UseRate.objects.update_or_create(base_id=base, defaults=values)
