"""What two acts meet: a school that lasts, and for each race a student, a quiz, a machine of their own.

All of it is made by acts, so that every record has its entry and the whole logbook can be verified after the races.
"""

import itertools
import uuid
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from django.utils import timezone

from machines.floor.acts.helpers import name_helper
from machines.floor.acts.runs import assign
from machines.floor.acts.runs import start as start_run
from machines.floor.acts.shops import end_all_runs, open_shop
from machines.floor.acts.supervising import grant_supervising
from machines.floor.acts.waiting import join_waiting
from machines.floor.checks import check_lines
from machines.holds.acts import place_hold
from machines.incidents.acts.reports import open_incident
from machines.incidents.report import Report
from machines.models import (
    HazardReport,
    Hold,
    Incident,
    Machine,
    MachineKind,
    Requirements,
    Run,
    RunHelper,
    SignOff,
    SupervisingGrant,
    TagOut,
    WaitingStudent,
)
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.models import Answer, Attempt, Bank
from quizzes.questions.answering import read_response
from quizzes.questions.form_data import lines_of
from shopsafe.logbook.models import Listing
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrollment, HereToday, Person, School, Section
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.acts.moves import end_enrollment
from tests.factories.banks import bank_text, change, key_for, make_bank, publish
from tests.factories.machines import POINTS, KindFactory, MachineFactory
from tests.factories.people import (
    PersonFactory,
    SchoolFactory,
    SectionFactory,
    ShopFactory,
    TeacherFactory,
    TermFactory,
)
from tests.factories.shop_in_use import keep_runs

DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
OWN_BANK = {"draft changed", "not accepted", "own bank"}
NEEDS_AGREEMENT = {"passed quiz", "signed off"}
ON_FLOOR = {"open shop", "given", "running"}
OWN_SHOP = ON_FLOOR | {"closed shop"}
numbers = itertools.count(1)


@dataclass
class Place:
    """One school with a class and a published quiz, and two teachers who may do all the same."""

    school: School
    section: Section
    teachers: tuple[Person, Person]
    bank: Bank


def make_place() -> Place:
    today = timezone.localdate()
    school = SchoolFactory()
    shop = ShopFactory(school=school)
    term = TermFactory(school=school, first_day=today - 30 * DAY, last_day=today + 60 * DAY)
    section = SectionFactory(shop=shop, term=term)
    teachers = (TeacherFactory(school=school), TeacherFactory(school=school))
    shop.teachers.set(teachers)
    section.teachers.set(teachers)
    bank = make_bank(school, bank_text())
    publish(bank, teachers[0], timezone.now() - 2 * DAY)
    return Place(school, section, teachers, bank)


