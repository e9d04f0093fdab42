"""The index of the rooms' tables, for Django."""

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Component, Fitting, Kind, KindDate, Meter, Place, PrintedDate
from fleet.charters.models import Charter, CharterBoat, Link
from fleet.meters.models import Reading, UseRate
from fleet.papers.models import Paper, PaperAt
from fleet.people.models import CleanersLink, Membership, Person, Token

__all__ = [
    "Base",
    "Boat",
    "BoatTerms",
    "Charter",
    "CharterBoat",
    "CleanersLink",
    "Component",
    "Fitting",
    "Kind",
    "KindDate",
    "Link",
    "Membership",
    "Meter",
    "Paper",
    "PaperAt",
    "Person",
    "Place",
    "PrintedDate",
    "Reading",
    "Token",
    "UseRate",
]
