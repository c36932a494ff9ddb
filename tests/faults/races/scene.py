"""What two acts meet: a school that lasts, and for each race a student, a quiz, a machine of their own."""

import itertools
import random
import uuid
from dataclasses import dataclass, field
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from machines.models import Hold, Machine, SignOff, TagOut
from quizzes.banks.draft_rows import draft_text
from quizzes.banks.editions.texts import frozen
from quizzes.facts import History
from quizzes.models import Acceptance, Answer, Attempt, Bank, Edition
from quizzes.questions.answering import read_response
from quizzes.questions.assembly import assemble
from quizzes.questions.form_data import form_data, lines_of
from shopsafe.logbook.models import Listing
from shopsafe.school.models import Enrollment, Person, RosterImport, SafetyAgreement, School, Section
from tests.factories.banks import bank_text, key_for
from tests.factories.machines import POINTS, KindFactory, MachineFactory, asks
from tests.factories.people import SchoolFactory, SectionFactory, ShopFactory, TeacherFactory, TermFactory

DAY = timedelta(days=1)
TEXT = bank_text()
CHANGED = bank_text(each=5)
CONTENT, DIGEST = frozen(TEXT, {})
LATER = frozen(bank_text(each=4), {})
numbers = itertools.count(1)


@dataclass
class Place:
    """One school with a class, and two teachers who may do all the same."""

    school: School
    section: Section
    teachers: tuple[Person, Person]


def make_place() -> Place:
    today = timezone.localdate()
    school = SchoolFactory()
    shop = ShopFactory(school=school)
    term = TermFactory(school=school, first_day=today - 30 * DAY, last_day=today + 60 * DAY)
    section = SectionFactory(shop=shop, term=term)
    teachers = (TeacherFactory(school=school), TeacherFactory(school=school))
    shop.teachers.set(teachers)
    section.teachers.set(teachers)
    return Place(school, section, teachers)


