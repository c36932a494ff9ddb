"""The pre-use check: how the student comes to the machine, and what is looked at on the machine. Pure text."""

from machines.models import MachineKind

# Looked at before each use of any machine: eyes, hair, sleeves, jewelry. Common practice in school shops; for the eyes
# 29 CFR 1910.133(a)(1). A machine type adds its own protective equipment by code.
ALWAYS = ("eye", "hair", "sleeves", "jewellery")
WORN = {
    "eye": "Eye protection on",
    "ear": "Ears covered",
    "dust": "Dust mask on",
    "face": "Face shield on",
    "hair": "Long hair tied back",
    "sleeves": "Sleeves up, strings tucked in",
    "jewellery": "Jewelry off",
    "gloves-off": "Gloves off",
    "apron": "Apron on",
    "shoes": "Closed shoes",
    "helmet": "Welding helmet on",
    "gloves-on": "Gloves on",
    "cotton": "Cotton or leather on",
}


def worn_lines(kind: MachineKind) -> list[str]:
    """What the student checks on himself or herself, in a fixed order."""
    asked = {*ALWAYS, *kind.protect}
    return [line for code, line in WORN.items() if code in asked]


def check_lines(kind: MachineKind) -> list[str]:
    """Every line of the check before a machine of this type runs, in order."""
    return [*worn_lines(kind), *kind.pre_use]
