"""Defects: what was reported wrong, in the reporter's words, where, how bad, and how it stands."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER
from fleet.api.caller import Caller
from fleet.api.charters import charters_of
from fleet.api.components import components_of
from fleet.api.fields import LedgerBody, OneOf, Ref, Text, YesNo, boats_of
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import about
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.boats.models import Boat, Component, Fitting
from fleet.charters.models import Charter
from maintenance.api.defect_filters import DefectFilter
from maintenance.api.defects_came import CAME, CameShape, add_how_it_came
from maintenance.api.papers_at import digests, papers_at, some_papers
from maintenance.api.returns import MOST_WORDS, places_seen
from maintenance.defects.actions import report_defect
from maintenance.defects.correcting import correct_defect, join_defect, part_defect, void_defect
from maintenance.defects.facts import deferrals_of
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep
from maintenance.defects.rules import GRADES, HULL_PLACES
from maintenance.turnaround.moving import move_report

JOINS = "grade and defer"
STANDS = ("open", *ENDINGS)
GRADED, LOOKED, HAPPENING, ANSWERED = (
    step.value
    for step in (
        *(DefectStep.Step.GRADED, DefectStep.Step.LOOKED),
        *(DefectStep.Step.HAPPENING, DefectStep.Step.ANSWERED),
    )
)
WAITS = ("deferral", "deferred_until")
STEPPED = ("grade", "graded_by", "looked", "stands", "answered")


def defects_of(caller: Caller) -> QuerySet[Defect]:
    """Reports of the boats of one's bases, corrected ones too."""
    return Defect.objects.filter(boat__in=caller.boats)


class DefectShape(CameShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    component = CodeOf("component.code", allow_null=True)
    alarm = serializers.CharField(allow_blank=True, help_text="the word in it that raised the alarm")
    papers = serializers.ListField(child=serializers.CharField(), help_text="sha256 of each")
    grade = serializers.ChoiceField((*GRADES, ""), help_text="as it holds now; blank: not graded yet")
    graded_by = serializers.CharField(allow_blank=True, help_text="by name")
    looked = serializers.BooleanField(
        allow_null=True, help_text="whether somebody looked since the alarm; null where none was raised"
    )
    deferral = serializers.IntegerField(allow_null=True, help_text="id of the one it waits by, if any")
    deferred_until = serializers.DateField(allow_null=True, help_text="the day that one ends, if it has one")
    stands = serializers.ChoiceField(STANDS, help_text="as it stands now; one joined as the other stands")
    answered = serializers.BooleanField(help_text="whether the base told the one who reported it")
    first = serializers.IntegerField(
        source="first_id",
        allow_null=True,
        help_text="id of the report as it first came in, which steps and deferrals name",
    )
    beside = ("papers", *WAITS, *STEPPED, *CAME)

    class Meta:
        model = Defect
        fields = (
            *("id", "boat", "charter", "component", "place", "hull", "words", "language", "found_at"),
            *("risk_now", "works", "alarm", "reporter", "asked", "same_as", "first", "papers"),
            *("grade", "graded_by", "looked", *WAITS, "stands", "answered", *CAME, *LEDGER),
        )


class Where(LedgerBody):
    # Where it is and how bad: what can be said again of a report.

    component = Ref(components_of, required=False, allow_null=True, help_text="its code: fitted to her now")
    place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="id of a place aboard her")
    hull = OneOf(choices=HULL_PLACES, required=False, allow_blank=True, help_text="where on her hull")
    risk_now = YesNo(required=False, allow_null=True, help_text="whether somebody could be hurt now")
    works = OneOf(choices=Defect.Works.values, required=False, allow_blank=True, help_text="does it work now")


class DefectBody(Where):
    """What is wrong with a boat, in the words it was said in."""

    boat = Ref(boats_of, help_text="her code")
    words = Text(max_length=MOST_WORDS)
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code")
    reporter = Text(max_length=120, required=False, allow_blank=True, default="")
    papers = some_papers()


class DefectCorrection(Where):
    """Another component, place, danger or state; the words stay as they were said. Or, alone, the
    report it is of one thing with, or the boat of the same base it is about, where it begins anew."""

    boat = Ref(boats_of, required=False, help_text="her code, where it stands on the wrong boat")
    same_as = Ref(
        defects_of,
        by="pk",
        required=False,
        allow_null=True,
        help_text="id of another report of the same thing of hers; null: it is of a thing of its own",
    )
    void = YesNo(default=False, help_text="takes the report, or what it was corrected to, back")


