"""Addresses of the fleet's own tables, and what is told of the API itself."""

from django.urls import path

from fleet.api.bases import Bases
from fleet.api.charters import Links
from fleet.api.docs import description, docs, front
from fleet.api.meters import UseRates
from fleet.api.papers import Papers
from fleet.api.people import Memberships, Tokens
from fleet.api.router import routes

tables = {
    "bases": Bases,
    "links": Links,
    "memberships": Memberships,
    "papers": Papers,
    "tokens": Tokens,
    "use-rates": UseRates,
}

urlpatterns = [
    path("", front, name="api"),
    path("docs/", docs, name="api-docs"),
    path("schema/", description, name="api-schema"),
    *routes(tables),
]
