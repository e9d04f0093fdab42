"""Components and where they are: a new one is fitted, one is moved, taken off or fitted again."""

from typing import Any

from rest_framework import serializers

from fleet.api.components import Components as ShownComponents
from fleet.api.components import Fittings as ShownFittings
from fleet.api.components import components_of
from fleet.api.fields import Body, LedgerBody, Ref, Text, YesNo, boats_of, hours
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import Code, UsualDay, about, line, some
from fleet.api.registers import Register
from fleet.boats.models import Boat, Component, Fitting, Kind, Meter
from maintenance.api.readings import meter_named
from maintenance.jobs.refitting import NewPlace, fit_part, move_part, remove_part, undo_stay

WORK = {"GET": "see", "POST": "record work", "PATCH": "record work"}
METER: dict[str, Any] = {"max_length": 64, "required": False, "allow_null": True}


def meter_of(boat: Boat, name: str | None) -> Meter | None:
    """The meter a thing is to run on; none where none is named."""
    return None if name is None else meter_named(boat, name)


class ComponentChange(Body):
    """What is written on a component."""

    maker = line(80)
    model = line(80)
    serial = line(80, help_text="text: it keeps its zeros")
    date_code = line(40)
    made_on = UsualDay(required=False, allow_null=True)
    quantity = some(9, 3, required=False)
    unit = line(20)


class ComponentBody(ComponentChange):
    """A component and where it is fitted."""

    code = Code()
    kind = Ref(lambda caller: Kind.objects.all(), help_text="its code")
    boat = Ref(boats_of, help_text="her code")
    fitted_on = UsualDay()
    meter = Text(**METER, help_text="the hour meter it runs on, by name; none unless told")
    position = line(60, help_text="where aboard")
    dial = hours(required=False, allow_null=True, help_text="hours the meter showed when it was fitted")


class Components(ShownComponents, Register):
    """The things fitted to your boats, each with a history; where one is, is changed in its fittings."""

    takes, changes, needs = ComponentBody, ComponentChange, WORK

    def add(self, given: dict[str, Any]) -> Component:
        boat = given.pop("boat")
        self.allow_at(self.caller.boats[boat.pk])
        meter = meter_of(boat, given.pop("meter", None))
        place = NewPlace(boat, meter, given.pop("position", ""), dial=given.pop("dial", None))
        fitted_on = given.pop("fitted_on")
        component = Component(**given)
        with about(on="fitted_on"):
            fit_part(component, place, on=fitted_on, **self.when)
        return component


class FittingBody(LedgerBody):
    """Where a component goes: to another boat, to one from ashore, or ashore where `boat` is null."""

    component = Ref(components_of, help_text="its code")
    boat = Ref(boats_of, allow_null=True, help_text="her code; null takes it off and keeps it ashore")
    on = UsualDay(help_text="the day it was moved, fitted or taken off")
    meter = Text(**METER, help_text="the hour meter it then runs on, by name; none unless told")
    position = line(60, help_text="where aboard")
    dial_removed = hours(required=False, allow_null=True, help_text="hours of the meter it comes from")
    dial = hours(required=False, allow_null=True, help_text="hours of the meter it goes to")
    why = line(200)

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if given["boat"] is None:
            unfit = [name for name in ("meter", "position", "dial") if given.get(name) not in (None, "")]
            if unfit:
                raise serializers.ValidationError(
                    {n: ["wanted nothing, for it is kept ashore"] for n in unfit}
                )
        return given


class FittingVoid(LedgerBody):
    """Undoes the last that was said of where a component is."""

    void = YesNo(help_text="true")

    def validate_void(self, value: bool) -> bool:
        if not value:
            raise serializers.ValidationError("wanted true: move it on where it is elsewhere now")
        return value


class Fittings(ShownFittings, Ledger):
    """Where each component has been, from when to when. Only the last stay can be taken back, and
    only while no service rests on it: the hours a thing has run are counted from its stays."""

    takes, corrects = FittingBody, FittingVoid
    needs = {"GET": "see", "POST": "record work"}

    def enter(self, given: dict[str, Any]) -> Fitting:
        component, boat = given["component"], given["boat"]
        self.allow_at(Components.base_of(self, component))  # type: ignore[arg-type]
        how = {"on": given["on"], "why": given.get("why", ""), "client_id": given["client_id"]} | self.when
        if boat is None:
            remove_part(component, dial_removed=given.get("dial_removed"), **how)
        else:
            self.allow_at(self.caller.boats[boat.pk])
            self._put(component, boat, given, how)
        row: Fitting = Fitting.objects.standing().filter(component=component).latest("pk")
        return row

    def _put(self, component: Component, boat: Boat, given: dict[str, Any], how: dict[str, Any]) -> None:
        """Moves a part that is aboard, fits one that lies ashore."""
        stays = Fitting.objects.standing().filter(component=component, removed_on__isnull=True)
        dials = {name: given.get(name) for name in ("dial_removed", "dial")}
        place = NewPlace(boat, meter_of(boat, given.get("meter")), given.get("position", ""), **dials)
        if stays.exists():
            move_part(component, place, **how)
        elif dials["dial_removed"] is not None:
            raise serializers.ValidationError({"dial_removed": ["wanted nothing, for it lay ashore"]})
        else:
            fit_part(component, place, **how)

    def correct(self, row: Fitting, given: dict[str, Any]) -> Fitting:
        return undo_stay(row, client_id=given["client_id"], **self.when)
