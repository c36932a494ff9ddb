"""What the rules of clearance receive, and what they answer: frozen values, no database behind them.

Every moment is aware. A moment named `until` or `ends` is the first at which the fact no longer holds.
What a school has by the thousand is a named tuple, which is made in a third of the time of a frozen dataclass.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Literal, NamedTuple

from shopsafe.language.messages import _, marked
from shopsafe.school.people.rules.documents import AGREEMENT, DocumentKind

if TYPE_CHECKING:
    from machines.clearance.amounts import AskedAmount


class Standing(StrEnum):
    """The answer to "may this student use this machine?". Only `CLEARED` means yes."""

    CLEARED = marked("cleared")
    READY = marked("ready for sign-off")
    TRAINING = marked("in training")
    NOT_STARTED = marked("not started")
    ON_HOLD = marked("on hold")
    LAPSED = marked("expired")

    @property
    def words(self) -> str:
        """As people read it; the value is what programs and addresses read."""
        return _(self.value)


class NextActor(StrEnum):
    """Who acts next on a reason."""

    STUDENT = marked("student")
    GUARDIAN = marked("guardian")
    TEACHER = marked("teacher")
    OFFICE = marked("office")

    @property
    def words(self) -> str:
        return _(self.value)


class GapCode(StrEnum):
    """What is not met, in the stable words that programs read. Each is a reason too."""

    HOLD = "hold"
    AGREEMENT = "agreement.missing"
    DOCUMENT = "document.missing"
    QUIZ = "bank.missing"
    QUIZ_CHANGED = "bank.lapsed"
    RULES_NOT_APPROVED = "bank.not-accepted"
    OTHER_MACHINE = "first.missing"
    DEMONSTRATION = "demonstration.missing"
    TERM_OVER = "lapsed.term"
    YEAR_OVER = "lapsed.year"
    REFRESHER_DUE = "lapsed.refresh"
    NOT_USED = "lapsed.unused"
    AMOUNT = "amount.missing"


class EndingCause(StrEnum):
    """What ends a clearance if nothing happens."""

    TERM = "term"
    YEAR = "year"
    REFRESH = "refresh"
    UNUSED = "unused"
    EDITION = "edition"
    AGREEMENT = "agreement"
    DOCUMENT = "document"
    FIRST = "first"
    AMOUNT = "amount"


class HoldWay(StrEnum):
    """What lifts a hold. The words are stored."""

    DATE = "date"
    TALK = "talk"
    RULES = "rules"
    QUIZ = "quiz"
    OFFICE = "office"


# Where a reason is acted on, in a word that the pages turn into an address.
type ReasonLink = Literal[
    "", "quiz", "accept", "refresher", "sign-off", "bench", "document", "hold", "hold-rules", "hold-quiz"
]
type GroundCode = Literal["agreement", "document", "bank", "first", "demonstration", "amount"]


# --- what a machine asks for ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class QuizRequirement:
    """A bank whose quiz must be passed perfectly. `subject` is its name in sentences.

    accepted    a teacher accepts the rules of its latest edition; until then its quiz is practice only
    """

    bank: int
    subject: str
    accepted: bool = True


@dataclass(frozen=True, slots=True)
class ClearedFirst:
    """A kind or a machine on which the student must be cleared first: on any one of `one_of`.

    With nothing in `one_of` it can't be met. The requirements of those machines stand inside, so a circle can't
    even be written down.
    """

    name: str
    one_of: tuple["MachineRequirements", ...]


@dataclass(frozen=True, slots=True)
class MachineRequirements:
    """Everything one machine asks of a student. A demonstration is asked always: no machine without a sign-off.

    own_bank        the bank about this kind of machine: an attempt at it is what "started" means, and a perfect
                    attempt or refresher in it renews; None where the kind has no bank
    documents       those that must be on record, the safety agreement first
    demonstration   the sign-off must be on this "machine", or on any of its "kind"
    ends_with       a sign-off ends with the "term" or the school "year" in which it was made, or "never"
    amounts         what is asked as a number, such as days until a refresher
    """

    machine: int
    kind: int
    name: str
    banks: tuple[QuizRequirement, ...] = ()
    own_bank: int | None = None
    first: tuple[ClearedFirst, ...] = ()
    documents: tuple[DocumentKind, ...] = (AGREEMENT,)
    demonstration: Literal["machine", "kind"] = "machine"
    ends_with: Literal["term", "year", "never"] = "term"
    amounts: tuple["AskedAmount", ...] = ()
    # The same once more, for looking at many students: the keys of the banks, the codes of the documents, and whether
    # it asks for a sign-off on this machine, which nothing but a term ends, and nothing comes first.
    bank_keys: frozenset[int] = field(init=False, repr=False, compare=False)
    document_codes: frozenset[str] = field(init=False, repr=False, compare=False)
    is_plain: bool = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        plainly = not self.first and not self.amounts
        object.__setattr__(self, "bank_keys", frozenset([bank.bank for bank in self.banks]))
        object.__setattr__(self, "document_codes", frozenset([kind.code for kind in self.documents]))
        object.__setattr__(self, "is_plain", plainly and self.ends_with != "year" and self.demonstration == "machine")


# --- what is on record about one student ------------------------------------------------------------------------


class QuizPass(NamedTuple):
    """A perfect attempt. `counts_until`: its edition counts no longer from then; `gone_at`: when it was voided."""

    bank: int
    at: datetime
    counts_until: datetime | None = None
    gone_at: datetime | None = None
    refresher: bool = False
    ref: str = ""


class AttemptStart(NamedTuple):
    """An attempt was begun, whatever came of it."""

    bank: int
    at: datetime


@dataclass(frozen=True, slots=True)
class DocumentFact:
    """A document of a kind, by its code: known since `recorded_at`, it counts from `begins` to `ends`.

    `gone_at`: when it was withdrawn, having been recorded for the wrong student.
    """

    recorded_at: datetime
    begins: datetime
    ends: datetime
    gone_at: datetime | None = None
    kind: str = AGREEMENT.code


class SignOffFact(NamedTuple):
    """A teacher's record of a complete demonstration. `gone_at`: when it was undone or withdrawn."""

    machine: int
    kind: int
    at: datetime
    by: str = ""
    term_ends: datetime | None = None
    year_ends: datetime | None = None
    gone_at: datetime | None = None
    ref: str = ""


