"""The pre-use check: how the student comes to the machine, and what is looked at on the machine. Pure text."""

from machines.models import MachineKind

# Eyes, hair, sleeves, jewelry: asked at every machine. Common practice in school shops; 29 CFR 1910.133(a)(1) asks for
# eye protection. What a machine type asks for besides is on its own list.
MYSELF = (
    "Eye protection is on",
    "Long hair is tied back",
    "Sleeves and strings are out of the way",
    "Rings, bracelets and necklaces are off",
)


def check_lines(kind: MachineKind) -> list[str]:
    """Every line of the check before a machine of this kind runs, in order."""
    return [*MYSELF, *kind.pre_use]
