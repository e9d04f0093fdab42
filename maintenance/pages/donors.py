"""Which sister ships have a part of a kind, and what it would mean for each to be without it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from fleet.boats.models import Boat, Component, Fitting, Kind, PrintedDate
from fleet.charters.models import Charter
from fleet.pages.desk import Desk
from maintenance.jobs.away import away_now
from maintenance.jobs.taking import grade_without
from maintenance.jobs.under_way import LEAVES, has_her
from maintenance.pages import wording
from maintenance.release.facts import Judged, judged_of
from maintenance.turnaround.facts import returned_by


@dataclass(frozen=True, slots=True)
class Donor:
    """One part that could be taken, and how its boat stands."""

    stay: Fitting
    same: bool
    out_until: date | None
    leaves: date | None
    when: str
    stands: str
    means: str
    printed: str

    @property
    def order(self) -> tuple[bool, bool, int]:
        """In port before out, the same make before another, who leaves last before who leaves first."""
        soon = -(self.leaves or date.max).toordinal()
        return (self.out_until is not None, not self.same, soon)


def donors_of(desk: Desk, to_boat: Boat, kind: Kind, broken: Component | None) -> list[Donor]:
    """Parts of a kind on the base's other boats, the best to take first; a fixed number of queries but
    for the grade, which is asked once a part."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).exclude(pk=to_boat.pk).values("pk")
    rows = Fitting.objects.standing().filter(boat__in=boats, removed_on__isnull=True, component__kind=kind)
    stays = list(rows.select_related("boat", "component__kind").order_by("boat__name", "pk"))
    away = away_now([stay.component_id for stay in stays])
    stays = [stay for stay in stays if stay.component_id not in away]
    ships = {stay.boat_id for stay in stays}
    judged = judged_of(desk.base, on=desk.today, now=desk.now, boats=ships)
    out, printed = _out(desk, ships), _printed(stays)
    found = [
        _donor(desk, stay, judged[stay.boat_id], out.get(stay.boat_id), broken, printed) for stay in stays
    ]
    return sorted(found, key=lambda donor: donor.order)


def _donor(
    desk: Desk,
    stay: Fitting,
    judged: Judged,
    out: Charter | None,
    broken: Component | None,
    printed: dict[int, date],
) -> Donor:
    part = stay.component
    good = printed.get(part.pk)
    return Donor(
        stay=stay,
        same=broken is not None and _make(part) == _make(broken) != ("", ""),
        out_until=out.ends_on if out is not None else None,
        leaves=judged.charter.starts_on if judged.charter is not None else None,
        when=_when(desk, judged.charter, out),
        stands=_stands(judged),
        means=f"she gets a defect, {grade_without(part.kind, part)}",
        printed=f"printed date good through {wording.day(good, desk.today)}" if good else "",
    )


def _make(part: Component) -> tuple[str, str]:
    return (part.maker.casefold(), part.model.casefold())


def _when(desk: Desk, charter: Charter | None, out: Charter | None) -> str:
    if out is not None:
        return f"out until {wording.day(out.ends_on, desk.today)}"
    if charter is None:
        return "in port, no charter booked"
    day = "today" if charter.starts_on == desk.today else wording.day(charter.starts_on, desk.today)
    return f"in port, leaves {day} {(charter.leaves_at or LEAVES):%H:%M}"


def _stands(judged: Judged) -> str:
    reasons = judged.standing.reasons
    if not reasons:
        return judged.standing.word
    return f"held already: {reasons[0].words[:1].lower()}{reasons[0].words[1:]}"


def _out(desk: Desk, boats: Collection[int]) -> dict[int, Charter]:
    """The charter each boat is out on now, as far as nobody said that she is back; three queries."""
    told = returned_by(boats).told
    rows = Charter.objects.booked().filter(boat__in=boats, starts_on__lte=desk.today, ends_on__gte=desk.today)
    return {c.boat_id: c for c in rows if c.pk not in told and has_her(c, desk.base, desk.now)}


def _printed(stays: Iterable[Fitting]) -> dict[int, date]:
    """The earliest date each part carries, where one is legible."""
    rows = PrintedDate.objects.standing().filter(
        component__in=[stay.component_id for stay in stays], good_through__isnull=False
    )
    return {row.component_id: row.good_through for row in rows.order_by("-good_through")}