@dataclass(frozen=True, slots=True)
class MachineUse:
    """What a student did at a machine, last at `at`, that an amount counts: a run that came to a standstill."""

    machine: int
    kind: int
    at: datetime
    record: str = "run"
    amount: int = 1


@dataclass(frozen=True, slots=True)
class HoldFact:
    """A teacher stops a student's use of `machines`, or of every machine where that is None.

    until       it ends by itself then (a hold for some days); None where only a person lifts it
    lifted_at   when a person lifted it
    way         what lifts it; `done` once the student has done it
    last_day    of a hold for some days, in words
    """

    placed_at: datetime
    machines: frozenset[int] | None = None
    why: str = ""
    lifts: str = ""
    by: str = ""
    until: datetime | None = None
    lifted_at: datetime | None = None
    ref: str = ""
    way: HoldWay = HoldWay.TALK
    done: bool = False
    last_day: str = ""


@dataclass(frozen=True, slots=True)
class StudentRecord:
    """Everything on record about one student, in any order. `zone` is the school's ("America/Chicago")."""

    zone: str
    passes: tuple[QuizPass, ...] = ()
    tries: tuple[AttemptStart, ...] = ()
    documents: tuple[DocumentFact, ...] = ()
    sign_offs: tuple[SignOffFact, ...] = ()
    uses: tuple[MachineUse, ...] = ()
    holds: tuple[HoldFact, ...] = ()


class Gap(NamedTuple):
    """One requirement that is not met: its code, and the fact it is about where there is one."""

    code: GapCode
    what: "HoldFact | QuizRequirement | ClearedFirst | DocumentKind | AskedAmount | None" = None


# --- what is answered -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that stands between the student and the machine.

    code      stable, dotted, for programs: "bank.missing"
    who       acts next
    sentence  for the student; `staff` the same for staff where they say it in other words, and `detail` where it
              says more to them
    link      what to open next, in a word the pages turn into an address: "quiz", "refresher", "sign-off", "bench",
              "document", "hold", and for what the student can do about a hold "hold-rules", "hold-quiz"; `about` is
              the key of what it is about (a bank, a machine, a hold,
              a kind of document)
    """

    code: GapCode
    who: NextActor
    sentence: str
    link: ReasonLink = ""
    about: str = ""
    detail: str = ""
    staff: str = ""

    @property
    def for_staff(self) -> str:
        return self.staff or self.sentence


@dataclass(frozen=True, slots=True)
class Ground:
    """One requirement that is met, and by what: `at` it was met, `ref` is the key of the record."""

    code: GroundCode
    sentence: str
    at: datetime | None = None
    ref: str = ""


class Ending(NamedTuple):
    """When a clearance ends if nothing happens, and what ends it.

    `about`: the bank whose edition it is. `document`: the code of the kind of document, other than the agreement.
    `amount`: the column of the amount.
    """

    at: datetime
    by: EndingCause
    about: int | None = None
    document: str = ""
    amount: str = ""

    @property
    def last_moment(self) -> datetime:
        """The last at which it still holds: on the day that is shown as the last."""
        return self.at - datetime.resolution


class StatusOnly(NamedTuple):
    """An answer without its words, for a matrix. `due`: a sign-off is all that is missing."""

    standing: Standing
    due: bool
    ending: Ending | None = None

    @property
    def cleared(self) -> bool:
        return self.standing is Standing.CLEARED


@dataclass(frozen=True, slots=True)
class ClearanceResult:
    """A standing with its reasons, the first to act on first; for a cleared student what it rests on and its end."""

    standing: Standing
    reasons: tuple[Reason, ...] = ()
    grounds: tuple[Ground, ...] = ()
    ending: Ending | None = None

    @property
    def cleared(self) -> bool:
        return self.standing is Standing.CLEARED
