"""Hazards that keep a machine off until the teacher looks, and hazards that only flag it for the teacher."""

from machines.reports.facts import HazardKind, ReportEffect
from shopsafe.language.messages import _, marked

# In the order in which they are offered: what keeps a machine off comes first.
CHOICES = {
    HazardKind.GUARD: marked("A guard or cover is missing, loose or open"),
    HazardKind.BROKEN: marked("A blade or part is broken or cracked"),
    HazardKind.ABRASIVE: marked("A belt, disc or wheel is torn or chipped"),
    HazardKind.CORD: marked("A cord, plug or switch is damaged"),
    HazardKind.SMOKE: marked("Smoke, sparks or a burning smell"),
    HazardKind.WILL_NOT_STOP: marked("It doesn’t stop when it should"),
    HazardKind.INSPECTION: marked("A line of its inspection was answered no"),
    HazardKind.WILL_NOT_START: marked("It doesn’t start"),
    HazardKind.NOISE: marked("A strange noise or shaking"),
    HazardKind.FLOOR: marked("Something on the floor"),
    HazardKind.BEHAVIOR: marked("Someone works unsafely"),
    HazardKind.OTHER: marked("Something else"),
}

# Common practice: a hurt can follow with the very next use. A machine that does not stop counts as broken.
KEEPS_OFF = frozenset(
    {
        HazardKind.GUARD,
        HazardKind.BROKEN,
        HazardKind.ABRASIVE,
        HazardKind.CORD,
        HazardKind.SMOKE,
        HazardKind.WILL_NOT_STOP,
        HazardKind.INSPECTION,
    }
)
ONLY_AT_A_MACHINE = frozenset({HazardKind.WILL_NOT_STOP, HazardKind.WILL_NOT_START})


def effect_of(kind: HazardKind, *, names_machine: bool, keep_off: bool = False) -> ReportEffect:
    """What the report does by itself, no matter which person makes it; with `keep_off` a teacher wants the machine kept
    off. Without a machine there is none to keep off."""
    keeps_off = names_machine and (keep_off or kind in KEEPS_OFF)
    return ReportEffect.KEEP_OFF if keeps_off else ReportEffect.FLAG


def choices(*, names_machine: bool) -> dict[HazardKind, str]:
    """The choices for a report from a machine, or from elsewhere in the shop."""
    return {
        kind: _(words)
        for kind, words in CHOICES.items()
        if kind is not HazardKind.INSPECTION and (names_machine or kind not in ONLY_AT_A_MACHINE)
    }
