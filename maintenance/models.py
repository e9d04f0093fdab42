"""The index of the rooms' tables, for Django."""

from maintenance.defects.hull import HullLook, HullLookPaper, Touch
from maintenance.defects.models import AlarmWord, Defect, DefectPaper, DefectStep, Deferral, StepPaper
from maintenance.jobs.calling_out import CallOut, CallOutDefect, CallOutStep, ContractClock, PartTaken
from maintenance.jobs.models import (
    AwayStep,
    Job,
    JobMove,
    JobPrintedDate,
    JobReading,
    JobService,
)
from maintenance.release.models import FittingOut, Hold, HoldRule, Release, ReleaseName
from maintenance.safety.models import Adoption, Requirement
from maintenance.servicing.models import Due, IntervalSpare, Service, ServiceInterval
from maintenance.spares.models import Allowance, Spare, StockMove
from maintenance.turnaround.models import (
    Handover,
    LinkDefect,
    LinkDefectMove,
    LinkReturn,
    Return,
    ReturnDefect,
    ReturnMove,
    ReturnReading,
    Round,
    RoundItem,
    RoundLine,
)

__all__ = [
    "Adoption",
    "AlarmWord",
    "Allowance",
    "AwayStep",
    "CallOut",
    "CallOutDefect",
    "CallOutStep",
    "ContractClock",
    "Defect",
    "DefectPaper",
    "DefectStep",
    "Deferral",
    "Due",
    "FittingOut",
    "Handover",
    "Hold",
    "HoldRule",
    "HullLook",
    "HullLookPaper",
    "IntervalSpare",
    "Job",
    "JobMove",
    "JobPrintedDate",
    "JobReading",
    "JobService",
    "LinkDefect",
    "LinkDefectMove",
    "LinkReturn",
    "PartTaken",
    "Release",
    "ReleaseName",
    "Requirement",
    "Return",
    "ReturnDefect",
    "ReturnMove",
    "ReturnReading",
    "Round",
    "RoundItem",
    "RoundLine",
    "Service",
    "ServiceInterval",
    "Spare",
    "StepPaper",
    "StockMove",
    "Touch",
]
