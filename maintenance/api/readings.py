"""Hour readings: added, settled, corrected, set aside; the due list follows each."""

from typing import Any

from rest_framework import serializers

from fleet.api.fields import Day, LedgerBody, OneOf, Ref, Text, YesNo, boats_of, hours
from fleet.api.ledgers import Ledger
from fleet.api.meters import Readings as Shown
from fleet.boats.models import Meter
from fleet.meters.models import Reading
from maintenance.jobs.correcting import void_row
from maintenance.jobs.dials import note_reading
from maintenance.turnaround.doubts import correct, put_aside, settle


def meter_named(boat: Any, name: str, field: str = "meter") -> Meter:
    """A boat's meter by its name."""
    meter = Meter.objects.filter(boat=boat, name=name).first()
    if meter is None:
        names = ", ".join(boat.meters.values_list("name", flat=True)) or "none: she has no meter"
        raise serializers.ValidationError({field: [f"wanted one of {names}"]})
    return meter


class ReadingBody(LedgerBody):
    """What a dial showed. One that cannot be right is kept as doubtful: look at `standing`."""

    boat = Ref(boats_of, help_text="her code")
    meter = Text(max_length=64, help_text="the meter's name")
    day = Day()
    dial = hours(help_text="hours")
    new_meter = YesNo(default=False, help_text="the first of a replacement that starts again")
    how_known = OneOf(choices=Reading.HowKnown.values, default=Reading.HowKnown.SEEN)


class ReadingCorrection(LedgerBody):
    """Another dial, a doubtful one used after all, one set aside, or one that was never read."""

    dial = hours(required=False)
    new_meter = YesNo(default=False)
    standing = OneOf(choices=(Reading.Standing.USED.value, Reading.Standing.SET_ASIDE.value), required=False)
    void = YesNo(default=False, help_text="takes the row back")


class Readings(Shown, Ledger):
    """What the hour meters showed, dial by dial."""

    takes, corrects = ReadingBody, ReadingCorrection
    needs = {"GET": "see", "POST": "record a reading"}

    def enter(self, given: dict[str, Any]) -> Reading:
        boat = given.pop("boat")
        self.allow_at(self.caller.boats[boat.pk])
        meter = meter_named(boat, given.pop("meter"))
        return note_reading(meter, **self.when, **given)

    def correct(self, row: Reading, given: dict[str, Any]) -> Reading:
        when = self.when | {"client_id": given["client_id"]}
        if given["void"]:
            void_row(row, [row.meter.boat_id], **when)
        elif given.get("standing") == Reading.Standing.SET_ASIDE:
            put_aside(row, **when)
        elif row.standing == Reading.Standing.USED and "dial" in given:
            correct(row, dial=given["dial"], **when)
        elif row.standing != Reading.Standing.USED:
            settle(row, dial=given.get("dial"), new_meter=given["new_meter"], **when)
        else:
            raise serializers.ValidationError({"dial": ["wanted: this reading is used as it is"]})
        last: Reading = self.last_of(row)
        return last
