"""What the sheets that are handed out say: pocket cards, the substitute sheet, the safety agreement, rule posters."""

from dataclasses import dataclass
from datetime import date

# What whoever stands in holds everybody to: where machines run, and where none does [common practice].
RUNNING_RULES = (
    "Only a name on this sheet may use that machine.",
    "One person at a machine. Nobody waits beside it.",
    "You are in the room, and you can see it.",
    "Eyes covered, hair tied back, sleeves up.",
    "Do not teach a machine, and sign nobody off.",
    "In doubt: everything off.",
)
QUIET_RULES = (
    "Nobody switches a machine on, whoever asks.",
    "Work is what the teacher has left, at the benches.",
    "You are in the room, and you can see everybody.",
    "Eyes covered wherever anybody works with a tool.",
    "Do not teach a machine, and sign nobody off.",
    "In doubt: tools down, everybody sits.",
)


@dataclass(frozen=True)
class PocketCard:
    """One student's clearances, on a card the size of a bank card."""

    name: str
    machines: tuple[str, ...]
    valid_until: date | None
    code: str
    url: str
    note: str = ""  # what must be known of the machines that are marked


@dataclass(frozen=True)
class PocketCards:
    """A class's pocket cards in the given order. With `backs`, each sheet is followed by its back, to print two-sided
    along the long edge."""

    scope: str
    school: str
    cards: tuple[PocketCard, ...]
    printed: date
    backs: bool = True
    demo: bool = False


@dataclass(frozen=True)
class SubstituteMachine:
    """One machine on the substitute sheet: who may use it, or why it stays off."""

    machine: str
    names: tuple[str, ...]
    stays_off: str = ""


@dataclass(frozen=True)
class SubstituteSheet:
    """One page for whoever stands in. `runs` is False where no machine runs without the teacher of the shop."""

    scope: str
    shop: str
    day: date
    machines: tuple[SubstituteMachine, ...]
    call: tuple[str, ...]  # whom to call, one a line
    notes: tuple[str, ...]  # what the teacher adds: holds, an allergy of the room's, where the key is
    runs: bool
    printed: date
    demo: bool = False
    about: tuple[str, ...] = ()  # what must be known of the names, below them

    @property
    def on(self) -> list[SubstituteMachine]:
        """The machines that may run."""
        return [machine for machine in self.machines if self.runs and not machine.stays_off]

    @property
    def off(self) -> list[SubstituteMachine]:
        """Those that stay off while others run. Where nothing runs they need no list."""
        return [machine for machine in self.machines if self.runs and machine.stays_off]

    @property
    def rules(self) -> tuple[str, ...]:
        return RUNNING_RULES if self.on else QUIET_RULES


@dataclass(frozen=True)
class AgreementSheet:
    """The safety agreement, one sheet a student, or one without a name to copy. The shop's own wording."""

    school: str
    shop: str
    year: str
    intro: str
    rules: tuple[str, ...]
    promise: str
    guardian: str
    students: tuple[str, ...]
    printed: date
    class_name: str = ""
    demo: bool = False


@dataclass(frozen=True)
class RulePoster:
    """One rule, large, with why and its drawing (a data: address, or nothing)."""

    subject: str
    rule: str
    why: str
    picture: str = ""
    picture_alt: str = ""
    picture_ratio: float = 4 / 3  # width to height


@dataclass(frozen=True)
class RulePosters:
    """A set of posters, one sheet each."""

    posters: tuple[RulePoster, ...]
    printed: date
    title: str
    demo: bool = False
