"""The index of the rooms' tables, for Django."""

from maintenance.defects.models import Defect, DefectStep
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
from maintenance.turnaround.models import Return, ReturnDefect, ReturnMove, ReturnReading

__all__ = [
    "Allowance",
    "AwayStep",
    "Defect",
    "DefectStep",
    "Due",
    "IntervalSpare",
    "Job",
    "JobMove",
    "JobPrintedDate",
    "JobReading",
    "JobService",
    "Return",
    "ReturnDefect",
    "ReturnMove",
    "ReturnReading",
    "Service",
    "ServiceInterval",
    "Spare",
    "StockMove",
]
