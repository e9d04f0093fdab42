"""Defects: what was reported wrong, in the reporter's words, where, and how it stands."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import django_filters as filters
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.charters import charters_of
from fleet.api.components import components_of
from fleet.api.fields import LedgerBody, OneOf, Ref, Several, Text, YesNo, boats_of
from fleet.api.filters import WANTED_DAY, BaseCode, code, yes_no
from fleet.api.ledgers import Ledger
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.bases.models import Base
from fleet.boats.models import SINCE_EVER, Boat, Component, Fitting
from fleet.charters.models import Charter
from fleet.papers.models import Paper
from maintenance.api.returns import MOST_WORDS, places_seen
from maintenance.defects.actions import report_defect
from maintenance.defects.correcting import correct_defect, void_defect
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep

MOST_PAPERS, LAST_DAY = 50, date(2999, 12, 31)
STANDS = ("open", *ENDINGS)


class DefectShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    component = CodeOf("component.code", allow_null=True)
    papers = serializers.ListField(child=serializers.CharField(), help_text="sha256 of each")
    stands = serializers.ChoiceField(STANDS, help_text="as it stands now")
    answered = serializers.BooleanField(help_text="whether the base told the one who reported it")
    beside = ("papers", "stands", "answered")

    class Meta:
        model = Defect
        fields = (
            *("id", "boat", "charter", "component", "place", "words", "language", "found_at"),
            *("risk_now", "works", "reporter", "asked", "same_as", "papers", "stands", "answered"),
            *LEDGER,
        )


class Where(LedgerBody):
    # Where it is and how bad: what can be said again of a report.

    component = Ref(components_of, required=False, allow_null=True, help_text="its code: fitted to her now")
    place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="id of a place aboard her")
    risk_now = YesNo(required=False, allow_null=True, help_text="whether somebody could be hurt now")
    works = OneOf(choices=Defect.Works.values, required=False, allow_blank=True, help_text="does it work now")


class DefectBody(Where):
    """What is wrong with a boat, in the words it was said in."""

    boat = Ref(boats_of, help_text="her code")
    words = Text(max_length=MOST_WORDS)
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code")
    reporter = Text(max_length=120, required=False, allow_blank=True, default="")
    papers = Several(
        child=Text(max_length=64),
        required=False,
        max_length=MOST_PAPERS,
        help_text="sha256 of photos handed in at her base",
    )


class DefectCorrection(Where):
    """Another component, place, danger or state; the words stay as they were said."""

    void = YesNo(default=False, help_text="takes the report back")


def found(said: str) -> filters.DateFilter:
    return filters.DateFilter(method="by_day", label=said, error_messages=WANTED_DAY)


def hours_of(base: Base, day: date) -> tuple[datetime, datetime]:
    """When a day begins and ends at a base; one far off counts as the first or last that can be."""
    day = min(max(day, SINCE_EVER), LAST_DAY)
    zone = ZoneInfo(base.timezone)
    return tuple(datetime.combine(d, time(), zone) for d in (day, day + timedelta(days=1)))  # type: ignore[return-value]


class DefectFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "of this charter")
    component = code("component__code", "at this component")
    kind = code("component__kind__code", "at things of this kind")
    system = code("component__kind__system", "at things of this system")
    open = yes_no("neither put right nor found to be no fault", method="by_end")
    risk_now = yes_no("somebody could be hurt")
    day = found("found on this day, by the base's clock")
    from_day = found("found on this day or later")
    to_day = found("found on this day or before")

    def by_end(self, rows: QuerySet[Defect], name: str, value: bool) -> QuerySet[Defect]:
        ended = DefectStep.objects.standing().filter(step__in=ENDINGS).values("defect")
        return rows.exclude(pk__in=ended) if value else rows.filter(pk__in=ended)

    def by_day(self, rows: QuerySet[Defect], name: str, value: date) -> QuerySet[Defect]:
        """A moment is of a day by the clock of the base whose boat it is."""
        caller = self.request.caller_of_api
        found = Q(pk__in=())
        for pk, base in caller.bases.items():
            start, end = hours_of(base, value)
            within = {"found_at__gte": start, "found_at__lt": end}
            within.pop({"from_day": "found_at__lt", "to_day": "found_at__gte"}.get(name, ""), None)
            found |= Q(boat__in=[boat for boat, whose in caller.boats.items() if whose == pk], **within)
        return rows.filter(found)


class Defects(Ledger):
    """What was reported wrong with your boats, and how each stands."""

    shape, takes, corrects = DefectShape, DefectBody, DefectCorrection
    filterset_class = DefectFilter
    needs = {"GET": "see", "POST": "report a defect"}

    def mine(self) -> QuerySet[Defect]:
        return Defect.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Defect) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        """Photos, answers and ends stay with the row they came to, through corrections of it."""
        first = _histories(rows)
        by_row = {row["id"]: row for row in rows}
        for row in rows:
            row.update(papers=[], stands="open", answered=False)
        papers = DefectPaper.objects.filter(defect__in=first).order_by("pk")
        for defect, sha256 in papers.values_list("defect_id", "paper__sha256"):
            for pk in first[defect]:
                by_row[pk]["papers"].append(sha256)
        steps = DefectStep.objects.standing().filter(defect__in=first).order_by("pk")
        for defect, step in steps.values_list("defect_id", "step"):
            for pk in first[defect]:
                by_row[pk].update({"stands": step} if step in ENDINGS else {"answered": True})

    def enter(self, given: dict[str, Any]) -> Defect:
        boat = given.pop("boat")
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        wanted = given.pop("papers", ())
        papers = {p.sha256: p for p in Paper.objects.of_bases([base]).filter(sha256__in=wanted)}
        wrong = {
            f"papers[{n}]": "wanted the sha256 of a paper handed in at her base"
            for n, sha256 in enumerate(wanted)
            if sha256 not in papers
        }
        _refuse(boat, given, wrong)
        given.setdefault("works", "")
        return report_defect(boat, papers=[papers[sha256] for sha256 in wanted], **given, **self.when)

    def correct(self, row: Defect, given: dict[str, Any]) -> Defect:
        when = self.when | {"client_id": given.pop("client_id")}
        if given.pop("void"):
            return void_defect(row, **when)
        if not given:
            raise serializers.ValidationError({"component": ["wanted, or place, risk_now, works, or void"]})
        _refuse(row.boat, given, {})
        return correct_defect(row, **_columns(given), **when)


def _columns(given: dict[str, Any]) -> dict[str, Any]:
    """What changed, a thing pointed to by the column of its id."""
    for name in ("component", "place"):
        if name in given:
            thing = given.pop(name)
            given[f"{name}_id"] = None if thing is None else thing.pk
    return given


def _refuse(boat: Boat, given: dict[str, Any], wrong: dict[str, str]) -> None:
    """Refuses what is not of the boat, each field by its name."""
    charter, component, place = (given.get(name) for name in ("charter", "component", "place"))
    if charter is not None and boat.pk not in _boats_of(charter):
        wrong["charter"] = f"wanted a charter that had {boat.name}"
    if component is not None and not _fitted_now(component, boat):
        wrong["component"] = f"wanted something fitted to {boat.name} now"
    if place is not None and place.boat_id != boat.pk:
        wrong["place"] = f"wanted a place aboard {boat.name}"
    if wrong:
        raise ValidationError(wrong)


def _boats_of(charter: Charter) -> set[int]:
    """The boat of a charter, and those it had before."""
    return {charter.boat_id, *charter.boats.standing().values_list("boat_id", flat=True)}


def _fitted_now(component: Component, boat: Boat) -> bool:
    stays = Fitting.objects.standing().filter(component=component, boat=boat, removed_on__isnull=True)
    return bool(stays.exists())


def _histories(rows: Sequence[Row]) -> dict[int, list[int]]:
    """The reports of a page and those they correct, each with the rows of the page that stand for
    it; one query for each step of correction."""
    found: dict[int, list[int]] = defaultdict(list)
    older = [(row["id"], row["id"]) for row in rows]
    while older:
        for pk, shown in older:
            found[pk].append(shown)
        before = _replaced({pk for pk, _ in older})
        older = [(before[pk], shown) for pk, shown in older if pk in before]
    return found


def _replaced(rows: Collection[int]) -> dict[int, int]:
    pairs = Defect.objects.filter(pk__in=rows, replaces__isnull=False)
    return dict(pairs.values_list("pk", "replaces_id"))
