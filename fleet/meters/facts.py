"""Every dial of a meter, wherever it was written down: rows in, timelines out."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from django.db.models import Q

from fleet.boats.models import Fitting, Meter
from fleet.meters.models import Reading
from fleet.meters.rules import Dial, Timeline, Use
from fleet.spans import Span


def dials_by_meter(meters: Collection[int], on: date) -> dict[int, list[Dial]]:
    """Dials that count, up to a day: readings in use and what fittings noted; two queries."""
    dials: dict[int, list[Dial]] = defaultdict(list)
    rows = Reading.objects.standing().filter(meter__in=meters, day__lte=on, standing="used")
    for meter, day, dial, new, noted in rows.values_list("meter_id", "day", "dial", "new_meter", "noted"):
        dials[meter].append(Dial(day, dial, new, noted))
    for meter, dial in fitting_dials(meters, on):
        dials[meter].append(dial)
    return dials


def fitting_dials(meters: Collection[int], on: date) -> Iterable[tuple[int, Dial]]:
    """What was noted when components were fitted and removed, up to a day."""
    noted = Q(dial__isnull=False) | Q(dial_removed__isnull=False)
    rows = Fitting.objects.standing().filter(noted, meter__in=meters, fitted_on__lte=on)
    columns = ("meter_id", "fitted_on", "dial", "removed_on", "dial_removed")
    for meter, fitted_on, dial, removed_on, dial_removed in rows.values_list(*columns):
        if dial is not None:
            yield meter, Dial(fitted_on, dial, noted=True)
        if dial_removed is not None and removed_on is not None and removed_on <= on:
            yield meter, Dial(removed_on, dial_removed, noted=True)


def timelines(meters: Collection[int], on: date) -> dict[int, Timeline]:
    """Each meter's timeline up to a day; a meter without a reading is left out."""
    return {meter: Timeline.of(dials) for meter, dials in dials_by_meter(meters, on).items()}


def use_by_boat(boats: Collection[int], spans: Mapping[int, Sequence[Span]], on: date) -> dict[int, Use]:
    """Hours run over charter days of each boat's meters that have any."""
    meters = dict(Meter.objects.filter(boat__in=boats).values_list("pk", "boat_id"))
    uses: dict[int, Use] = defaultdict(Use)
    for meter, timeline in timelines(meters.keys(), on).items():
        use = timeline.use(spans.get(meters[meter], ()))
        if use.days:
            uses[meters[meter]] += use
    return uses
