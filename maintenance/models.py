"""The index of the rooms' tables, for Django."""

from maintenance.defects.models import Defect, DefectPaper, DefectStep
from maintenance.jobs.models import (
    AwayStep,
    Job,
    JobMove,
    JobPrintedDate,
    JobReading,
    JobService,
)
from maintenance.servicing.models import Due, IntervalSpare, Service, ServiceInterval
from maintenance.spares.models import Allowance, Spare, StockMove
from maintenance.turnaround.models import (
    LinkDefect,
    LinkDefectMove,
    LinkReturn,
    Return,
    ReturnDefect,
    ReturnMove,
    ReturnReading,
)

__all__ = [
    "Allowance",
    "AwayStep",
    "Defect",
    "DefectPaper",
    "DefectStep",
    "Due",
    "IntervalSpare",
    "Job",
    "JobMove",
    "JobPrintedDate",
    "JobReading",
    "JobService",
    "LinkDefect",
    "LinkDefectMove",
    "LinkReturn",
    "Return",
    "ReturnDefect",
    "ReturnMove",
    "ReturnReading",
    "Service",
    "ServiceInterval",
    "Spare",
    "StockMove",
]