class Defects(Ledger):
    """What was reported wrong with your boats, how bad it is, and how each stands."""

    shape, takes, corrects = DefectShape, DefectBody, DefectCorrection
    filterset_class = DefectFilter
    needs = {"GET": "see", "POST": "report a defect"}

    def mine(self) -> QuerySet[Defect]:
        return defects_of(self.caller)

    def base_of(self, row: Defect) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        """Photos, grades, deferrals and ends stay with the report as it first came in."""
        case = {row["id"]: row["first"] or row["id"] for row in rows}
        told = _stepped({*case.values(), *(row["same_as"] for row in rows if row["same_as"])})
        papers = digests(DefectPaper, "defect", list(set(case.values())))
        waits = deferrals_of(set(case.values()))
        add_how_it_came(rows, case)
        for row in rows:
            mine = case[row["id"]]
            row.update(told[mine] | {"papers": papers[mine]})
            row["stands"] = told[row["same_as"] or mine]["stands"]
            raised = bool(row["alarm"] or row["risk_now"] or told[mine]["happening"])
            row["looked"] = told[mine]["looked"] if raised else None
            waiting = waits.get(mine) if row["stands"] == "open" else None
            row["deferral"], row["deferred_until"] = (
                (waiting.pk, waiting.until_on) if waiting is not None else (None, None)
            )

    def enter(self, given: dict[str, Any]) -> Defect:
        boat = given.pop("boat")
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        papers = papers_at(base, given.pop("papers", ()), _wrong(boat, given))
        given.setdefault("works", "")
        return report_defect(boat, papers=papers, **given, **self.when)

    def correct(self, row: Defect, given: dict[str, Any]) -> Defect:
        when = self.when | {"client_id": given.pop("client_id")}
        if given.pop("void"):
            return void_defect(row, **when)
        if "same_as" in given:
            return self._join(row, given, when)
        if "boat" in given:
            return self._move(row, given, when)
        if not given:
            wanted = "wanted, or place, hull, risk_now, works, same_as, or void"
            raise serializers.ValidationError({"component": [wanted]})
        papers_at(self.base_of(row), (), _wrong(row.boat, given))
        return correct_defect(row, **_columns(given), **when)

    def _alone(self, row: Defect, name: str, given: dict[str, Any]) -> Any:
        """What a correction says and nothing else, by who may judge a report."""
        value = given.pop(name)
        if given:
            raise serializers.ValidationError({name: ["wanted alone"]})
        if not self.caller.may(JOINS, self.base_of(row)):
            raise PermissionDenied(JOINS)
        return value

    def _move(self, row: Defect, given: dict[str, Any], when: dict[str, Any]) -> Defect:
        return move_report(row, self._alone(row, "boat", given), **when)

    def _join(self, row: Defect, given: dict[str, Any], when: dict[str, Any]) -> Defect:
        main = self._alone(row, "same_as", given)
        with about("same_as"):
            return part_defect(row, **when) if main is None else join_defect(row, self.last_of(main), **when)


def _stepped(cases: set[int]) -> dict[int, Row]:
    """What the steps of each case say of it; one query."""
    found: dict[int, Row] = {
        case: {
            "grade": "",
            "graded_by": "",
            "looked": False,
            "happening": False,
            "stands": "open",
            "answered": False,
        }
        for case in cases
    }
    rows = DefectStep.objects.standing().filter(defect__in=cases).order_by("pk")
    for case, step, by, grade in rows.values_list("defect_id", "step", "by", "grade"):
        found[case].update(_says(step, by, grade))
    return found


def _says(step: str, by: str, grade: str) -> Row:
    if step in ENDINGS:
        return {"stands": step}
    said: dict[str, Row] = {
        GRADED: {"grade": grade, "graded_by": by},
        LOOKED: {"looked": True},
        HAPPENING: {"happening": True, "looked": False},
        ANSWERED: {"answered": True},
    }
    return said.get(step, {})


def _columns(given: dict[str, Any]) -> dict[str, Any]:
    """What changed, a thing pointed to by the column of its id."""
    for name in ("component", "place"):
        if name in given:
            thing = given.pop(name)
            given[f"{name}_id"] = None if thing is None else thing.pk
    return given


def _wrong(boat: Boat, given: dict[str, Any]) -> dict[str, str]:
    """What is not of the boat, each field by its name."""
    charter, component, place = (given.get(name) for name in ("charter", "component", "place"))
    wrong = {}
    if charter is not None and boat.pk not in _boats_of(charter):
        wrong["charter"] = f"wanted a charter that had {boat.name}"
    if component is not None and not _fitted_now(component, boat):
        wrong["component"] = f"wanted something fitted to {boat.name} now"
    if place is not None and place.boat_id != boat.pk:
        wrong["place"] = f"wanted a place aboard {boat.name}"
    return wrong


def _boats_of(charter: Charter) -> set[int]:
    """The boat of a charter, and those it had before."""
    return {charter.boat_id, *charter.boats.standing().values_list("boat_id", flat=True)}


def _fitted_now(component: Component, boat: Boat) -> bool:
    stays = Fitting.objects.standing().filter(component=component, boat=boat, removed_on__isnull=True)
    return bool(stays.exists())
