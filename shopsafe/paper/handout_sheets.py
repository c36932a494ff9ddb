"""What the sheets that are handed out say: pocket cards, the substitute sheet, the safety agreement, rule posters."""

from dataclasses import dataclass
from datetime import date


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


@dataclass(frozen=True)
class Agreement:
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
