"""How each spare of a base stands: how many to hold, what falls short, what to order, with the reasons."""

import gc
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from fleet.bases.models import Base
from maintenance.ordering.chances import Rate
from maintenance.ordering.holding import NONE, SEASON, Ahead, Hold, Taken, by_costs, by_plain_rule, plain
from maintenance.ordering.kits_and_store import split_of
from maintenance.ordering.known import YEAR, Known, known_of
from maintenance.ordering.learning import prior_over
from maintenance.ordering.money import Money, offers, price_of
from maintenance.ordering.quantity import Costs, to_order
from maintenance.ordering.shelf import Shelf
from maintenance.ordering.standing import Lead, lead
from maintenance.planning.taking import Lies
from maintenance.spares.models import Spare

REVIEW: Final = 7  # days until somebody looks again: common practice of a weekly turnaround, no source
USUAL_LEAD: Final = 14  # days taken where a spare's lead time is not known: no source
TENTH: Final = Decimal("0.1")


def shelves(base: Base, boats: Collection[int], *, on: date) -> list[Shelf]:
    """Every spare that lies, should lie, was used, will be taken or is on its way at a base, what falls
    short first; the same number of queries, whatever theirs."""
    with _nothing_collected():
        known = known_of(base, boats, on)
        here = known.spares
        spares = [spare for spare in Spare.objects.all() if spare.pk in here]
        prior = _prior(known)
        found = [_shelf(spare, known, prior) for spare in spares]
        return sorted(found, key=lambda shelf: (not shelf.short, shelf.spare.name, shelf.spare.code))


def shelf_of(spare: Spare, base: Base, boats: Collection[int], *, on: date) -> Shelf | None:
    """One of them, and how kits and store would better share it; None where nothing of it is known at the
    base. What the others teach of it counts too, so it is read as if for all, and worked out for one."""
    with _nothing_collected():
        known = known_of(base, boats, on)
        if spare.pk not in known.spares:
            return None
        prior = _prior(known)
        shelf = _shelf(spare, known, prior)
        rate = _rate(spare, known, prior)
        return shelf if rate is None else replace(shelf, split=split_of(shelf, known, rate, boats))


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """For thousands of parts, tens of thousands of small things are made and nearly all of them kept: the
    collector would go over all there is again and again for nothing, a quarter of the time. Whichever
    thread put it off puts it on again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _prior(known: Known) -> Rate | None:
    """What all spares teach of each; None where the base did not say what a missed Saturday costs."""
    if known.base.missed_saturday is None:
        return None
    time = known.time
    return prior_over([(_sum(known.beyond(spare)), time) for spare in sorted(known.spares)])


def _shelf(spare: Spare, known: Known, prior: Rate | None) -> Shelf:
    here, there = known.lying.get(spare.pk, {}), known.should.get(spare.pk, {})
    time = lead_of(spare, known.took, known.took_from)
    days = time.days + REVIEW
    plain = _plain(spare, days, known)
    price = price_of(known.prices.get(spare.pk, ()), on=known.on)
    hold = _by_price(spare, days, known, prior, price) or plain
    lots = known.lots.get(spare.pk, ())
    lacks = [number - here.get(place, NONE) for place, number in there.items() if place in known.aboard]
    over = [one.lies.on_hand for one in lots if one.run_out and one.lies.place.pk in known.ashore]
    ashore = _sum_of([number for place, number in here.items() if place in known.ashore])
    run_out, kits_lack = _sum_of(over), _sum_of([number for number in lacks if number > NONE])
    missing = max(hold.quantity + kits_lack - ashore + run_out, NONE)
    comes = tuple(known.coming.get(spare.pk, ()))
    short = max(missing - _sum_of([one.quantity for one in comes]), NONE)
    return Shelf(
        spare=spare,
        lying=tuple([Lies(known.places[place], number) for place, number in here.items() if number]),
        lots=lots,
        ashore=ashore,
        run_out=run_out,
        hold=hold,
        plain=plain if hold is not plain else None,
        kits_lack=kits_lack,
        days=days,
        lead=time,
        coming=comes,
        written=known.written.get(spare.pk, NONE),
        missing=missing,
        short=short,
        order=_order(spare, short, known),
        price=price,
    )


def lead_of(spare: Spare, took: Mapping[int, Sequence[int]], took_from: Mapping[str, Sequence[int]]) -> Lead:
    """How long an order of a part takes, by what its own orders and its supplier's took."""
    own, others = took.get(spare.pk, ()), took_from.get(spare.supplier, ())
    return lead(own, others, typed=spare.lead_days, usual=USUAL_LEAD, supplier=spare.supplier)


def _ahead(spare: Spare, days: int, known: Known) -> Ahead:
    return Ahead(days, known.planned_in(spare.pk, days), spare.pack_of)


def _plain(spare: Spare, days: int, known: Known) -> Hold:
    there = known.should.get(spare.pk, {})
    typed = [number for place, number in there.items() if place not in known.aboard]
    said = _sum_of(typed) if typed else None
    ahead = _ahead(spare, days, known)
    return by_plain_rule(ahead, known.beyond(spare.pk), typed=said, looked_for=known.looked_for)


def _rate(spare: Spare, known: Known, prior: Rate | None) -> Rate | None:
    """How often it is used beyond plan, where a season was looked at: only there the season simulation
    shows fewer parts missing for the same money, and only for what is counted by the piece."""
    if prior is None or known.looked_for < SEASON or not known.time:
        return None
    taken = known.beyond(spare.pk)
    if any(one.quantity % 1 for one in taken):
        return None
    return prior.after(_sum(taken), known.time)


def _by_price(spare: Spare, days: int, known: Known, prior: Rate | None, price: Money | None) -> Hold | None:
    """What its price is worth, where the base said what a missed Saturday costs."""
    missed, rate = known.base.missed_saturday, _rate(spare, known, prior)
    if rate is None or price is None or missed is None:
        return None
    ahead_out = known.out.between(known.on, known.until(days))
    if price.currency != known.base.currency or price.amount <= NONE or not ahead_out:
        return None
    return by_costs(_ahead(spare, days, known), rate, ahead_out, price=price.amount, missed=missed)


def _order(spare: Spare, short: Decimal, known: Known) -> Hold:
    base, written = known.base, known.written.get(spare.pk, NONE)
    if written and (short := max(short - written, NONE)) == NONE:
        return Hold(NONE, f"nothing more is missing: {plain(written)} written in an order not sent yet")
    if base.order_cost is None or base.holding_percent is None:
        return to_order(short, spare.pack_of)
    costs = Costs(base.order_cost, base.holding_percent, base.currency)
    since = known.on - timedelta(min(known.looked_for, YEAR))
    lately = known.used[spare.pk].since(since) if spare.pk in known.used else NONE
    yearly = lately * YEAR / min(known.looked_for, YEAR) if known.looked_for >= SEASON else NONE
    asks = offers(known.prices.get(spare.pk, ()), on=known.on)
    return to_order(short, spare.pack_of, yearly=yearly.quantize(TENTH), asks=asks, costs=costs)


def _sum(taken: Iterable[Taken]) -> float:
    return float(sum(one.quantity for one in taken))


def _sum_of(numbers: Iterable[Decimal]) -> Decimal:
    return sum(numbers, NONE)
