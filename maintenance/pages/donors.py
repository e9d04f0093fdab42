"""Which sister ships have a part of a kind, and what it would mean for each to be without it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from fleet.boats.models import Boat, Component, Fitting, Kind, PrintedDate
from fleet.charters.models import Charter
from fleet.charters.rules import LEAVES
from fleet.pages.desk import Desk
from maintenance.jobs.away import away_now
from maintenance.jobs.part_taken import grade_without
from maintenance.pages import wording
from maintenance.pages.may_go import after_word
from maintenance.release.facts import Judged, judged_of
from maintenance.release.rule_list import HELD
from maintenance.turnaround.at_sea import out_of


@dataclass(frozen=True, slots=True)
class Donor:
    """One part that could be taken, and how its boat stands."""

    stay: Fitting
    same: bool  # the same make and model as the broken one
    like: bool  # that, or at the same position: what stands in for it as it is
    out_until: date | None
    leaves: date | None
    when: str
    stands: str
    means: str
    printed: str

    @property
    def order(self) -> tuple[bool, bool, bool, int]:
        """In port before out, what is like before another sort, the same make before another, who leaves
        last before who leaves first."""
        soon = -(self.leaves or date.max).toordinal()
        return (self.out_until is not None, not self.like, not self.same, soon)


@dataclass(frozen=True, slots=True)
class Offered:
    """Donors as a page shows them: those in port that are like the broken one, one a boat; the other
    parts in port; the boats that are out, each once."""

    first: list[Donor]
    others: list[Donor]
    out: list[Donor]


def offered(donors: Iterable[Donor]) -> Offered:
    """Donors as a page shows them; the donors come best first."""
    first: dict[int, Donor] = {}
    out: dict[int, Donor] = {}
    others = []
    for donor in donors:
        if donor.out_until is not None:
            out.setdefault(donor.stay.boat_id, donor)
        elif donor.like and donor.stay.boat_id not in first:
            first[donor.stay.boat_id] = donor
        else:
            others.append(donor)
    return Offered(list(first.values()), others, list(out.values()))


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
    out, printed = out_of(ships, desk.base, desk.now), _printed(stays)
    hers = _Hers(broken, _place_of(broken, to_boat))
    found = [_donor(desk, stay, judged[stay.boat_id], out.get(stay.boat_id), hers, printed) for stay in stays]
    return sorted(found, key=lambda donor: donor.order)


@dataclass(frozen=True, slots=True)
class _Hers:
    """The broken part and where it sits."""

    part: Component | None
    position: str

    def is_made_as(self, part: Component) -> bool:
        return self.part is not None and _make(part) == _make(self.part) != ("", "")

    def is_placed_as(self, stay: Fitting) -> bool:
        return self.part is None or stay.position.strip().casefold() == self.position


def _place_of(broken: Component | None, boat: Boat) -> str:
    """Where the broken one sits, or sat last, aboard."""
    stays = Fitting.objects.standing().filter(component=broken, boat=boat).order_by("fitted_on", "pk")
    last = stays.last() if broken is not None else None
    return last.position.strip().casefold() if last is not None else ""


def _donor(
    desk: Desk,
    stay: Fitting,
    judged: Judged,
    out: Charter | None,
    hers: _Hers,
    printed: dict[int, date],
) -> Donor:
    part = stay.component
    good = printed.get(part.pk)
    return Donor(
        stay=stay,
        same=hers.is_made_as(part),
        like=hers.is_made_as(part) or hers.is_placed_as(stay),
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
    words = after_word(HELD, reasons[0].words)
    return f"held already: {words[:1].lower()}{words[1:]}"


def _printed(stays: Iterable[Fitting]) -> dict[int, date]:
    """The earliest date each part carries, where one is legible."""
    rows = PrintedDate.objects.standing().filter(
        component__in=[stay.component_id for stay in stays], good_through__isnull=False
    )
    return {row.component_id: row.good_through for row in rows.order_by("-good_through")}
