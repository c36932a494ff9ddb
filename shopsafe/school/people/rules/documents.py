"""The documents that a machine may require of a student, such as the safety agreement. A new kind is one entry here.

A document is recorded for a student under its date. The class page, the logbook, the evidence file, erasure, the
requirements form and the clearance rule all read this list.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import school_year

# A school may hand its forms out before the school year begins.
EARLY = timedelta(days=100)


@dataclass(frozen=True, slots=True)
class DocumentWords:
    """What is read of one kind of document.

    name         inside a sentence: "safety agreement"
    asks         on the requirements form: "A safety agreement for this school year"
    missing      what the student reads while it is missing; `missing_for_staff` the same for staff
    met          what is said of it once it is recorded
    keeps        what keeps a clearance that would end with it
    """

    name: str
    asks: str
    missing: str
    missing_for_staff: str
    met: str
    keeps: str


@dataclass(frozen=True, slots=True)
class DocumentKind:
    """One kind of document.

    code         stored with each record and each requirement: never changed
    words        as they are written here, and as the logbook keeps the name; `{code}` is filled in
    valid_days   days after its date on which it still counts; None for the school year that it is for
    """

    code: str
    words: DocumentWords
    valid_days: int | None = None

    @property
    def name(self) -> str:
        return _(self.words.name, code=self.code)

    @property
    def asks(self) -> str:
        return _(self.words.asks, code=self.code)

    @property
    def missing(self) -> str:
        return _(self.words.missing, code=self.code)

    @property
    def missing_for_staff(self) -> str:
        return _(self.words.missing_for_staff, code=self.code)

    @property
    def met(self) -> str:
        return _(self.words.met, code=self.code)

    @property
    def keeps(self) -> str:
        return _(self.words.keeps, code=self.code)

    def last_day(self, dated: date) -> date | None:
        """The last day on which a document of this date counts; None if it counts for a school year."""
        return dated + timedelta(days=self.valid_days) if self.valid_days is not None else None

    def counts_on(self, day: date, dated: date, *, in_year: bool) -> bool:
        """Return True if a document of this date counts on that day; `in_year`: it is for the school year of it."""
        last_day = self.last_day(dated)
        return in_year if last_day is None else dated <= day <= last_day

    def is_too_old(self, dated: date, today: date, first_month: int) -> bool:
        """Return True if a document of this date does not count today. One for a school year may be signed early."""
        last_day = self.last_day(dated)
        if last_day is not None:
            return last_day < today
        return dated < date(school_year(today, first_month), first_month, 1) - EARLY


AGREEMENT = DocumentKind(
    code="agreement",
    words=DocumentWords(
        name=marked("safety agreement"),
        asks=marked("A safety agreement for this school year"),
        missing=marked("Hand in the safety agreement for this school year, signed at home and by you."),
        missing_for_staff=marked(
            "The safety agreement for this school year, signed at home and by the student, is not in."
        ),
        met=marked("The safety agreement for this school year is in."),
        keeps=marked("hand in the next safety agreement before that day."),
    ),
)

# By code, in the order in which they are listed.
DOCUMENTS = {kind.code: kind for kind in (AGREEMENT,)}


def document_kind(code: str) -> DocumentKind:
    """Return the kind of this code. One that this version does not know is still required, so no one is cleared."""
    return DOCUMENTS.get(code) or DocumentKind(
        code=code,
        words=DocumentWords(
            name=code,
            asks=code,
            missing=marked("Your teacher needs a document: {code}."),
            missing_for_staff=marked("A document is missing that this version does not know: {code}."),
            met=marked("{code} is in."),
            keeps=marked("hand in a new document before that day: {code}."),
        ),
        valid_days=-1,
    )
