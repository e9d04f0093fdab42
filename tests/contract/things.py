"""Codes and numbers of things that are there, so that a made-up call often meets something real."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import cycle
from typing import Any

from django.apps import apps

from tests.cast import Cast
from tests.doors.api_things import things

CODES = {
    "base": ["harbour", "elsewhere"],
    "boat": ["sandpiper", "twice-shy", "blank-page", "far-cry"],
    "to_boat": ["sandpiper", "twice-shy"],
    "charter": ["S2", "S3", "T2", "F1"],
    "component": ["sandpiper-engine-oil", "sandpiper-life-raft", "far-cry-engine-oil"],
    "inside": ["sandpiper-engine-oil"],
    "interval": ["change", "raft", "rig"],
    "kind": ["engine-oil", "life-raft"],
    "meter": ["main", "port"],
    "spare": ["oil", "impeller kit", "turned pump"],
    "other": ["gas bottle"],
    "superseded_by": ["gas bottle"],
    "currency": ["EUR"],
}
TABLES = {
    "bases": "fleet.Base",
    "boats": "fleet.Boat",
    "terms": "fleet.BoatTerms",
    "places": "fleet.Place",
    "meters": "fleet.Meter",
    "kinds": "fleet.Kind",
    "components": "fleet.Component",
    "fittings": "fleet.Fitting",
    "printed-dates": "fleet.PrintedDate",
    "charters": "fleet.Charter",
    "charter-boats": "fleet.CharterBoat",
    "links": "fleet.Link",
    "memberships": "fleet.Membership",
    "papers": "fleet.Paper",
    "readings": "fleet.Reading",
    "tokens": "fleet.Token",
    "use-rates": "fleet.UseRate",
    "adoptions": "maintenance.Adoption",
    "alarm-words": "maintenance.AlarmWord",
    "allowances": "maintenance.Allowance",
    "away-steps": "maintenance.AwayStep",
    "cores-back": "maintenance.CoreBack",
    "call-out-steps": "maintenance.CallOutStep",
    "call-outs": "maintenance.CallOut",
    "contract-clocks": "fleet.Base",
    "deferrals": "maintenance.Deferral",
    "defects": "maintenance.Defect",
    "defect-steps": "maintenance.DefectStep",
    "fitting-outs": "maintenance.FittingOut",
    "handovers": "maintenance.Handover",
    "holds": "maintenance.Hold",
    "hull-looks": "maintenance.HullLook",
    "intervals": "maintenance.ServiceInterval",
    "jobs": "maintenance.Job",
    "lots": "maintenance.Lot",
    "orders": "maintenance.Order",
    "parts-taken": "maintenance.PartTaken",
    "prices": "maintenance.Price",
    "release-names": "maintenance.ReleaseName",
    "releases": "maintenance.Release",
    "requirements": "maintenance.Requirement",
    "returns": "maintenance.Return",
    "round-items": "maintenance.RoundItem",
    "round-lines": "maintenance.RoundLine",
    "rounds": "maintenance.Round",
    "seals": "maintenance.KitSeal",
    "services": "maintenance.Service",
    "spare-fits": "maintenance.SpareFit",
    "spares": "maintenance.Spare",
    "stand-ins": "maintenance.Instead",
    "stock-moves": "maintenance.StockMove",
    "touches": "maintenance.Touch",
}
# Names of a body that hold the number of a row of another table.
NUMBERS = {
    "defect": "defects",
    "same_as": "defects",
    "settles": "defects",
    "touch": "touches",
    "extends": "deferrals",
    "release": "releases",
    "confirms": "release-names",
    "call_out": "call-outs",
    "item": "round-items",
    "place": "places",
    "from_place": "places",
    "to_place": "places",
    "lot": "lots",
    "order": "orders",
}


@dataclass
class Things:
    """Puts real codes and numbers in place of made-up ones, taking turns."""

    turns: dict[str, Iterator[Any]] = field(default_factory=dict)

    def one(self, sort: str, choices: list[Any]) -> Any:
        return next(self.turns.setdefault(sort, cycle(choices)))

    def number(self, address: str) -> int | None:
        """The number of a row of the table at an address; now and then one that is not there."""
        word = address.split("/")[2]
        if word not in TABLES:
            return None
        model = apps.get_model(TABLES[word])
        known = list(model._default_manager.order_by("-pk").values_list("pk", flat=True)[:5])
        return self.one(word, [*known, 999_999])

    def put_into(self, body: Any) -> Any:
        """A body with the codes in it real ones, three times of four."""
        if isinstance(body, list):
            return [self.put_into(part) for part in body]
        if not isinstance(body, dict):
            return body
        return {name: self._real(name, value) for name, value in body.items()}

    def _real(self, name: str, value: Any) -> Any:
        if name in CODES and isinstance(value, str):
            return self.one(f"code {name}", [*CODES[name], value])
        if name in NUMBERS and isinstance(value, int):
            known = self.number(f"/api/{NUMBERS[name]}/")
            return self.one(f"number {name}", [known, known, value])
        return self.put_into(value)


def gather(cast: Cast) -> None:
    """One thing of each table, beside the cast."""
    things(cast, "twice shy", "port engine-oil", "change", "T2", "engineer")
