"""Addresses of the fleet's own tables, and what is told of the API itself."""

from django.urls import path

from fleet.api.bases import Bases
from fleet.api.boat_register import Boats
from fleet.api.charters import Links
from fleet.api.docs import description, docs, front
from fleet.api.kinds import Kinds
from fleet.api.meters import UseRates
from fleet.api.papers import Papers
from fleet.api.people import Memberships, Tokens
from fleet.api.router import routes
from fleet.api.stowage import Meters, Places

tables = {
    "bases": Bases,
    "boats": Boats,
    "kinds": Kinds,
    "links": Links,
    "memberships": Memberships,
    "meters": Meters,
    "papers": Papers,
    "places": Places,
    "tokens": Tokens,
    "use-rates": UseRates,
}

urlpatterns = [
    path("", front, name="api"),
    path("docs/", docs, name="api-docs"),
    path("schema/", description, name="api-schema"),
    *routes(tables),
]
