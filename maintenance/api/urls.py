"""Addresses of the tables of what the boats need, and of the fleet's own whose changes move due days."""

from fleet.api.router import routes
from maintenance.api.audit import Audit
from maintenance.api.away_steps import AwaySteps
from maintenance.api.charters import CharterBoats, Charters
from maintenance.api.components import Components, Fittings
from maintenance.api.defect_steps import DefectSteps
from maintenance.api.defects import Defects
from maintenance.api.deferrals import Deferrals
from maintenance.api.done import Services
from maintenance.api.due import DueLines
from maintenance.api.holds import Holds
from maintenance.api.hull import HullLooks, Touches
from maintenance.api.intervals import Intervals
from maintenance.api.jobs import Jobs
from maintenance.api.may_sail import MaySail
from maintenance.api.printed_dates import PrintedDates
from maintenance.api.questions import Questions
from maintenance.api.readings import Readings
from maintenance.api.releases import ReleaseNames, Releases
from maintenance.api.returns import Returns
from maintenance.api.spares import Allowances, Spares
from maintenance.api.stock import Stock
from maintenance.api.stock_moves import Counts, StockMoves
from maintenance.api.terms import Terms

tables = {
    "allowances": Allowances,
    "audit": Audit,
    "away-steps": AwaySteps,
    "charter-boats": CharterBoats,
    "charters": Charters,
    "components": Components,
    "counts": Counts,
    "defects": Defects,
    "defect-steps": DefectSteps,
    "deferrals": Deferrals,
    "due": DueLines,
    "fittings": Fittings,
    "holds": Holds,
    "hull-looks": HullLooks,
    "intervals": Intervals,
    "jobs": Jobs,
    "may-sail": MaySail,
    "printed-dates": PrintedDates,
    "questions": Questions,
    "readings": Readings,
    "release-names": ReleaseNames,
    "releases": Releases,
    "returns": Returns,
    "services": Services,
    "spares": Spares,
    "stock": Stock,
    "stock-moves": StockMoves,
    "terms": Terms,
    "touches": Touches,
}

urlpatterns = routes(tables)
