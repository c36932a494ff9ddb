"""The pre-use check: how the student comes to the machine, and what is looked at on the machine. Pure text."""

from machines.models import MachineKind
from shopsafe.language.messages import marked

# Looked at before each use of any machine: eyes, hair, sleeves, jewelry. Common practice in school shops; for the eyes
# 29 CFR 1910.133(a)(1). A machine type adds its own protective equipment by code.
ALWAYS = ("eye", "hair", "sleeves", "jewellery")
WORN = {
    "eye": marked("Eye protection on"),
    "ear": marked("Ears covered"),
    "dust": marked("Dust mask on"),
    "face": marked("Face shield on"),
    "hair": marked("Long hair tied back"),
    "sleeves": marked("Sleeves up, strings tucked in"),
    "jewellery": marked("Jewelry off"),
    "gloves-off": marked("Gloves off"),
    "apron": marked("Apron on"),
    "shoes": marked("Closed shoes"),
    "helmet": marked("Welding helmet on"),
    "gloves-on": marked("Gloves on"),
    "cotton": marked("Cotton or leather on"),
}


def worn_lines(kind: MachineKind) -> list[str]:
    """What the student checks on himself or herself, in a fixed order."""
    asked = {*ALWAYS, *kind.protect}
    return [line for code, line in WORN.items() if code in asked]


def check_lines(kind: MachineKind) -> list[str]:
    """Every line of the check before a machine of this type runs, in order."""
    return [*worn_lines(kind), *kind.pre_use]
