"""Dates read off things and their certificates: what could mean several days is asked about."""

from datetime import date
from typing import Any

from rest_framework import serializers

from fleet.api.caller import Caller
from fleet.api.components import PrintedDates as Shown
from fleet.api.components import components_of
from fleet.api.fields import Day, LedgerBody, OneOf, Ref
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import Line, line
from fleet.boats.dates import AS_PRINTED, meanings
from fleet.boats.models import PrintedDate
from fleet.papers.models import Paper, PaperAt
from maintenance.api.returns import VoidBody
from maintenance.jobs.dating import record_date, take_back_date

READ = PrintedDate.State.READ.value


def papers_of(caller: Caller) -> Any:
    """What was handed in at one's bases."""
    return Paper.objects.of_bases(list(caller.bases))


def day_meant(as_written: str, good: date | None) -> date:
    """The day a printed date means, as chosen; ValidationError names the days where it may be several."""
    found = meanings(as_written)
    if not found:
        raise serializers.ValidationError({"as_written": [AS_PRINTED]})
    if good is None and len(found) == 1 and found[0].sure:
        return found[0].day
    if good not in [meaning.day for meaning in found]:
        asked = " or ".join(f"{meaning.day} ({meaning.said})" for meaning in found)
        raise serializers.ValidationError({"good_through": [f"“{as_written}” may mean: wanted {asked}"]})
    return good


class PrintedDateBody(LedgerBody):
    """What is printed now; it stands in place of what was read before."""

    component = Ref(components_of, help_text="its code")
    what = Line(max_length=40, default="expiry", help_text="which date: expiry, service, test ...")
    as_written = line(60, help_text="as it is printed, such as 06/2027")
    good_through = Day(
        required=False,
        allow_null=True,
        help_text="the day meant; wanted where what is written could mean several, and for a month alone",
    )
    state = OneOf(choices=PrintedDate.State.values, default=READ)
    paper = Ref(
        papers_of,
        by="sha256",
        required=False,
        allow_null=True,
        help_text="the photo or certificate: the sha256 of a paper of the base's",
    )

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        good = given.pop("good_through", None)
        if given["state"] == READ:
            given["good"] = day_meant(given.get("as_written", ""), good)
        elif good is not None:
            raise serializers.ValidationError({"good_through": ["wanted nothing, for no date was read"]})
        return given


class PrintedDates(Shown, Ledger):
    """The dates printed on things and their certificates, as written and as understood."""

    takes, corrects = PrintedDateBody, VoidBody
    needs = {"GET": "see", "POST": "read a printed date"}

    def enter(self, given: dict[str, Any]) -> PrintedDate:
        component = given.pop("component")
        base = Shown.base_of(self, PrintedDate(component=component))
        self.allow_at(base)
        paper = given.get("paper")
        if paper is not None and not PaperAt.objects.filter(paper=paper, base=base).exists():
            raise serializers.ValidationError({"paper": ["wanted one that was handed in at its boat's base"]})
        return record_date(component, **self.when, **given).row

    def correct(self, row: PrintedDate, given: dict[str, Any]) -> PrintedDate:
        return take_back_date(row, client_id=given["client_id"], **self.when).row
