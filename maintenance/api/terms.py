"""A boat's terms: added from a day on and put right; her due lines follow."""

from typing import Any

from rest_framework import serializers

from fleet.api.boat_register import bases_of
from fleet.api.boats import Terms as Shown
from fleet.api.fields import LedgerBody, OneOf, Ref, YesNo, boats_of
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import UsualDay, count, line
from fleet.boats.models import BoatTerms
from maintenance.servicing.terms import add_terms, correct_terms


class TermsCorrection(LedgerBody):
    """What was wrong of some terms; or they are taken back whole with `void`."""

    from_on = UsualDay(required=False)
    base = Ref(bases_of, required=False, help_text="the base's code")
    flag = line(40)
    area = line(40)
    persons = count(1, 500)
    cabins = count(0, 100)
    state = OneOf(choices=BoatTerms.State.values, required=False)
    void = YesNo(default=False, help_text="takes the row back")


class TermsBody(LedgerBody):
    """What holds of a boat from a day on; what is left out stays as it was before that day."""

    boat = Ref(boats_of, help_text="her code")
    from_on = UsualDay()
    base = Ref(bases_of, required=False, help_text="the base's code")
    flag = line(40)
    area = line(40)
    persons = count(1, 500)
    cabins = count(0, 100)
    state = OneOf(choices=BoatTerms.State.values, required=False)


class Terms(Shown, Ledger):
    """From which day on whose boat she is, where she may sail, how many she carries."""

    takes, corrects = TermsBody, TermsCorrection
    needs = {"GET": "see", "POST": "change boats"}

    def base_of(self, row: BoatTerms) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> BoatTerms:
        boat = given.pop("boat")
        self.allow_at(self.caller.boats[boat.pk])
        self._allow_given(given)
        return add_terms(boat, **self.when, **given)

    def correct(self, row: BoatTerms, given: dict[str, Any]) -> BoatTerms:
        if not given["void"] and given.keys() == {"void", "client_id"}:
            raise serializers.ValidationError({"void": ["wanted true, or what else was wrong"]})
        if row.base_id != self.base_of(row):
            self.allow_at(row.base_id)
        self._allow_given(given)
        return correct_terms(row, **self.when, **given)

    def _allow_given(self, given: dict[str, Any]) -> None:
        """Another base is given a boat only by who may change boats there too."""
        if "base" in given:
            self.allow_at(given["base"].pk)