@dataclass
class Scene:
    """`state` names what is to be there before the race: the student's quiz, a sign-off, a hold, a tag-out, ..."""

    place: Place
    state: frozenset[str]
    student: Person = field(init=False)
    bank: Bank = field(init=False)
    machine: Machine = field(init=False)
    attempt: Attempt | None = None
    signed: SignOff | None = None
    held: Hold | None = None
    out: TagOut | None = None
    keys: dict[str, uuid.UUID] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.at = timezone.now() - DAY
        self.number = next(numbers)
        with transaction.atomic():
            self._student()
            self._bank()
            self._quiz()
            self._records()
        self.first_entry = Listing.objects.order_by("-entry").values_list("entry", flat=True).first() or 0

    def _student(self) -> None:
        school, teacher = self.place.school, self.place.teachers[0]
        name = {"name": f"Inga Vale{self.number}", "given_name": "Inga", "family_name": f"Vale{self.number}"}
        self.student = Person.objects.enter(school=school, role="student", local_id=f"s{self.number}", **name)
        day = timezone.localdate() - DAY
        Enrollment.objects.create(school=school, section=self.place.section, student=self.student, from_day=day)
        year = day.year - (day.month < school.year_first_month)
        SafetyAgreement.objects.create(
            school=school, student=self.student, year=year, signed_on=day, recorded_by=teacher, recorded_at=self.at
        )

    def _bank(self) -> None:
        school, teacher = self.place.school, self.place.teachers[0]
        draft = draft_text(CHANGED if "draft changed" in self.state else TEXT)
        named = {"code": f"bank-{self.number}", "subject": f"Subject {self.number}"}
        self.bank = Bank.objects.create(school=school, draft=draft, draft_changed_at=self.at, **named)
        self.edition = self._edition(1, CONTENT, DIGEST)
        Acceptance.objects.create(school=school, edition=self.edition, by=teacher, at=self.at)
        if "not accepted" in self.state:
            self._edition(2, *LATER)
        kind = KindFactory(school=school, bank=self.bank, code=f"kind-{self.number}", name=f"Saw {self.number}")
        asks(kind, self.bank, holds_from=self.at)
        self.machine = MachineFactory(shop=self.place.section.shop, kind=kind, added_at=self.at)

    def _edition(self, number: int, content: str, digest: str) -> Edition:
        fields = {"content": content, "digest": digest, "published_at": self.at}
        return Edition.objects.create(school=self.place.school, bank=self.bank, number=number, **fields)

    def _quiz(self) -> None:
        """Every answer is there and right; handed in where the quiz is passed."""
        if not {"open quiz", "passed quiz"} & self.state:
            return
        history = History()
        form = assemble(TEXT, history, random.Random(self.number))
        self.attempt = Attempt.objects.create(
            school=self.place.school, student=self.student, bank=self.bank, edition=self.edition, seed=self.number,
            form=form_data(form, history), started_at=self.at, asked=len(form.lines),
        )  # fmt: skip
        Answer.objects.bulk_create(
            Answer(
                attempt=self.attempt, question=line.code, response=read_response(line, key_for(line)), saved_at=self.at
            )
            for line in lines_of(self.attempt.form)
        )
        if "passed quiz" in self.state:  # the answers come first: none is added to an attempt that was handed in
            self.attempt.handed_in_at, self.attempt.correct = self.at, len(form.lines)
            self.attempt.save(update_fields=["handed_in_at", "correct"])

    def _records(self) -> None:
        at, (teacher, _) = self.at, self.place.teachers
        of = {"school": self.place.school, "student": self.student}
        if "signed off" in self.state:
            term = self.place.section.term
            fields = {"machine": self.machine, "kind": self.machine.kind, "term": term, "points": POINTS}
            self.signed = SignOff.objects.create(by=teacher, at=at, **of, **fields)
        if "on hold" in self.state:
            fields = {"everywhere": True, "reason": "dress", "lifts": "talk", "placed_by": teacher, "placed_at": at}
            self.held = Hold.objects.create(**of, **fields)
        if "tagged out" in self.state:
            self.out = TagOut.objects.create(
                school=self.place.school, machine=self.machine, reason="Blade cracked", by=teacher, at=at
            )

    def key(self, name: str) -> str:
        """A key of a page; the same name gives the same key."""
        return str(self.keys.setdefault(name, uuid.uuid4()))

    # ---- what is there now ----

    def outcome(self, statuses: list[int]) -> str:
        """One line that says how it came out, without keys and moments."""
        kinds = ", ".join(self.kinds()) or "no entry"
        return f"{' '.join(map(str, statuses))} | {kinds} | {'; '.join(self.facts()) or 'nothing'}"

    def entries(self) -> list[Listing]:
        return list(Listing.objects.filter(entry__gt=self.first_entry, school=self.place.school.pk).order_by("entry"))

    def kinds(self) -> list[str]:
        return [
            f"{kind} ×{len(list(same))}" for kind, same in itertools.groupby(entry.kind for entry in self.entries())
        ]

    def facts(self) -> list[str]:
        lines = [
            self._attempt_said(attempt) for attempt in Attempt.objects.filter(bank=self.bank).order_by("started_at")
        ]
        for row in SignOff.objects.filter(machine=self.machine).order_by("pk"):
            lines.append(f"sign-off by {self._who(row.by_id)}{'' if row.stands else ', withdrawn'}")
        for row in Hold.objects.filter(student=self.student).order_by("pk"):
            lines.append(f"hold by {self._who(row.placed_by_id)}{', lifted' if row.lifted_at else ''}")
        for row in TagOut.objects.filter(machine=self.machine).order_by("pk"):
            lines.append(f"tag-out by {self._who(row.by_id)}{', returned' if row.returned_at else ''}")
        imports = RosterImport.objects.filter(key__in=self.keys.values()).count()
        here = Person.objects.filter(local_id__startswith=f"n{self.number}-").count()
        accepted = Acceptance.objects.filter(edition__bank=self.bank, taken_back_at=None)
        lines += [f"{imports} imports of {here} students"] if imports else []
        lines += [f"edition {edition.number}" for edition in self.bank.editions.filter(number__gt=1).order_by("number")]
        lines += [
            f"{number} accepted" for number in accepted.values_list("edition__number", flat=True).order_by("edition")
        ]
        return lines

    def _attempt_said(self, attempt: Attempt) -> str:
        """Its state, how often its answers were saved, and which option stands for the first question."""
        state = "open" if attempt.handed_in_at is None else "passed" if attempt.perfect else "missed"
        saved = sum(attempt.answers.values_list("revision", flat=True))
        first = lines_of(attempt.form)[0]
        answer = attempt.answers.filter(question=first.code).first()
        chosen = next(
            (option.place for option in first.options if answer and option.id in str(answer.response)), "none"
        )
        return f"{state}{', voided' if attempt.voided_at else ''}, {saved} saves, option {chosen}"

    def _who(self, pk: int) -> str:
        return "A" if pk == self.place.teachers[0].pk else "B"
