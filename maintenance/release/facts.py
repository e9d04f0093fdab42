"""What holding a base's boats rests on: rows in, frozen facts out, in a fixed number of queries."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.release import rules
from maintenance.release.known import Ship, Trip
from maintenance.release.models import HoldRule, Release, ReleaseName
from maintenance.release.rule_list import BY_CODE, Rule
from maintenance.release.ships import ships_of
from maintenance.release.standing import Said, Standing, standing


@dataclass(frozen=True, slots=True)
class Judged:
    """A boat for a charter: what is known, how she stands, and the release that says so, if any."""

    boat: Boat
    charter: Charter | None
    ship: Ship
    standing: Standing
    release: Release | None
    rules: Mapping[str, Rule]

    @property
    def limits(self) -> tuple[str, ...]:
        """What the skipper is told: of what was deferred, and what the release says besides."""
        more = self.release.limits if self.release is not None and not self.standing.fell else ""
        return (*rules.limits_of(self.ship), *([more] if more else []))

    @property
    def warnings(self) -> tuple[str, ...]:
        return rules.warnings(self.ship, trip_of(self.charter))

    @property
    def names_needed(self) -> int:
        """How many names a release wants now, if all that holds her still is let be."""
        codes = {r.code for r in (*self.standing.reasons, *self.standing.let_be)}
        return rules.names_needed(self.ship, codes, self.rules)


def judge(boat: Boat, charter: Charter | None, *, base: Base, on: date, now: datetime) -> Judged:
    """One boat for one charter; for her next one where none is given."""
    wanted = {boat.pk: charter} if charter is not None else None
    return judged_of(base, on=on, now=now, boats=[boat.pk], charters=wanted)[boat.pk]


def judged_of(
    base: Base,
    *,
    on: date,
    now: datetime,
    boats: Collection[int] | None = None,
    charters: Mapping[int, Charter] | None = None,
) -> dict[int, Judged]:
    """The boats of a base (or some of them), each for her next charter or the one given; the number
    of queries does not hang on how many there are."""
    ours = Boat.objects.of_base(base.pk, on)
    rows = {boat.pk: boat for boat in (ours if boats is None else ours.filter(pk__in=boats))}
    trips = next_charters(rows, on) | dict(charters or {})
    ships = ships_of(base, rows, trips, on=on, now=now)
    held_by, said = rules_of(base), releases_of(trips.values())
    found = {}
    for pk, boat in rows.items():
        charter = trips.get(pk)
        release = said.get((pk, charter.pk)) if charter is not None else None
        how = standing(ships[pk], trip_of(charter), said_of(release), held_by)
        found[pk] = Judged(boat, charter, ships[pk], how, release, held_by)
    return found


def trip_of(charter: Charter | None) -> Trip | None:
    return Trip(charter.pk, charter.starts_on, charter.ends_on, charter.code) if charter is not None else None


def said_of(release: Release | None) -> Said | None:
    """A release as its standing goes."""
    if release is None:
        return None
    let_be = frozenset(r["key"] for r in release.reasons)
    by = next((name.name for name in release.names.all()), "")
    return Said(release.verdict, release.recorded_at, let_be, release.why, by)


def rules_of(base: Base) -> dict[str, Rule]:
    """The rules that hold a base's boats: the list, with what the base changed of it."""
    found = dict(BY_CODE)
    for row in HoldRule.objects.filter(base=base):
        was = found[row.code]
        found[row.code] = Rule(
            row.code, was.words, row.names_needed, row.paper_needed, row.source or was.source, row.on
        )
    return found


def next_charters(boats: Collection[int], on: date) -> dict[int, Charter]:
    """The charter each boat goes out for next, from a day on."""
    found: dict[int, Charter] = {}
    for charter in Charter.objects.next_from(on).filter(boat__in=boats):
        found.setdefault(charter.boat_id, charter)
    return found


def releases_of(charters: Iterable[Charter]) -> dict[tuple[int, int], Release]:
    """The last release of each boat for each of these charters."""
    rows = Release.objects.standing().filter(charter__in=[c.pk for c in charters]).order_by("pk")
    return {
        (row.boat_id, row.charter_id): row
        for row in rows.prefetch_related(Prefetch("names", ReleaseName.objects.standing().order_by("pk")))
    }
