"""Machines and what they ask for, and the records of who may use them."""

from machines.models.machines import Machine, MachineKind, Prerequisite, Requirements
from machines.models.print_sets import PrintSet
from machines.models.prints import Print
from machines.models.records import Hold, SignOff, TagOut

__all__ = ["Hold", "Machine", "MachineKind", "Prerequisite", "Print", "PrintSet", "Requirements", "SignOff", "TagOut"]
