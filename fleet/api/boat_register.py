"""Boats: one joins a base with her first terms, and what she is can be changed."""

from typing import Any

from fleet.api.boats import Boats as Shown
from fleet.api.caller import Caller
from fleet.api.fields import Body, Ref
from fleet.api.register_fields import Code, Line, count, line
from fleet.api.registers import Register
from fleet.bases.models import Base
from fleet.boats.joining import add_boat
from fleet.boats.models import Boat


def bases_of(caller: Caller) -> Any:
    """The bases one works at."""
    return Base.objects.filter(pk__in=caller.bases)


class BoatChange(Body):
    """What a boat is; whose she is stands in her terms."""

    name = Line(max_length=120)
    design = line(120)
    built = count(1850, 2200, help_text="year")
    hull_no = line(40)
    fuel_l = count(0, 100_000, help_text="litres")
    water_l = count(0, 100_000, help_text="litres")


class BoatBody(BoatChange):
    """A boat that is a base's from now on, and was since ever as far as anyone asks."""

    code = Code()
    base = Ref(bases_of, help_text="the base's code")


class Boats(Shown, Register):
    """The boats of your bases today; her base is changed in her terms."""

    takes, changes = BoatBody, BoatChange
    needs = {"GET": "see", "POST": "change boats", "PATCH": "change boats"}

    def add(self, given: dict[str, Any]) -> Boat:
        base = given.pop("base")
        self.allow_at(base.pk)
        return add_boat(Boat(**given), base, **self.when)
