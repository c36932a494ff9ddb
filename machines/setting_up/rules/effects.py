"""What a change of requirements would do: who gains, who loses, in numbers and in words. A rule: no Django."""

from collections.abc import Iterable
from dataclasses import dataclass

from machines.clearance.facts import Standing

# In the order in which they are told: what is lost comes first.
EFFECT_WORDING = (
    ("lost", "loses a clearance", "lose a clearance"),
    ("cleared", "is cleared", "are cleared"),
    ("ready", "becomes ready to show", "become ready to show"),
    ("back", "is no longer ready to show", "are no longer ready to show"),
)


@dataclass(frozen=True)
class Effect:
    """One student at one machine, before and after."""

    student: int
    machine: int
    before: Standing
    after: Standing

    @property
    def code(self) -> str:
        """Of TELLS, or empty where nothing changes that anybody would act on."""
        if self.before is self.after:
            return ""
        if self.before is Standing.CLEARED:
            return "lost"
        if self.after is Standing.CLEARED:
            return "cleared"
        if self.after is Standing.READY:
            return "ready"
        return "back" if self.before is Standing.READY else ""


@dataclass(frozen=True)
class EffectLine:
    """One line of the preview: "3 students lose a clearance", and which cells."""

    code: str
    sentence: str
    effects: tuple[Effect, ...]


def effect_lines(effects: Iterable[Effect]) -> tuple[EffectLine, ...]:
    """The lines of a preview, the gravest first; none where nobody's standing changes."""
    by_code: dict[str, list[Effect]] = {}
    for effect in effects:
        by_code.setdefault(effect.code, []).append(effect)
    return tuple(
        EffectLine(code, _counted({effect.student for effect in by_code[code]}, singular, plural), tuple(by_code[code]))
        for code, singular, plural in EFFECT_WORDING
        if code in by_code
    )


def _counted(students: set[int], singular: str, plural: str) -> str:
    count = len(students)
    return f"1 student {singular}" if count == 1 else f"{count} students {plural}"