@dataclass
class Scene:
    """`state` names what is to be there before the race: the student's quiz, a sign-off, a hold, a tag-out, ..."""

    place: Place
    state: frozenset[str]
    student: Person = field(init=False)
    bank: Bank = field(init=False)
    machine: Machine = field(init=False)
    other_class: Section | None = None
    attempt: Attempt | None = None
    signed: SignOff | None = None
    held: Hold | None = None
    out: TagOut | None = None
    report: HazardReport | None = None
    run: Run | None = None
    classmate: Person | None = None
    other_run: Run | None = None
    helping: RunHelper | None = None
    waiting: WaitingStudent | None = None
    substitute: Person | None = None
    grant: SupervisingGrant | None = None
    incident: Incident | None = None
    keys: dict[str, uuid.UUID] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.last, self.number = timezone.now() - DAY, next(numbers)
        if OWN_SHOP & self.state:
            self._own_shop()
        HereToday.objects.filter(section=self.place.section).delete()  # what an earlier race saved of this class
        self._student()
        self._machine()
        self._quiz()
        self._records_first()
        self._floor()
        self._records()
        self.first_entry = Listing.objects.order_by("-entry").values_list("entry", flat=True).first() or 0

    @property
    def at(self) -> datetime:
        """The next moment of the day before."""
        self.last += SECOND
        return self.last

    @property
    def today(self) -> date:
        return local_day(timezone.now(), self.place.school.time_zone)

    def _own_shop(self) -> None:
        """A shop is open once: each race on the floor has its own."""
        school, teachers = self.place.school, self.place.teachers
        section = SectionFactory(shop=ShopFactory(school=school), term=self.place.section.term)
        section.shop.teachers.set(teachers)
        section.teachers.set(teachers)
        keep_runs(section.shop)
        self.place = replace(self.place, section=section)

    def _floor(self) -> None:
        """Open, given, running: by the clock, since presence is judged by it."""
        teacher, section = self.place.teachers[0], self.place.section
        if ON_FLOOR & self.state:
            open_shop(shop=section.shop, section=section, by=teacher, tap=uuid.uuid4())
        if "waits" in self.state:
            self.waiting = join_waiting(machine=self.machine, student=self.student, by=self.student, tap=uuid.uuid4())
        if {"given", "running"} & self.state:  # which takes the student off the list
            self.run = assign(machine=self.machine, student=self.student, by=teacher, tap=uuid.uuid4())
        if "running" in self.state and self.run:
            checked = check_lines(self.machine.kind)
            self.run = start_run(run=self.run, checked=checked, by=teacher, tap=uuid.uuid4())
        self._helpers()
        if "runs ended" in self.state:
            end_all_runs(shop=section.shop, by=teacher, tap=uuid.uuid4())

    def _helpers(self) -> None:
        """A classmate who can help at the student's run, one who helps there, and one whom the student can help."""
        teacher = self.place.teachers[0]
        if not {"helper", "helped", "run of another"} & self.state:
            return
        self.classmate = self._enrolled("Wilma")
        if "helped" in self.state and self.run:
            self.helping = name_helper(run=self.run, student=self.classmate, by=teacher, tap=uuid.uuid4())
        if "run of another" in self.state:
            classmate, machine = self._enrolled("Otto"), self._machine_without_quiz()
            signing = {"ticked": POINTS, "by": teacher, "tap": uuid.uuid4(), "at": self.at}
            sign_off(student=classmate, machine=machine, **signing)
            self.other_run = assign(machine=machine, student=classmate, by=teacher, tap=uuid.uuid4())

    def _machine_without_quiz(self) -> Machine:
        """A machine that asks for a demonstration alone, and whose helpers need not be cleared."""
        named = {"code": f"plain-kind-{self.number}", "name": f"Sander {self.number}"}
        kind: MachineKind = KindFactory(school=self.place.school, bank=None, helper_cleared=False, **named)
        machine: Machine = MachineFactory(shop=self.place.section.shop, kind=kind, number=0, added_at=self.at)
        at = self.at
        wanted = Requirements(kind=kind, agreement=False, holds_from=at)
        set_requirements(wanted=wanted, asked=[], by=self.place.teachers[0], at=at)
        return machine

    def _enrolled(self, given: str) -> Person:
        """A new student of the class, since the day before yesterday."""
        family, day = f"Vale{self.number}", timezone.localdate() - 2 * DAY
        name = {"name": f"{given} {family}", "given_name": given, "family_name": family}
        local_id = f"{given[0].lower()}{self.number}"
        student = Person.objects.enter(school=self.place.school, role="student", local_id=local_id, **name)
        Enrollment.objects.create(school=self.place.school, section=self.place.section, student=student, from_day=day)
        return student

    def _student(self) -> None:
        section = self.place.section
        self.student, day = self._enrolled("Inga"), timezone.localdate() - 2 * DAY
        teacher = self.place.teachers[0]
        without = {"nothing recorded", "no document"} & self.state
        if not without or (NEEDS_AGREEMENT & self.state and "no document" not in without) or "signed off" in self.state:
            record_document(section=section, students=[self.student], signed_on=day, by=teacher, at=self.at)
        if "other class" in self.state:
            self.other_class = SectionFactory(shop=section.shop, term=section.term)
        if "leaving" in self.state:
            last_day = self.today + 3 * DAY
            end_enrollment(section=section, student=self.student, by=teacher, last_day=last_day, at=self.at)

    def _machine(self) -> None:
        school, teacher = self.place.school, self.place.teachers[0]
        self.bank = self.place.bank
        if OWN_BANK & self.state:
            self.bank = make_bank(school, bank_text(code=f"bank-{self.number}"))
            publish(self.bank, teacher, self.at)
        named = {"code": f"kind-{self.number}", "name": f"Saw {self.number}"}
        named |= {"helper_cleared": not {"helper", "helped"} & self.state}
        kind: MachineKind = KindFactory(school=school, bank=self.bank, **named)
        self.machine = MachineFactory(shop=self.place.section.shop, kind=kind, number=self.number, added_at=self.at)
        at = self.at
        set_requirements(wanted=Requirements(kind=kind, holds_from=at), asked=[self.bank], by=teacher, at=at)

    def _quiz(self) -> None:
        """A sign-off rests on a quiz that is passed; the one that is open then is taken once more."""
        if {"passed quiz", "signed off"} & self.state:
            self.attempt = self._answered(again=False)
            hand_in(student=self.student, attempt=self.attempt.pk, at=self.at)
        if "signed off" in self.state:
            self.signed = sign_off(
                student=self.student, machine=self.machine, by=self.place.teachers[0], ticked=POINTS,
                tap=uuid.uuid4(), at=self.at,
            )  # fmt: skip
        if "open quiz" in self.state:
            self.attempt = self._answered(again=self.attempt is not None)

    def _answered(self, *, again: bool) -> Attempt:
        """Every answer is there, and right."""
        attempt = start_attempt(student=self.student, bank=self.bank.pk, again=again, seed=self.number, at=self.at)
        Answer.objects.bulk_create(
            Answer(attempt=attempt, question=line.code, response=read_response(line, key_for(line)), saved_at=self.at)
            for line in lines_of(attempt.form)
        )
        return attempt

    def _records_first(self) -> None:
        """Records that no floor depends on."""
        teacher, section = self.place.teachers[0], self.place.section
        if {"substitute", "supervising"} & self.state:
            self.substitute = PersonFactory(school=self.place.school, role="substitute")
        if "supervising" in self.state and self.substitute:
            self.grant = grant_supervising(
                section=section, substitute=self.substitute, day=self.today, by=teacher, tap=uuid.uuid4(), at=self.at
            )
        if "incident" in self.state:
            at = self.at
            report = Report(sort="near-miss", happened_at=at, machine=self.machine, concerned=[self.student])
            self.incident = open_incident(shop=section.shop, report=report, by=teacher, tap=uuid.uuid4(), at=self.at)

    def _records(self) -> None:
        teacher = self.place.teachers[0]
        if "not accepted" in self.state:
            change(self.bank, bank_text(code=self.bank.code, each=5))
            publish(self.bank, teacher, self.at, accept=False)
        if "draft changed" in self.state:
            change(self.bank, bank_text(code=self.bank.code, each=4))
        if "on hold" in self.state:
            hold = {"student": self.student, "machines": None, "reason": "dress", "lifts": "talk"}
            self.held = place_hold(by=teacher, tap=uuid.uuid4(), at=self.at, **hold)
        if "reported" in self.state:
            seen, shop = Sighting("guard"), self.machine.shop
            self.report = report_hazard(
                shop=shop, machine=self.machine, seen=seen, by=self.student, tap=uuid.uuid4(), at=self.at
            )
        if "tagged out" in self.state:
            reason = "Blade cracked"
            self.out = tag_out(machine=self.machine, reason=reason, by=teacher, tap=uuid.uuid4(), at=self.at)

    def key(self, name: str) -> str:
        """A key of a page; the same name gives the same key."""
        return str(self.keys.setdefault(name, uuid.uuid4()))

    # ---- what is there now ----

    def entries(self) -> list[Listing]:
        return list(Listing.objects.filter(entry__gt=self.first_entry, school=self.place.school.pk).order_by("entry"))
