"""Releases: that a boat may go out for one charter, or may not, and the names under it."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import Any

import django_filters as filters
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.charters import charters_of
from fleet.api.fields import Body, LedgerBody, Moment, OneOf, Ref, Several, Text, YesNo, each
from fleet.api.filters import BaseCode, code, number
from fleet.api.ledgers import Additions, Ledger, still_standing
from fleet.api.register_fields import about, line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.ledger import take_back
from maintenance.api.returns import VoidBody
from maintenance.jobs.actions import refuse_late
from maintenance.release.actions import Name, add_name, release_boat, say_held
from maintenance.release.afterwards import AFTER
from maintenance.release.models import Release, ReleaseName
from maintenance.release.rule_list import HELD, VERDICTS

READS = "change the base's rules"  # whose it is to read afterwards what one person released
MOST_NAMES, MOST_REASONS, MOST_KEY = 10, 100, 300


def releases_seen(caller: Caller) -> QuerySet[Release]:
    """Releases of the boats of one's bases."""
    return Release.objects.filter(boat__in=caller.boats)


def names_seen(caller: Caller) -> QuerySet[ReleaseName]:
    return ReleaseName.objects.filter(release__boat__in=caller.boats)


class ReasonShape(serializers.Serializer):
    """What held her when it was said, and was let be."""

    key = serializers.CharField()
    words = serializers.CharField()


class NameShape(serializers.Serializer):
    """One name under a release."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    how = serializers.ChoiceField(ReleaseName.How.values)
    at = serializers.DateTimeField(help_text="when it was said")
    confirmed = serializers.BooleanField(help_text="whether one given by telephone was confirmed since")


class ReleaseShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code")
    reasons = ReasonShape(many=True)
    names = NameShape(many=True)
    by_one_person = serializers.BooleanField(help_text="whether fewer names stand under it than are wanted")
    beside = ("names", "by_one_person")

    class Meta:
        model = Release
        fields = (
            *("id", "boat", "charter", "verdict", "limits", "reasons", "why", "names_needed", "names"),
            *("by_one_person", *LEDGER),
        )


class NameBody(Body):
    """Who says so, how, and what was read out where it was by telephone."""

    name = Text(max_length=120)
    how = OneOf(choices=ReleaseName.How.values, default=ReleaseName.How.LOOKED)
    at = Moment(required=False, help_text="when it was said; now unless told")
    read_out = line(1000, help_text="what was read out on the telephone")

    def validate_at(self, value: datetime) -> datetime:
        if value > self.caller.now:
            raise serializers.ValidationError("wanted an instant up to now")
        return value


class ReleaseBody(LedgerBody):
    """That the boat of a charter may go out for it, in the names of those who say so; or that she is
    held. What holds her, and is let be by name, wants a limit and a reason."""

    charter = Ref(charters_of, help_text="its code")
    names = each(NameBody, MOST_NAMES)
    held = YesNo(default=False, help_text="true says that she does not go, and why")
    limits = line(1000, help_text="what the skipper is told")
    let_be = Several(
        child=Text(max_length=MOST_KEY),
        required=False,
        max_length=MOST_REASONS,
        help_text="keys of what holds her and is let be, as may-sail gives them",
    )
    why = line(500, help_text="why what holds her is let be, or why she is held")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        wrong = {n: ["wanted nothing where she is held"] for n in ("limits", "let_be") if given.get(n)}
        wrong = wrong if given["held"] else {}
        if not given["names"] or (given["held"] and len(given["names"]) > 1):
            wrong["names"] = ["wanted the name of who says so" + (", one name" if given["held"] else "")]
        if wrong:
            raise serializers.ValidationError(wrong)
        return given


class ReleaseFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "for this charter")
    verdict = filters.ChoiceFilter(choices=[(v, v) for v in VERDICTS], label="that says so")


class Releases(Ledger):
    """Who said that a boat may go out for a charter, or may not; taken back on the day. Whether it still
    stands, for it falls when something new holds her, is told at may-sail."""

    shape, takes, corrects, filterset_class = ReleaseShape, ReleaseBody, VoidBody, ReleaseFilter
    needs = {"GET": "see", "POST": "release a boat"}

    def mine(self) -> QuerySet[Release]:
        return releases_seen(self.caller)

    def base_of(self, row: Release) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        found: dict[int, list[ReleaseName]] = defaultdict(list)
        stand = ReleaseName.objects.standing().filter(release__in=[row["id"] for row in rows])
        for name in stand.order_by("pk"):
            found[name.release_id].append(name)
        for row in rows:
            under = found[row["id"]]
            confirmed = {name.confirms_id for name in under}
            row["names"] = [_told(name, name.pk in confirmed) for name in under]
            row["by_one_person"] = row["verdict"] != HELD and len(_people(under)) < row["names_needed"]

    def enter(self, given: dict[str, Any]) -> Release:
        charter = given["charter"]
        self.allow_at(self.caller.boats[charter.boat_id])
        names = [name_of(self.caller, said) for said in given["names"]]
        when = self.when | {"client_id": given["client_id"], "why": given.get("why", "")}
        with about("charter", read_out="names"):
            if given["held"]:
                return say_held(charter.boat, charter, names[0], **when)
            more = {"limits": given.get("limits", ""), "let_be": given.get("let_be", ())}
            return release_boat(charter.boat, charter, names, **more, **when)

    def correct(self, row: Release, given: dict[str, Any]) -> Release:
        """On the day it was said; later, that she is held is said instead."""
        refuse_late(row.boat, row.recorded_at, self.caller.now)
        back: Release = take_back(row, client_id=given["client_id"], **self.when)
        return back


def name_of(caller: Caller, said: dict[str, Any]) -> Name:
    """A name as it was sent; whose sign-in it is, where it is the caller's own."""
    own = " ".join(said["name"].casefold().split()) == " ".join(caller.person.name.casefold().split())
    return Name(
        name=said["name"],
        how=said["how"],
        person=caller.person if own else None,
        at=said.get("at"),
        read_out=said.get("read_out", ""),
    )


