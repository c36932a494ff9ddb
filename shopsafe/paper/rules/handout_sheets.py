"""What the sheets that are handed out say: pocket cards, the substitute sheet, the safety agreement, rule posters."""

from dataclasses import dataclass
from datetime import date

from shopsafe.language.messages import _, marked

# What a substitute holds everyone to: where machines run, and where none does [common practice].
RUNNING_RULES = (
    marked("Only a name on this sheet may use that machine."),
    marked("One person at a machine. No one waits beside it."),
    marked("You are in the room, and you can see it."),
    marked("Eyes covered, hair tied back, sleeves up."),
    marked("Do not teach machine use. Do not sign anyone off."),
    marked("In doubt: everything off."),
)
QUIET_RULES = (
    marked("No one turns on a machine. No exceptions."),
    marked("Work is what the teacher has left, at the benches."),
    marked("You are in the room, and you can see everyone."),
    marked("Eyes covered wherever anyone works with a tool."),
    marked("Do not teach machine use. Do not sign anyone off."),
    marked("In doubt: tools down, everyone sits."),
)


@dataclass(frozen=True)
class PocketCard:
    """One student's clearances, on a card the size of a bank card. A student without any gets no card."""

    name: str
    machines: tuple[str, ...]
    valid_until: date | None
    code: str
    url: str
    note: str = ""  # what must be known of the machines that are marked
    dated: tuple[str, ...] = ()  # machines whose clearance ends before the card does: "Spindle sander 7, to 4 Dec"

    @property
    def lines(self) -> tuple[str, ...]:
        return (*self.machines, *self.dated)


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
    without: tuple[str, ...] = ()  # students of the class who get no card yet


@dataclass(frozen=True)
class SubstituteMachine:
    """One machine on the substitute sheet: who may use it, or why it stays off."""

    machine: str
    names: tuple[str, ...]
    stays_off: str = ""


@dataclass(frozen=True)
class SubstituteRow:
    """Machines that the same students of one class may use."""

    machines: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class SubstituteClass:
    """One class of the day. `runs` is False where no one was granted supervising with it: then it has no rows."""

    name: str
    students: int
    rows: tuple[SubstituteRow, ...] = ()
    when: str = ""  # when it meets that day, if the timetable says so
    runs: bool = True
    granted: tuple[str, ...] = ()  # the substitutes who were granted it
    work: tuple[str, ...] = ()  # today's work, as the teacher wrote it


@dataclass(frozen=True)
class SubstituteSheet:
    """One page for a substitute teacher. `runs` is False where no machine runs without the teacher of the shop."""

    scope: str
    shop: str
    day: date
    machines: tuple[SubstituteMachine, ...]
    call: tuple[str, ...]  # numbers to call, one a line
    notes: tuple[str, ...]  # what the teacher adds: an allergy of the room's, where the key is
    runs: bool
    printed: date
    demo: bool = False
    about: tuple[str, ...] = ()  # what must be known of the names, below them
    teachers: tuple[str, ...] = ()  # whose classes these are
    classes: tuple[SubstituteClass, ...] = ()
    holds: tuple[str, ...] = ()  # "Abel Moor, 9 Teak: every machine"
    verdict: str = ""  # "drill press 1 and 2, scroll saw 4": the machines that may run
    work: tuple[str, ...] = ()  # today's work of no class in particular
    has_number: bool = True  # a line of `call` has a number; otherwise the sheet has a line to write it on

    @property
    def on(self) -> list[SubstituteMachine]:
        """The machines that may run."""
        return [machine for machine in self.machines if self.runs and not machine.stays_off]

    @property
    def off(self) -> list[SubstituteMachine]:
        """Those that stay off while others run. Where nothing runs they need no list."""
        return [machine for machine in self.machines if self.runs and machine.stays_off]

    @property
    def verdict_line(self) -> str:
        if not self.runs:
            return _("No machine runs today.")
        return (
            _("May run: {machines}.", machines=self.verdict) if self.on else _("No machine may run: no one is cleared.")
        )

    @property
    def rules(self) -> tuple[str, ...]:
        return tuple(_(rule) for rule in (RUNNING_RULES if self.on else QUIET_RULES))


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
