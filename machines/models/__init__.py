"""Machines and what they ask for, the records of who may use them, the shop in use, and what happens in it."""

from machines.models.demonstration_times import DemonstrationTime
from machines.models.floor import EndOfRuns, FloorSettings, PresenceConfirmation, ShopOpening, SupervisingGrant
from machines.models.incidents import (
    FollowUp,
    Incident,
    IncidentAccount,
    IncidentPhoto,
    IncidentSettings,
    IncidentVersion,
    PhotoFile,
)
from machines.models.inspections import Inspection, InspectionCalendar, InspectionList, ServiceRecord
from machines.models.machines import ClassMachines, Machine, MachineKind, Prerequisite, Requirements
from machines.models.not_yet import NotYet
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
    "FollowUp",
    "HazardReport",
    "Hold",
    "Incident",
    "IncidentAccount",
    "IncidentPhoto",
    "IncidentSettings",
    "IncidentVersion",
    "Inspection",
    "InspectionCalendar",
    "InspectionList",
    "Machine",
    "MachineKind",
    "NotYet",
    "PhotoFile",
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