def _told(name: ReleaseName, confirmed: bool) -> Row:
    return {"id": name.pk, "name": name.name, "how": name.how, "at": name.at, "confirmed": confirmed}


def _people(names: Sequence[ReleaseName]) -> set[str]:
    said = [name.name for name in names if name.how not in AFTER]
    return {" ".join(name.casefold().split()) for name in said}


class ReleaseNameShape(LedgerShape):
    boat = CodeOf("release.boat.code")
    charter = CodeOf("release.charter.code")
    person = CodeOf("person.name", allow_null=True, help_text="whose sign-in it was, by name")

    class Meta:
        model = ReleaseName
        fields = (
            *("id", "boat", "charter", "release", "person", "name", "how", "at", "read_out", "confirms"),
            *LEDGER,
        )


class ReleaseNameBody(NameBody, LedgerBody):
    """Another name under a release: the second one, or what confirms one given by telephone."""

    release = Ref(releases_seen, by="pk", help_text="its id")
    confirms = Ref(
        names_seen, by="pk", required=False, allow_null=True, help_text="id of the name it confirms"
    )


class ReleaseNameFilter(filters.FilterSet):
    base = BaseCode("release__boat")
    boat = code("release__boat__code", "of this boat")
    charter = code("release__charter__code", "for this charter")
    release = number("release", "under the release with this id")
    how = filters.ChoiceFilter(choices=ReleaseName.How.choices, label="given in this way")


class ReleaseNames(Additions):
    """The names under releases: who did the work, who looked, who said so by telephone, who confirmed
    it later, and who read afterwards that there was one name only."""

    shape, takes, filterset_class = ReleaseNameShape, ReleaseNameBody, ReleaseNameFilter
    # no corrections: a name given was given
    needs = {"GET": "see", "POST": "release a boat"}

    def mine(self) -> QuerySet[ReleaseName]:
        return names_seen(self.caller)

    def base_of(self, row: ReleaseName) -> int:
        return self.caller.boats[row.release.boat_id]

    def enter(self, given: dict[str, Any]) -> ReleaseName:
        release = given["release"]
        base = self.caller.boats[release.boat_id]
        self.allow_at(base)
        if given["how"] == ReleaseName.How.SEEN and not self.caller.may(READS, base):
            raise PermissionDenied(READS)
        when = self.when | {"client_id": given["client_id"], "confirms": given.get("confirms")}
        with about("name", names="name"):
            return add_name(still_standing(release), name_of(self.caller, given), **when)
