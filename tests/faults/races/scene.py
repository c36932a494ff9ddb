"""What two acts meet: a school that lasts, and for each race a student, a quiz, a machine of their own.

All of it is made by acts, so that every record has its entry and the whole logbook can be verified after the races.
"""

import itertools
import uuid
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from django.utils import timezone

from machines.floor.acts.runs import assign
from machines.floor.acts.runs import start as start_run
from machines.floor.acts.shops import open_shop
from machines.floor.checks import check_lines
from machines.holds.acts import place_hold
from machines.models import (
    EndOfRuns,
    HazardReport,
    Hold,
    Machine,
    MachineKind,
    Requirements,
    Run,
    ShopOpening,
    SignOff,
    TagOut,
)
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.models import Acceptance, Answer, Attempt, Bank
from quizzes.questions.answering import read_response
from quizzes.questions.form_data import lines_of
from shopsafe.logbook.models import Listing
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Enrollment, HereToday, Person, RosterImport, School, Section
from shopsafe.school.people.acts.documents import record_document
from shopsafe.school.people.acts.moves import end_enrollment
from tests.factories.banks import bank_text, change, key_for, make_bank, publish
from tests.factories.machines import POINTS, KindFactory, MachineFactory
from tests.factories.people import SchoolFactory, SectionFactory, ShopFactory, TeacherFactory, TermFactory
from tests.factories.shop_in_use import keep_runs

DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
OWN_BANK = {"draft changed", "not accepted"}
NEEDS_AGREEMENT = {"passed quiz", "signed off"}
ON_FLOOR = {"open shop", "given", "running"}
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
    keys: dict[str, uuid.UUID] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.last, self.number = timezone.now() - DAY, next(numbers)
        if ON_FLOOR & self.state:
            self._own_shop()
        HereToday.objects.filter(section=self.place.section).delete()  # what an earlier race saved of this class
        self._student()
        self._machine()
        self._quiz()
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
        if {"given", "running"} & self.state:
            self.run = assign(machine=self.machine, student=self.student, by=teacher, tap=uuid.uuid4())
        if "running" in self.state and self.run:
            checked = check_lines(self.machine.kind)
            self.run = start_run(run=self.run, checked=checked, by=teacher, tap=uuid.uuid4())

    def _student(self) -> None:
        school, section = self.place.school, self.place.section
        name = {"name": f"Inga Vale{self.number}", "given_name": "Inga", "family_name": f"Vale{self.number}"}
        self.student = Person.objects.enter(school=school, role="student", local_id=f"s{self.number}", **name)
        day = timezone.localdate() - 2 * DAY
        Enrollment.objects.create(school=school, section=section, student=self.student, from_day=day)
        teacher = self.place.teachers[0]
        if "nothing recorded" not in self.state or NEEDS_AGREEMENT & self.state:
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

    def outcome(self, statuses: list[int]) -> str:
        """One line that says how it came out, without keys and moments."""
        kinds = ", ".join(self.kinds()) or "no entry"
        return f"{' '.join(map(str, statuses))} | {kinds} | {'; '.join(self.facts()) or 'nothing'}"

    def entries(self) -> list[Listing]:
        return list(Listing.objects.filter(entry__gt=self.first_entry, school=self.place.school.pk).order_by("entry"))

    def kinds(self) -> list[str]:
        return [f"{kind} ×{len(list(same))}" for kind, same in itertools.groupby(one.kind for one in self.entries())]

    def facts(self) -> list[str]:
        said = [self._attempt_said(one) for one in Attempt.objects.filter(student=self.student).order_by("started_at")]
        for row in SignOff.objects.filter(machine=self.machine).order_by("pk"):
            said.append(f"sign-off by {self._who(row.by_id)}{'' if row.stands else ', withdrawn'}")
        for row in Hold.objects.filter(student=self.student).order_by("pk"):
            said.append(f"hold by {self._who(row.placed_by_id)}{', lifted' if row.lifted_at else ''}")
        for row in TagOut.objects.filter(machine=self.machine).order_by("pk"):
            said.append(f"tag-out by {self._who(row.by_id)}{', returned' if row.returned_at else ''}")
        for row in HazardReport.objects.filter(machine=self.machine).order_by("pk"):
            ended = ", tagged out" if row.tag_out_id else ", cleared" if row.ended_at else ""
            said.append(f"report{ended}")
        said += self._floor_said()
        said += self._classes_said()
        imports = RosterImport.objects.filter(key__in=self.keys.values()).count()
        here = Person.objects.filter(local_id__startswith=f"n{self.number}-").count()
        accepted = Acceptance.objects.filter(edition__bank=self.bank, taken_back_at=None)
        said += [f"{imports} imports of {here} students"] if imports else []
        said += [f"edition {one.number}" for one in self.bank.editions.filter(number__gt=1).order_by("number")]
        said += [
            f"{number} accepted" for number in accepted.values_list("edition__number", flat=True).order_by("edition")
        ]
        return said

    def _attempt_said(self, one: Attempt) -> str:
        """Its state, how often its answers were saved, and which option stands for the first question."""
        state = "open" if one.handed_in_at is None else "passed" if one.perfect else "missed"
        saved = sum(one.answers.values_list("revision", flat=True))
        first = lines_of(one.form)[0]
        answer = one.answers.filter(question=first.code).first()
        chosen = next(
            (option.place for option in first.options if answer and option.id in str(answer.response)), "none"
        )
        return f"{state}{', voided' if one.voided_at else ''}, {saved} saves, option {chosen}"

    def _classes_said(self) -> list[str]:
        """Where the student is, if the race is about leaving a class: of no other race would it tell anything."""
        if not {"other class", "leaving", "taken out", "nothing recorded"} & self.state:
            return []
        rows = Enrollment.objects.filter(student=self.student.pk).order_by("pk")
        return [
            f"in {'other' if row.section_id != self.place.section.pk else 'own'} class"
            f"{f' for {(row.until_day - self.today).days} days' if row.until_day else ''}"
            for row in rows
        ] or ["in no class"]

    def _floor_said(self) -> list[str]:
        said = []
        for row in Run.objects.filter(machine=self.machine).order_by("pk"):
            state = "stopped" if row.ended_at else "running" if row.started_at else "given"
            said.append(f"run by {self._who(row.given_by_id)}, {state}")
        for opening in ShopOpening.objects.filter(shop=self.place.section.shop_id).order_by("pk"):
            said.append(f"shop {'closed' if opening.closed_at else 'open'}")
            said += ["runs ended"] * EndOfRuns.objects.filter(opening=opening, lifted_at=None).count()
        return said

    def _who(self, pk: int) -> str:
        return "A" if pk == self.place.teachers[0].pk else "B"
