"""Addresses of the tables of what the boats need, and of the fleet's own whose changes move due days."""

from fleet.api.router import routes
from maintenance.api.due import DueLines
from maintenance.api.readings import Readings
from maintenance.api.returns import Returns

tables = {
    "due": DueLines,
    "readings": Readings,
    "returns": Returns,
}

urlpatterns = routes(tables)
