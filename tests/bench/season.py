"""Three seasons of twelve boats whose true rates are known, with their spares held by one rule or another.

    python -m tests.bench.season

prints for each rule how often a part was missing on a Saturday, how often a boat at sea had none in
her kit, and what lay on the shelves on average. Everything is invented: boats, rates, prices; the
rules are the tool's own (`maintenance.ordering`). Each rule meets the same needs, week by week, of
the same worlds.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

import numpy as np

from maintenance.ordering.chances import Rate
from maintenance.ordering.holding import Ahead, Hold, Taken, by_chance, by_costs, by_plain_rule
from maintenance.ordering.learning import NOTHING_KNOWN, prior_over
from maintenance.ordering.together import together

BOATS, SEASONS, SATURDAYS = 12, 3, 26
CLASS = 4  # boats of one class, alike, whose parts no other boat has
WORLDS = 24
STEPS = 10  # halvings until a rule ties up as much money as another
OUT = 0.85  # of the boats, in a week of the season
HOURS = 25.0  # of engine in a week out
WEEK = 7
OFTEN = 8  # uses beyond plan a season, over the fleet: what is used that often, and what seldom
TYPED = Decimal(2)  # what a base types before anything is known


@dataclass(frozen=True, slots=True)
class Sort:
    """A spare of the invented base: its true rate beyond plan by boat and week out, the hours after
    which it is planned (0: never), its price, the weeks it takes, how many a packet holds, whether the
    base's allowance has one aboard, and how many boats have what it is for."""

    rate: float
    every: float
    price: float
    weeks: int
    pack: int
    aboard: int
    boats: int = BOATS

    @property
    def often(self) -> bool:
        return self.rate * self.boats * OUT * SATURDAYS >= OFTEN


class Needs(NamedTuple):
    """What one spare is needed for, by Saturday and boat: beyond plan, as planned, whether she was out."""

    beyond: np.ndarray
    planned: np.ndarray
    out: np.ndarray


class Told(NamedTuple):
    """What a rule may know of a spare on a Saturday; never its true rate."""

    sort: Sort
    ahead: Ahead
    taken: Sequence[Taken]
    looked_for: int
    out_so_far: float
    out_ahead: float
    prior: Rate


class Rule(NamedTuple):
    """How many to hold in the store, whether one lies aboard every boat, allowance or not, and how many
    of the store's go into each kit (fewer than none: out of it), looked at before a season."""

    store: Callable[[Told], Decimal]
    one_aboard: bool = False
    more_aboard: Callable[[Told], int] = lambda _: 0


@dataclass
class Outcome:
    """What came of a rule: parts missing on a Saturday, parts a boat at sea had none of, parts asked for,
    money on the shelves a week."""

    missing: int = 0
    at_sea: int = 0
    asked: int = 0
    money: float = 0.0
    weeks: int = field(default=0, repr=False)

    def __add__(self, other: "Outcome") -> "Outcome":
        added = (
            getattr(self, name) + getattr(other, name)
            for name in ("missing", "at_sea", "asked", "money", "weeks")
        )
        return Outcome(*added)


def spares(chance: np.random.Generator, boats: int, number: int = 24) -> list[Sort]:
    """Rates spread over three powers of ten, as a base's are; prices fall where use is frequent."""
    rates = 10 ** chance.uniform(-3.3, -0.9, number)
    prices = np.round(10 ** chance.uniform(0.6, 2.4, number), 2)
    every = chance.choice([0, 0, 100, 250], number)
    weeks, packs = chance.choice([1, 1, 2, 3, 4], number), chance.choice([1, 1, 1, 2, 5], number)
    aboard = chance.choice([0, 0, 1], number)
    rows = zip(rates, every, prices, weeks, packs, aboard, strict=True)
    return [Sort(float(r), float(e), float(p), int(w), int(k), int(a), boats) for r, e, p, w, k, a in rows]


def needs_of(sort: Sort, chance: np.random.Generator) -> Needs:
    """What a spare will be needed for in all the seasons: by chance, and by the hours that run."""
    shape = (SEASONS * SATURDAYS, sort.boats)
    out = chance.random(shape) < OUT
    run = np.cumsum(np.where(out, chance.normal(HOURS, 6, shape).clip(0), 0), axis=0)
    done = np.floor(run / sort.every) if sort.every else np.zeros(shape)
    planned = np.diff(done, axis=0, prepend=np.zeros((1, sort.boats)))
    return Needs(chance.poisson(np.where(out, sort.rate, 0)), planned.astype(int), out)


