"""A small school in which every story of the state machine begins, built once for many."""

from datetime import date, datetime

from machines.models import Machine, MachineKind
from quizzes.models import Bank
from shopsafe.school.models import Section
from tests.acts.whole.sample_school import DAY, SCHOOL, History, school_day
from tests.cast import Cast, make_cast
from tests.factories.banks import bank_text, published
from tests.factories.machines import KindFactory, MachineFactory, asks
from tests.factories.people import EnrollmentFactory, SectionFactory, TermFactory

# In fall the clocks go back on 1 November; in spring there is a 29 February, the clocks go forward on 12 March, and
# a school year ends on 31 July.
STARTS = {
    "autumn": datetime(2026, 10, 20, 10, tzinfo=SCHOOL),
    "spring": datetime(2028, 2, 22, 10, tzinfo=SCHOOL),
    "summer": datetime(2027, 7, 20, 10, tzinfo=SCHOOL),
}
# Of the band saws and of the drill press, until someone asks for something else.
DAYS = [{"refresh_days": 10, "unused_days": None}, {"refresh_days": None, "unused_days": 7}]
TERMS, TERM = 8, 25  # how many, of how many days


class Ground:
    """The school before anything happens: two students, two band saws and a drill press, three quizzes, eight terms."""

    def __init__(self, start: datetime) -> None:
        self.now, self.early = start, start - 20 * DAY
        cast: Cast = make_cast()
        self.school, self.students = cast.school, [cast.student, cast.classmate]
        self.teachers = [cast.teacher, cast.colleague]
        for student in self.students:
            student.enrollments.all().delete()
        first = school_day(start) - 10 * DAY
        self.terms = [(first + n * TERM * DAY, first + (n * TERM + TERM - 1) * DAY) for n in range(TERMS)]
        self.sections = [self.a_class(cast, *days) for days in self.terms]
        texts = [bank_text(code=code, rules=1, ask=1) for code in ("general", "band-saw", "drill-press")]
        self.banks: list[Bank] = [published(cast.teacher, text, self.early) for text in texts]
        saw = KindFactory(school=cast.school, name="Band saw", bank=self.banks[1])
        drill = KindFactory(school=cast.school, name="Drill press", bank=self.banks[2])
        self.kinds: list[MachineKind] = [saw, drill]
        self.machines: list[Machine] = [
            MachineFactory(shop=cast.shop, kind=kind, number=n, added_at=self.early)
            for n, kind in enumerate([saw, saw, drill])
        ]
        for kind, days in zip(self.kinds, DAYS, strict=True):
            asks(kind, self.banks[0], kind.bank, holds_from=self.early, set_at=self.early, **days)
        self.told = self.as_history()

    def a_class(self, cast: Cast, begins: date, ends: date) -> Section:
        term = TermFactory(school=cast.school, first_day=begins, last_day=ends)
        section = SectionFactory(shop=cast.shop, term=term)
        section.teachers.add(cast.teacher, cast.colleague)
        for student in self.students:
            EnrollmentFactory(section=section, student=student, from_day=begins)
        return section

    def as_history(self) -> History:
        """The same, as the model knows it."""
        known_school = History(self.students, self.machines, self.terms)
        known_school.editions = [(bank.pk, 1, self.early, None) for bank in self.banks]
        for kind, days in zip(self.kinds, DAYS, strict=True):
            known_school.asks(kind, self.early, [self.banks[0], kind.bank], demonstration="machine",
                      ends_with="term", **days)  # fmt: skip
        return known_school
