"""What came from the crews and nobody of the base has seen: danger first, then alarms, then the newest."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from hashlib import sha256
from typing import Any

from django.db.models import Exists, OuterRef, Q

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages import wording
from maintenance.pages.defect_rows import short
from maintenance.pages.new_rows import report_entries, return_entries
from maintenance.turnaround.models import LinkDefectPhoto, LinkReturnPhoto, Return, ReturnDefect
from maintenance.turnaround.seeing import unseen_reports, unseen_returns

MOST = 20  # shown at once: what is seen makes room for the next


@dataclass(frozen=True, slots=True)
class Unseen:
    """A report or a return as far as its place in the list goes."""

    pk: int
    came: datetime
    alarmed: bool
    danger: bool = False
    is_return: bool = False

    @property
    def rank(self) -> tuple[bool, bool, float, bool, int]:
        """What is danger now first, then alarms, then the newest."""
        return not self.danger, not self.alarmed, -self.came.timestamp(), self.is_return, -self.pk


@dataclass
class New:
    """What is new at a base, in two steps: which, and `stamp`, are cheap; `entries` are as they are shown."""

    desk: Desk
    rows: list[Unseen] = field(default_factory=list)

    @property
    def shown(self) -> list[Unseen]:
        return self.rows[:MOST]

    @property
    def reports(self) -> list[int]:
        return [row.pk for row in self.shown if not row.is_return]

    @property
    def returns(self) -> list[int]:
        return [row.pk for row in self.shown if row.is_return]

    @cached_property
    def stamp(self) -> str:
        """Changes when what is shown may have changed: other rows, a photo arrived, something was done."""
        if not self.rows:
            return "none"
        known = [self.desk.today, len(self.rows), self.reports, self.returns, *_photos(self), *_last()]
        return sha256(repr(known).encode()).hexdigest()[:16]

    @cached_property
    def entries(self) -> list[dict[str, Any]]:
        """Those shown; what somebody ended between the two steps is left out."""
        reports = report_entries(self.reports, self.desk)
        returns = return_entries(self.returns, self.desk)
        found = ((returns if row.is_return else reports).get(row.pk) for row in self.shown)
        return [entry for entry in found if entry is not None]

    @property
    def first(self) -> str:
        """The first of them in one line, as it stays in view on every page; blank where none is new."""
        if not self.entries:
            return ""
        entry = self.entries[0]
        what = "a return" if entry.get("is_return") else short(entry["words"])
        more = f"; {len(self.rows) - 1} more" if len(self.rows) > 1 else ""
        return (
            ", ".join(part for part in (f"New: {entry['boat'].name}", what, entry["danger"]) if part) + more
        )

    @property
    def more(self) -> int:
        """How many wait behind those shown."""
        return len(self.rows) - len(self.shown)

    @property
    def says(self) -> str:
        """How many there are, in words that a screen reader says when they change."""
        if not self.rows:
            return "All that came has been seen."
        alarms = sum(row.alarmed for row in self.rows)
        raised = f", {wording.many(alarms, 'alarm')} among them" if alarms else ""
        return wording.sentence(f"{wording.many(len(self.rows), 'report')} nobody has seen{raised}.")


def new_at(desk: Desk) -> New:
    """Which reports and returns of the base's boats nobody has seen; two queries."""
    boats: Any = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = [*_reports(boats), *_returns(boats)]
    return New(desk, sorted(rows, key=lambda row: row.rank))


def _reports(boats: Any) -> Iterable[Unseen]:
    happening = DefectStep.objects.standing().filter(defect=OuterRef("pk"), step=DefectStep.Step.HAPPENING)
    rows: Any = unseen_reports(boats).annotate(now=Exists(happening))
    for pk, came, alarm, danger, now in rows.values_list("pk", "recorded_at", "alarm", "risk_now", "now"):
        yield Unseen(pk, came, bool(alarm or danger or now), danger=bool(danger or now))


def _returns(boats: Any) -> Iterable[Unseen]:
    raised = ~Q(defect__alarm="") | Q(defect__risk_now=True)
    alarmed = ReturnDefect.objects.filter(raised, filed=OuterRef("pk"))
    danger = alarmed.filter(defect__risk_now=True)
    rows: Any = unseen_returns(boats).annotate(alarmed=Exists(alarmed), danger=Exists(danger))
    for pk, came, alarm, now in rows.values_list("pk", "recorded_at", "alarmed", "danger"):
        yield Unseen(pk, came, alarm, danger=now, is_return=True)


def _photos(new: New) -> list[Any]:
    """How far the photos of what is shown have got."""
    found: list[Any] = []
    if new.reports:
        rows: Any = LinkDefectPhoto.objects.filter(came__defect__in=new.reports)
        found += rows.order_by("pk").values_list("pk", "paper", "refused")
    if new.returns:
        rows = LinkReturnPhoto.objects.filter(came__filed__in=new.returns)
        found += rows.order_by("pk").values_list("pk", "paper", "refused")
    return found


def _last() -> list[Any]:
    """The last report, return and step there are: a double beside a report stands as it stands now."""
    return [
        model.objects.order_by("-pk").values_list("pk", flat=True).first()
        for model in (Defect, DefectStep, Return)
    ]