class Shelf:
    """One spare at the base: in the store, aboard each boat, on its way."""

    def __init__(self, sort: Sort, kit: int, store: int) -> None:
        self.sort, self.kit, self.store = sort, kit, store
        self.aboard = np.full(sort.boats, kit)
        self.coming: list[tuple[int, int]] = []
        self.outcome = Outcome()

    def saturday(self, week: int, beyond: np.ndarray, planned: np.ndarray) -> None:
        """What came is put away; boats come back, take from their kits at sea and from the store
        ashore, and their kits are filled again."""
        self.store += sum(quantity for at, quantity in self.coming if at <= week)
        self.coming = [(at, quantity) for at, quantity in self.coming if at > week]
        from_kit = np.minimum(beyond, self.aboard)
        self.aboard -= from_kit
        wanted = int((beyond - from_kit).sum() + planned.sum())
        given = min(wanted, self.store)
        self.store -= given
        self.outcome.missing += wanted - given
        self.outcome.at_sea += int((beyond - from_kit).sum())
        self.outcome.asked += int(beyond.sum() + planned.sum())
        for boat in np.flatnonzero(self.aboard < self.kit):
            fill = min(self.kit - int(self.aboard[boat]), self.store)
            self.aboard[boat] += fill
            self.store -= fill
        self.outcome.money += self.sort.price * (self.store + int(self.aboard.sum()))
        self.outcome.weeks += 1

    def share(self, kit: int) -> None:
        """Every kit holds so many from now on: what is over comes ashore, what lacks is filled in time."""
        over = (self.aboard - kit).clip(0)
        self.aboard -= over
        self.store += int(over.sum())
        self.kit = kit

    def order_up_to(self, level: Decimal, week: int, late: int) -> None:
        """Orders what the store is short of, with what the kits are short of, in whole packs."""
        here = self.store + sum(quantity for _, quantity in self.coming)
        short = int(level) + int((self.kit - self.aboard).sum()) - here
        if short > 0:
            self.coming.append((week + self.sort.weeks + late, -(-short // self.sort.pack) * self.sort.pack))


def live_through(sort: Sort, needs: Needs, lates: np.ndarray, rule: Rule, priors: Sequence[Rate]) -> Outcome:
    """A spare's seasons under a rule."""
    taken: list[Taken] = []
    usual, out_so_far = 1 if rule.one_aboard else sort.aboard, 0.0
    shelf = Shelf(sort, usual, int(TYPED))
    for week in range(SEASONS * SATURDAYS):
        beyond, planned = needs.beyond[week], needs.planned[week]
        shelf.saturday(week, beyond, planned)
        out_so_far += float(needs.out[week].sum())
        if beyond.sum():
            taken.append(Taken(week * WEEK, Decimal(int(beyond.sum()))))
        told = told_on(week, sort, needs, taken, out_so_far, priors[week // SATURDAYS])
        if week and week % SATURDAYS == 0:
            shelf.share(usual + rule.more_aboard(told))
        level = rule.store(told) - (shelf.kit - usual) * sort.boats
        shelf.order_up_to(max(level, told.ahead.planned), week, int(lates[week]))
    return shelf.outcome


def told_on(
    week: int, sort: Sort, needs: Needs, taken: Sequence[Taken], out_so_far: float, prior: Rate
) -> Told:
    """The due list knows what is planned until an order made next Saturday is here."""
    weeks = sort.weeks + 1
    planned = Decimal(int(needs.planned[week + 1 : week + 1 + weeks].sum()))
    ahead = Ahead(weeks * WEEK, planned, Decimal(sort.pack))
    return Told(sort, ahead, taken, (week + 1) * WEEK, out_so_far, weeks * sort.boats * OUT, prior)


THUMB = Rule(lambda told: Decimal(2), one_aboard=True)
PLAIN = Rule(lambda t: by_plain_rule(t.ahead, t.taken, typed=TYPED, looked_for=t.looked_for).quantity)


def by_one_chance(chance: float) -> Rule:
    """The same chance for every spare, by what was used of it and of all of them."""
    return _learned(lambda t, rate: by_chance(t.ahead, rate, t.out_ahead, chance=chance))


def by_its_price(missed: float) -> Rule:
    """Each the chance that its price is worth, where a Saturday without it costs so much."""
    costs = Decimal(f"{missed:.2f}")

    def hold(told: Told, rate: Rate) -> Hold:
        price = Decimal(f"{told.sort.price:.2f}")
        return by_costs(told.ahead, rate, told.out_ahead, price=price, missed=costs)

    return _learned(hold)


def _learned(hold: Callable[[Told, Rate], Hold]) -> Rule:
    """A rule by chance begins when a season was looked at; until then the plain rule holds."""

    def store(told: Told) -> Decimal:
        if told.looked_for <= SATURDAYS * WEEK:
            return PLAIN.store(told)
        used = float(sum(one.quantity for one in told.taken))
        return hold(told, told.prior.after(used, told.out_so_far)).quantity

    return Rule(store)


def _more_aboard(told: Told) -> int:
    """What the other split of the plain rule's number has in each kit, where it pays; what is planned
    stays ashore."""
    used = float(sum(one.quantity for one in told.taken))
    rate = told.prior.after(used, told.out_so_far).mean * OUT / WEEK
    beyond = int(PLAIN.store(told) - told.ahead.planned)
    found = together(
        kits=told.sort.boats, store=beyond, kit=told.sort.aboard, rate=rate, supplier=float(told.ahead.days)
    )
    return found.best.kit - told.sort.aboard if found is not None and found.pays else 0


SHARED = Rule(PLAIN.store, more_aboard=_more_aboard)


class World(NamedTuple):
    """A base's spares, what each will be needed for, how late each order will be."""

    sorts: list[Sort]
    needs: list[Needs]
    lates: list[np.ndarray]


def world(number: int, boats: int = BOATS) -> World:
    """A world of its own for each number; its parts are for so many boats, all or those of one class."""
    chance = np.random.default_rng(number)
    sorts = spares(chance, boats)
    lates = [(chance.random(SEASONS * SATURDAYS) < 0.25).astype(int) for _ in sorts]
    return World(sorts, [needs_of(sort, chance) for sort in sorts], lates)


def priors_of(there: World) -> list[Rate]:
    """What the fleet had taught before each season: nothing before the first."""
    found = []
    for season in range(SEASONS):
        until = season * SATURDAYS
        seen = [(float(n.beyond[:until].sum()), float(n.out[:until].sum())) for n in there.needs]
        found.append(prior_over(seen) if season else NOTHING_KNOWN)
    return found


def outcome_of(rule: Rule, often: bool, worlds: Sequence[World]) -> Outcome:
    """What comes of a rule in these worlds, over what is used often or over what seldom is."""
    found = Outcome()
    for there in worlds:
        priors = priors_of(there)
        for sort, needs, lates in zip(there.sorts, there.needs, there.lates, strict=True):
            if sort.often == often:
                found += live_through(sort, needs, lates, rule, priors)
    return found


def for_the_same_money(
    of: Callable[[float], Rule], low: float, high: float, money: float, often: bool, worlds: Sequence[World]
) -> tuple[float, Outcome]:
    """The rule of its sort that ties up the most money but no more than so much, and what came of it;
    between two settings of it, looked for by halving their ratio."""
    best = (low, outcome_of(of(low), often, worlds))
    for _ in range(STEPS):
        tried = (low * high) ** 0.5
        outcome = outcome_of(of(tried), often, worlds)
        if outcome.money <= money:
            low, best = tried, (tried, outcome)
        else:
            high = tried
    return best


def surest(odds: float) -> Rule:
    """One chance for all, by its odds: 19 to 1 is 95 %."""
    return by_one_chance(odds / (1 + odds))


def compared(often: bool, worlds: Sequence[World]) -> dict[str, Outcome]:
    """What came of each rule in these worlds; those by chance for the plain rule's money."""
    plain = outcome_of(PLAIN, often, worlds)
    same = (plain.money, often, worlds)
    odds, one_chance = for_the_same_money(surest, 0.1, 1e4, *same)
    missed, by_price = for_the_same_money(by_its_price, 1.0, 1e5, *same)
    return {
        "one aboard, two ashore": outcome_of(THUMB, often, worlds),
        "plain rule": plain,
        f"one chance, {odds / (1 + odds):.2%}": one_chance,
        f"by its price, {missed:.0f}": by_price,
    }


def shared(often: bool, worlds: Sequence[World]) -> dict[str, Outcome]:
    """What comes of the plain rule's number, lying as the allowances say and as kits and store would
    better share it."""
    return {
        "plain rule": outcome_of(PLAIN, often, worlds),
        "the same, shared anew": outcome_of(SHARED, often, worlds),
    }


def lines(tell: Callable[[bool, Sequence[World]], dict[str, Outcome]], boats: int) -> Iterator[str]:
    """A table that is printed, of parts that so many boats have."""
    worlds = [world(number, boats) for number in range(WORLDS)]
    weeks = SEASONS * SATURDAYS * len(worlds)
    yield f"{len(worlds)} worlds, {SEASONS} seasons of {SATURDAYS} Saturdays, {boats} boats, 24 spares"
    yield f"{'used':8}{'rule':24}{'missing':>9}{'at sea':>9}{'asked':>9}{'money':>10}"
    for often in (True, False):
        for name, found in tell(often, worlds).items():
            yield _line("often" if often else "seldom", name, found, weeks)


def _line(word: str, name: str, found: Outcome, weeks: int) -> str:
    return f"{word:8}{name:24}{found.missing:9}{found.at_sea:9}{found.asked:9}{found.money / weeks:10.0f}"


if __name__ == "__main__":
    for tell, boats in ((compared, BOATS), (shared, BOATS), (shared, CLASS)):
        print("\n".join([*lines(tell, boats), ""]), flush=True)
