"""Kinds of thing, to add and to change: all bases of a copy share them."""

from typing import Any

from fleet.api.boats import Kinds as Shown
from fleet.api.fields import Body, Several
from fleet.api.register_fields import Code, Line, line
from fleet.api.registers import Register
from fleet.boats.actions import MOST_DATES, WHAT_LENGTH
from fleet.boats.models import Kind
from fleet.boats.stowing import keep_kind


class KindChange(Body):
    """What a kind is called, what it belongs to, and the dates one of it carries."""

    name = Line(max_length=120)
    system = Line(max_length=60, help_text="engine, gas, safety ...")
    function = line(60)
    dates = Several(
        child=Line(max_length=WHAT_LENGTH),
        required=False,
        max_length=MOST_DATES,
        help_text="what each is of: expiry, service, test ...; instead of those said before",
    )


class KindBody(KindChange):
    """A kind of thing, by a code of its own."""

    code = Code()


class Kinds(Shown, Register):
    """The kinds of thing; all bases of this copy share them, so a change is seen at every base."""

    takes, changes = KindBody, KindChange
    needs = {"GET": "see", "POST": "change intervals", "PATCH": "change intervals"}

    def add(self, given: dict[str, Any]) -> Kind:
        dates = given.pop("dates", None)
        return keep_kind(Kind(**given), dates=dates)

    def change(self, row: Kind, given: dict[str, Any]) -> None:
        dates = given.pop("dates", None)
        for name, value in given.items():
            setattr(row, name, value)
        keep_kind(row, dates=dates)
