"""Addresses of the tables of what the boats need, and of the fleet's own whose changes move due days."""

from fleet.api.router import routes
from maintenance.api.alarm_words import AlarmWords
from maintenance.api.allowances import Allowances
from maintenance.api.astray import Astray
from maintenance.api.audit import Audit
from maintenance.api.away_steps import AwaySteps
from maintenance.api.call_outs import CallOuts, CallOutSteps
from maintenance.api.charters import CharterBoats, Charters
from maintenance.api.components import Components, Fittings
from maintenance.api.contract_clocks import ContractClocks
from maintenance.api.cores import CoresBack, CoresDue
from maintenance.api.costs import Costs
from maintenance.api.counts import Counts
from maintenance.api.defect_steps import DefectSteps
from maintenance.api.defects import Defects
from maintenance.api.deferrals import Deferrals
from maintenance.api.done import Services
from maintenance.api.due import DueLines
from maintenance.api.fitting_outs import FittingOuts
from maintenance.api.gear import Adoptions, Requirements
from maintenance.api.handovers import Handovers
from maintenance.api.hold_rules import HoldRules
from maintenance.api.holds import Holds
from maintenance.api.hull import HullLooks, Touches
from maintenance.api.intervals import Intervals
from maintenance.api.jobs import Jobs
from maintenance.api.lots import Lots
from maintenance.api.may_sail import MaySail
from maintenance.api.order_steps import OrderSteps
from maintenance.api.orders import Orders
from maintenance.api.parts_for import PartsFor
from maintenance.api.parts_taken import PartsTaken
from maintenance.api.prices import Prices
from maintenance.api.printed_dates import PrintedDates
from maintenance.api.questions import Questions
from maintenance.api.readings import Readings
from maintenance.api.releases import ReleaseNames, Releases
from maintenance.api.returns import Returns
from maintenance.api.round_items import RoundItems
from maintenance.api.rounds import RoundLines, Rounds
from maintenance.api.seals import Seals
from maintenance.api.spare_fits import SpareFits, StandIns
from maintenance.api.spares import Spares
from maintenance.api.stock import Stock
from maintenance.api.stock_moves import StockMoves
from maintenance.api.terms import Terms
from maintenance.api.to_fill import ToFill
from maintenance.api.to_hold import ToHold
from maintenance.api.to_take import ToTake

tables = {
    "adoptions": Adoptions,
    "alarm-words": AlarmWords,
    "allowances": Allowances,
    "astray": Astray,
    "audit": Audit,
    "away-steps": AwaySteps,
    "call-out-steps": CallOutSteps,
    "call-outs": CallOuts,
    "charter-boats": CharterBoats,
    "charters": Charters,
    "components": Components,
    "contract-clocks": ContractClocks,
    "cores-back": CoresBack,
    "cores-due": CoresDue,
    "costs": Costs,
    "counts": Counts,
    "defect-steps": DefectSteps,
    "defects": Defects,
    "deferrals": Deferrals,
    "due": DueLines,
    "fitting-outs": FittingOuts,
    "fittings": Fittings,
    "handovers": Handovers,
    "hold-rules": HoldRules,
    "holds": Holds,
    "hull-looks": HullLooks,
    "intervals": Intervals,
    "jobs": Jobs,
    "lots": Lots,
    "may-sail": MaySail,
    "order-steps": OrderSteps,
    "orders": Orders,
    "parts-for": PartsFor,
    "parts-taken": PartsTaken,
    "prices": Prices,
    "printed-dates": PrintedDates,
    "questions": Questions,
    "readings": Readings,
    "release-names": ReleaseNames,
    "releases": Releases,
    "requirements": Requirements,
    "returns": Returns,
    "round-items": RoundItems,
    "round-lines": RoundLines,
    "rounds": Rounds,
    "seals": Seals,
    "services": Services,
    "spare-fits": SpareFits,
    "spares": Spares,
    "stand-ins": StandIns,
    "stock": Stock,
    "stock-moves": StockMoves,
    "terms": Terms,
    "to-fill": ToFill,
    "to-hold": ToHold,
    "to-take": ToTake,
    "touches": Touches,
}

urlpatterns = routes(tables)
