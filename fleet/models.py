"""The index of the rooms' tables, for Django."""

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Component, Fitting, Kind, Meter, Place, PrintedDate
from fleet.charters.models import Charter, CharterBoat
from fleet.meters.models import Reading, UseRate
from fleet.papers.models import Paper
from fleet.people.models import Membership, Person

__all__ = [
    "Base",
    "Boat",
    "BoatTerms",
    "Charter",
    "CharterBoat",
    "Component",
    "Fitting",
    "Kind",
    "Membership",
    "Meter",
    "Paper",
    "Person",
    "Place",
    "PrintedDate",
    "Reading",
    "UseRate",
]
