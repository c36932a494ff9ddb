"""What a change of requirements would do: who gains, who loses, in numbers and in words. A rule: no Django."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from machines.clearance.facts import Standing
from shopsafe.language.messages import counted

# Display order: what is lost comes first.
EFFECT_WORDING: dict[str, Callable[[int], str]] = {
    "lost": lambda count: counted(
        "{count} student loses a clearance", "{count} students lose a clearance", count=count
    ),
    "cleared": lambda count: counted("{count} student is cleared", "{count} students are cleared", count=count),
    "ready": lambda count: counted(
        "{count} student becomes ready for sign-off", "{count} students become ready for sign-off", count=count
    ),
    "back": lambda count: counted(
        "{count} student is no longer ready for sign-off",
        "{count} students are no longer ready for sign-off",
        count=count,
    ),
}


@dataclass(frozen=True)
class Effect:
    """One student at one machine, before and after."""

    student: int
    machine: int
    before: Standing
    after: Standing

    @property
    def code(self) -> str:
        """Of TELLS, or empty where nothing changes that anyone would act on."""
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
    """The lines of a preview, the gravest first; none where no one's standing changes."""
    by_code: dict[str, list[Effect]] = {}
    for effect in effects:
        by_code.setdefault(effect.code, []).append(effect)
    return tuple(
        EffectLine(code, words(len({effect.student for effect in by_code[code]})), tuple(by_code[code]))
        for code, words in EFFECT_WORDING.items()
        if code in by_code
    )
