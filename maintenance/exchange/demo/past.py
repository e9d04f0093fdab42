"""What the crews of two seasons used beyond plan at the demo base, and what was ordered to make up for it.

What the tasks took in those seasons was in no book: the parts came with the work.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.log import Log, Row
from maintenance.exchange.demo.stores import KIT, SHELF_OF, SHELVES, SHORT

# How often a week's charter uses one, and how many then: made up, as everything here.
USES = {
    "nav-bulb": (0.04, "1"),
    "joker-valve": (0.03, "1"),
    "hose-clamp": (0.03, "2"),
    "outboard-plug": (0.02, "1"),
    "gas-washer": (0.02, "1"),
    "kill-cord": (0.015, "1"),
    "fuel-filter-water": (0.015, "1"),
    "belt-875": (0.012, "1"),
    "0041-7": (0.01, "1"),
    "bilge-float": (0.01, "1"),
    "furling-line": (0.01, "12"),
    "winch-kit": (0.008, "1"),
    "bilge-cartridge": (0.006, "1"),
}
UNTIL = timedelta(days=21)  # what is later is told by itself
SETTLED = timedelta(days=10)  # after the books were opened nothing came for so long
LATEST = 4  # days an order came after it was promised, at most
TUESDAY, FRIDAY = 1, 4
FIVE = Decimal(5)  # what is used by the dozen is ordered in fives
ALTERNATOR = ("splice", "alternator-90")


@dataclass(frozen=True, slots=True)
class Used:
    """So much of a part, taken for a boat on the day she was back."""

    boat: str
    spare: str
    quantity: Decimal
    day: date

    @property
    def from_kit(self) -> bool:
        """Taken from her kit, which was filled again from the store."""
        return self.spare in KIT and (self.boat, self.spare) not in SHORT


@dataclass(frozen=True, slots=True)
class Came:
    """So much of a part that an order brought."""

    spare: str
    supplier: str
    quantity: Decimal
    sent_on: date
    promised_on: date
    day: date


@dataclass(frozen=True, slots=True)
class Past:
    """Two seasons of the store: `beside` is how much more of each part lay there at their beginning."""

    opened_on: date
    used: Sequence[Used]
    came: Sequence[Came]
    beside: Mapping[str, Decimal]


def past_of(logs: Sequence[Log], spares: Sequence[Row]) -> Past:
    """What went and what came, so that what lies in the store on the day is left."""
    opened_on = min(log.first_day for log in logs)
    used = sorted([*_used(logs), _alternator(logs[0])], key=lambda one: (one.day, one.boat, one.spare))
    by_spare: dict[str, list[Used]] = defaultdict(list)
    for one in used:
        by_spare[one.spare].append(one)
    rows = {row["spare"]: row for row in spares}
    came, beside = [], {}
    for spare, of in by_spare.items():
        brought = list(_came(rows[spare], of, opened_on))
        came += brought
        beside[spare] = sum((u.quantity for u in of), Decimal(0)) - sum(c.quantity for c in brought)
    return Past(opened_on, used, sorted(came, key=lambda one: (one.day, one.spare)), beside)


def _used(logs: Sequence[Log]) -> Iterator[Used]:
    """Drawn by how many charters ago it was, so that it does not hang on the day of the week."""
    for log in logs:
        back = [h for h in log.hires if h.ends_on < log.today - UNTIL and not h.cancelled]
        for ago, hire in enumerate(reversed(back)):
            draw = chance("used", log.boat, ago)
            for spare, (rate, quantity) in USES.items():
                if draw.random() < rate:
                    yield Used(log.boat, spare, Decimal(quantity), hire.ends_on)


def _alternator(log: Log) -> Used:
    """Its core still stands in the workshop."""
    return Used(*ALTERNATOR, Decimal(1), log.saturday - timedelta(weeks=3))


def _came(row: Row, used: Sequence[Used], opened_on: date) -> Iterator[Came]:
    """Told backwards from what lies there now: where more would have lain than the shelf is for, an
    order had come, on the last Tuesday of the month before."""
    spare = row["spare"]
    now, wanted = (Decimal(cell or 0) for cell in SHELVES[SHELF_OF[spare]][spare])
    pack = Decimal(row["pack_of"] or (FIVE if wanted > FIVE else 1))
    level, low = now, max(wanted // 3, Decimal(1))
    for one in reversed(used):
        level += one.quantity
        many = (level - low) // pack * pack
        day = _last_tuesday_before(one.day.replace(day=1))
        if level < max(now, wanted) + pack or many <= 0 or day < opened_on + SETTLED:
            continue
        level -= many
        yield _order(row, many, day, opened_on)


def _order(row: Row, many: Decimal, day: date, opened_on: date) -> Came:
    """Each supplier's of a month came together."""
    late = chance("late", row["supplier"], day).randint(-1, LATEST)
    lead = timedelta(days=int(row["lead_days"]))
    sent_on = max(_on_a_workday(day - lead - timedelta(days=late)), opened_on)
    return Came(row["spare"], row["supplier"], many, sent_on, sent_on + lead, day)


def _last_tuesday_before(day: date) -> date:
    return day - timedelta(days=(day.weekday() - TUESDAY - 1) % 7 + 1)


def _on_a_workday(day: date) -> date:
    """Itself, or the Friday before."""
    return day - timedelta(days=max(day.weekday() - FRIDAY, 0))
