"""Charters booked, changed and called off, and the boats under them; the due lists follow."""

from datetime import date, timedelta
from typing import Any

from rest_framework import serializers

from fleet.api.charters import CharterBoats as ShownBoats
from fleet.api.charters import Charters as Shown
from fleet.api.charters import charters_of
from fleet.api.fields import Body, Clock, LedgerBody, OneOf, Ref, YesNo, boats_of
from fleet.api.ledgers import Additions
from fleet.api.register_fields import Code, UsualDay, about, count, line
from fleet.api.registers import Register
from fleet.charters.actions import change_charter
from fleet.charters.models import Charter, CharterBoat
from fleet.refused import TooLate
from maintenance.planning.actions import book_charter, cancel_charter, change_boat, extend_charter

DESK = {"GET": "see", "POST": "change charters", "PATCH": "change charters"}
LONGEST = timedelta(days=366)  # own choice: a longer hire is a slip of the finger


def refuse_span(starts_on: date, ends_on: date) -> None:
    """Refuses days that no charter has."""
    if not starts_on < ends_on <= starts_on + LONGEST:
        wanted = f"wanted a day after {starts_on}, a year later at most"
        raise serializers.ValidationError({"ends_on": [wanted]})


class CharterBody(Body):
    """A charter and its boat."""

    code = Code()
    sort = OneOf(choices=Charter.Sort.values, required=False)
    boat = Ref(boats_of, help_text="her code")
    starts_on = UsualDay()
    leaves_at = Clock(required=False, allow_null=True, help_text="by the base's clock")
    ends_on = UsualDay(help_text="the day she is back")
    back_at = Clock(required=False, allow_null=True, help_text="by the base's clock")
    berth = line(20)
    persons = count(1, 500)
    skipper = line(120)

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        refuse_span(given["starts_on"], given["ends_on"])
        return given


class CharterChange(Body):
    """What can be another than booked; another boat is given in its boats."""

    leaves_at = Clock(required=False, allow_null=True)
    ends_on = UsualDay(required=False)
    back_at = Clock(required=False)
    berth = line(20)
    persons = count(1, 500)
    skipper = line(120)
    cancelled = YesNo(required=False, help_text="true calls it off, and that is not taken back")

    def validate_cancelled(self, value: bool) -> bool:
        if not value:
            raise serializers.ValidationError("wanted true: one that was called off is booked anew")
        return value


class Charters(Shown, Register):
    """Who has which boat from when to when."""

    takes, changes, needs = CharterBody, CharterChange, DESK

    def add(self, given: dict[str, Any]) -> Charter:
        charter = Charter(**given)
        self.allow_at(self.caller.boats[charter.boat_id])
        with about("starts_on"):
            book_charter(charter, at=self.caller.now)
        return charter

    def change(self, row: Charter, given: dict[str, Any]) -> None:
        if row.cancelled_at is not None and given:
            raise TooLate(f"cancelled: {row.code} was called off, and is changed no more")
        cancelled = given.pop("cancelled", False)
        back = {name: given.pop(name) for name in ("ends_on", "back_at") if name in given}
        if given:
            with about("leaves_at"):
                change_charter(row, **given)
        if back:
            self._extend(row, **back)
        if cancelled:
            with about("cancelled"):
                cancel_charter(row, at=self.caller.now)

    def _extend(self, row: Charter, ends_on: date | None = None, back_at: Any = None) -> None:
        ends_on = ends_on or row.ends_on
        refuse_span(row.starts_on, ends_on)
        with about("ends_on"):
            extend_charter(row, ends_on=ends_on, back_at=back_at, at=self.caller.now)


class CharterBoatBody(LedgerBody):
    """Another boat for a charter: for all of it, or from a day on once it is out."""

    charter = Ref(charters_of, help_text="its code")
    boat = Ref(boats_of, help_text="the other boat's code")
    from_on = UsualDay()
    why = line(200)


class CharterBoats(ShownBoats, Additions):
    """The boats a charter had, and from which day on, once it was changed. A change is not taken
    back: the charter is given its boat again, which says what was so meanwhile."""

    takes = CharterBoatBody
    needs = {"GET": "see", "POST": "change charters"}

    def enter(self, given: dict[str, Any]) -> CharterBoat:
        charter, boat = given.pop("charter"), given.pop("boat")
        for one in (charter.boat_id, boat.pk):
            self.allow_at(self.caller.boats[one])
        if charter.cancelled_at is not None:
            raise TooLate(f"charter: {charter.code} was called off, and is changed no more")
        given["why"] = given.get("why", "")
        with about("boat"):
            change_boat(charter, boat, **self.when, **given)
        row: CharterBoat = CharterBoat.objects.standing().filter(charter=charter).latest("pk")
        return row
