"""Machines and what they ask for, the records of who may use them, and the shop in use."""

from machines.models.demonstration_times import DemonstrationTime
from machines.models.floor import EndOfRuns, FloorSettings, PresenceConfirmation, ShopOpening, SupervisingGrant
from machines.models.inspections import Inspection, InspectionCalendar, InspectionList, ServiceRecord
from machines.models.machines import ClassMachines, Machine, MachineKind, Prerequisite, Requirements
from machines.models.print_sets import PrintSet
from machines.models.prints import Print
from machines.models.records import Hold, SignOff, TagOut
from machines.models.reports import HazardReport, ReportPhoto
from machines.models.runs import Run, RunHelper, WaitingStudent

__all__ = [
    "ClassMachines",
    "DemonstrationTime",
    "EndOfRuns",
    "FloorSettings",
    "HazardReport",
    "Hold",
    "Inspection",
    "InspectionCalendar",
    "InspectionList",
    "Machine",
    "MachineKind",
    "Prerequisite",
    "PresenceConfirmation",
    "Print",
    "PrintSet",
    "ReportPhoto",
    "Requirements",
    "Run",
    "RunHelper",
    "ServiceRecord",
    "ShopOpening",
    "SignOff",
    "SupervisingGrant",
    "TagOut",
    "WaitingStudent",
]
