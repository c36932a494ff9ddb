"""Every act in any order at any moment, against a short model that never looks into the database.

The model keeps a plain list of what was done and judges it with `clearance_model`; the program is asked through the
database, by the same query the register uses. After each step every student and machine must agree, and so must a
moment of the past, which no later act may change.
"""

import os
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from machines import facts
from machines.acts.holds import lift_hold, place_hold
from machines.acts.requirements import set_requirements
from machines.acts.sign_offs import sign_off, undo_sign_off, withdraw_sign_off
from machines.acts.tag_outs import return_to_service, tag_out
from machines.models import Machine, MachineKind, Requirements
from machines.queries import matrix
from quizzes.acts.attempts import hand_in, start_attempt, void_attempt
from quizzes.models import Bank
from shopsafe.logbook.verify import verify
from shopsafe.school.acts.people import record_agreement
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import make_cast
from tests.factories.banks import answer_all, bank_text, change, learn, publish, published
from tests.factories.machines import POINTS, KindFactory, MachineFactory, asks
from tests.factories.people import EnrolmentFactory, SectionFactory, TermFactory
from tests.rules.clearance_model import model

SCHOOL = ZoneInfo("America/Chicago")
DAY, SECOND = timedelta(days=1), timedelta(seconds=1)
# In autumn the clocks go back on 1 November; in spring there is a 29 February and the clocks go forward on 12 March.
STARTS = [datetime(2026, 10, 20, 10, tzinfo=SCHOOL), datetime(2028, 2, 22, 10, tzinfo=SCHOOL)]
LOOKS_BACK = 3  # steps between two looks at the past
NIGHTLY = os.environ.get("HYPOTHESIS_PROFILE") == "nightly"

students, machines, kinds, banks = (st.integers(0, last) for last in (1, 2, 1, 2))
pick = st.integers(0, 10**6)


def midnight_after(day: date) -> datetime:
    return datetime.combine(day + DAY, datetime.min.time(), SCHOOL).astimezone(UTC)


def tried(act: Callable[..., Any], **asked: Any) -> tuple[Any, str]:
    """What the act returned, and an empty code; or nothing, and the code of the refusal."""
    try:
        return act(**asked), ""
    except Refused as refusal:
        return None, refusal.code


class Shop(RuleBasedStateMachine):
    """Two students, two band saws and a drill press, three quizzes, two terms one after the other."""

    steps = 0

    @initialize(start=st.sampled_from(STARTS))
    def open(self, start: datetime) -> None:
        self.whole = transaction.savepoint_create()
        self.now = start.astimezone(UTC)
        cast = self.cast = make_cast()
        first = start.date() - 30 * DAY
        self.terms = [(first, first + 50 * DAY), (first + 51 * DAY, first + 120 * DAY)]
        self.sections = []
        for begins, ends in self.terms:
            term = TermFactory(school=cast.school, first_day=begins, last_day=ends)
            section = SectionFactory(shop=cast.shop, term=term)
            section.teachers.add(cast.teacher, cast.colleague)
            for student in (cast.student, cast.classmate):
                EnrolmentFactory(section=section, student=student, from_day=begins)
            self.sections.append(section)
        cast.student.enrolments.filter(section=cast.section).delete()
        cast.classmate.enrolments.filter(section=cast.section).delete()
        self.early = self.now - 20 * DAY
        self.set_up()
        self.nothing_done_yet()

    def set_up(self) -> None:
        """The banks, the kinds, the machines."""
        cast, early = self.cast, self.early
        texts = [bank_text(code=code, rules=1, ask=1) for code in ("general", "band-saw", "drill-press")]
        self.banks: list[Bank] = [published(cast.teacher, text, early) for text in texts]
        saw = KindFactory(school=cast.school, name="Band saw", bank=self.banks[1])
        drill = KindFactory(school=cast.school, name="Drill press", bank=self.banks[2])
        self.kinds: list[MachineKind] = [saw, drill]
        self.machines: list[Machine] = [
            MachineFactory(shop=cast.shop, kind=kind, number=n, added_at=early)
            for n, kind in enumerate([saw, saw, drill])
        ]
        self.students: list[Person] = [cast.student, cast.classmate]
        self.teachers = [cast.teacher, cast.colleague]

    def nothing_done_yet(self) -> None:
        """What was done, as the model knows it."""
        early = self.early
        self.editions = [(bank.pk, 1, early, None) for bank in self.banks]
        self.asked: list[tuple[int, datetime, dict[str, Any]]] = []
        for kind in self.kinds:
            asks(kind, self.banks[0], kind.bank, holds_from=early, set_at=early)
            plain = {"banks": [self.banks[0], kind.bank], "first": [], "agreement": True, "demonstration": "machine",
                     "ends_with": "term", "refresh_days": None, "unused_days": None}  # fmt: skip
            self.asked.append((kind.pk, early, plain))
        self.passes: list[dict[str, Any]] = []
        self.tries: list[tuple[int, int, datetime]] = []
        self.agreements: list[tuple[int, datetime]] = []
        self.signed: list[dict[str, Any]] = []
        self.holds: list[dict[str, Any]] = []
        self.out: dict[int, Any] = {}
        self.past: list[tuple[datetime, list[str]]] = []

    def teardown(self) -> None:
        if hasattr(self, "whole"):
            assert verify().holds
            transaction.savepoint_rollback(self.whole)

    # --- the model --------------------------------------------------------------------------------------------------

    def evidence(self, student: int, at: datetime) -> facts.Evidence:
        year = at.astimezone(SCHOOL)
        begins = [
            datetime(y, 8, 1, tzinfo=SCHOOL).astimezone(UTC)
            for y in (year.year - 2, year.year - 1, year.year, year.year + 1)
        ]

        def school_year(when: datetime) -> tuple[datetime, datetime]:
            return next((a, b) for a, b in pairwise(begins) if a <= when < b)

        def counts_until(bank: int, number: int) -> datetime | None:
            later = [end for b, n, out, end in self.editions if b == bank and n > number and out <= at and end]
            return min(later, default=None)

        def term_ends(when: datetime) -> datetime:
            day = when.astimezone(SCHOOL).date()
            return next(midnight_after(last) for first, last in self.terms if first <= day <= last)

        pk = self.students[student].pk
        return facts.Evidence(
            "America/Chicago",
            tuple(facts.Pass(p["bank"], p["at"], counts_until(p["bank"], p["number"]), p["gone"], p["refresher"])
                  for p in self.passes if p["student"] == pk and p["at"] <= at),
            tuple(facts.Try(bank, when) for who, bank, when in self.tries if who == pk),
            tuple(facts.Agreement(when, *school_year(when)) for who, when in self.agreements if who == pk),
            tuple(facts.SignOff(s["machine"].pk, s["machine"].kind_id, s["at"], "", term_ends(s["at"]),
                                school_year(s["at"])[1], s["gone"])
                  for s in self.signed if s["student"] == pk and s["at"] <= at),
            (),
            tuple(facts.Hold(h["at"], h["machines"], until=h["until"], lifted_at=h["gone"])
                  for h in self.holds if h["student"] == pk),
        )  # fmt: skip

    def requirements(self, machine: Machine, at: datetime) -> facts.Requirements:
        said = [said for kind, since, said in self.asked if kind == machine.kind_id and since <= at]
        fields = dict(said[-1])
        ready = {bank.pk: bank.subject for bank in fields.pop("banks")}
        first = tuple(
            facts.First(kind.name, tuple(self.requirements(one, at) for one in self.machines if one.kind_id == kind.pk))
            for kind in fields.pop("first")
        )
        asked = tuple(facts.BankAsked(pk, subject) for pk, subject in ready.items())
        return facts.Requirements(machine.pk, machine.kind_id, "", asked, machine.kind.bank_id, first, **fields)

    def should_be(self, student: int, machine: Machine, at: datetime) -> str:
        return model(self.requirements(machine, at), self.evidence(student, at), at)

    # --- the program ------------------------------------------------------------------------------------------------

    def answers(self, at: datetime) -> list[str]:
        found = matrix(self.students, self.machines, self.cast.school, at).answers
        return [found[student.pk, machine.pk].standing.value for student in self.students for machine in self.machines]

    @invariant()
    def agrees_now_and_then(self) -> None:
        if not hasattr(self, "whole"):
            return
        Shop.steps += 1
        now = self.answers(self.now)
        assert now == [self.should_be(n, machine, self.now) for n in (0, 1) for machine in self.machines]
        self.past.append((self.now, now))
        if len(self.past) % LOOKS_BACK == 0:
            then, was = self.past[len(self.past) * 7 // 11]
            assert self.answers(then) == was
        self.now += SECOND

    # --- time -------------------------------------------------------------------------------------------------------

    @rule(seconds=st.integers(1, 90_000))
    def wait(self, seconds: int) -> None:
        self.now += timedelta(seconds=seconds)

    @rule(which=pick, nudge=st.sampled_from([-2, -1, 0, 1]))
    def go_to_a_boundary(self, which: int, nudge: int) -> None:
        """The end of a term, the day a refresher falls due, a hold or an edition runs out: a second before or after."""
        days = {said[name] for _, _, said in self.asked for name in ("refresh_days", "unused_days") if said[name]}
        since = [one["at"] for one in (*self.signed, *self.passes)]
        ends = [midnight_after(when.astimezone(SCHOOL).date() + n * DAY) for when in since for n in days]
        ends += [midnight_after(last) for _, last in self.terms] + [since for _, since, _ in self.asked]
        ends += [h["until"] for h in self.holds if h["until"]] + [end for *_, end in self.editions if end]
        ahead = sorted(end + timedelta(seconds=nudge) for end in ends if end + timedelta(seconds=nudge) > self.now)
        if ahead:
            self.now = ahead[which % min(len(ahead), 3)]

    # --- acts -------------------------------------------------------------------------------------------------------

    @rule(student=students)
    def bring_the_agreement(self, student: int) -> None:
        who, today = self.students[student], self.now.astimezone(SCHOOL).date()
        at, by = self.now, self.teachers[0]
        _, code = tried(record_agreement, section=self.sections[0], students=[who], signed_on=today, by=by, at=at)
        assert code in ("", "agreement.recorded-already")
        if not code:
            self.agreements.append((who.pk, self.now))

    @rule(student=students, bank=banks, refresher=st.booleans())
    def pass_a_quiz(self, student: int, bank: int, refresher: bool) -> None:
        self.take(student, bank, refresher=refresher, again=False)

    @rule(student=students, bank=banks)
    def pass_it_again(self, student: int, bank: int) -> None:
        self.take(student, bank, refresher=False, again=True)

    def take(self, student: int, bank: int, **how: bool) -> None:
        who, one = self.students[student], self.banks[bank]
        try:
            attempt = start_attempt(student=who, bank=one.pk, at=self.now, **how)
        except Refused:
            return
        answer_all(attempt, self.now)
        attempt = hand_in(student=who, attempt=attempt.pk, at=self.now)
        self.tries.append((who.pk, one.pk, self.now))
        self.passes.append({"student": who.pk, "bank": one.pk, "number": attempt.edition.number, "at": self.now,
                            "gone": None, "refresher": attempt.purpose == "refresher", "attempt": attempt})  # fmt: skip

    @rule(student=students, bank=banks)
    def miss_a_quiz(self, student: int, bank: int) -> None:
        who, one = self.students[student], self.banks[bank]
        try:
            attempt = start_attempt(student=who, bank=one.pk, at=self.now)
        except Refused:
            return
        answer_all(attempt, self.now, wrong=["r0"])
        missed = hand_in(student=who, attempt=attempt.pk, at=self.now)
        self.tries.append((who.pk, one.pk, self.now))
        self.now += SECOND
        learn(missed, self.now)

    @rule(which=pick)
    def take_a_pass_back(self, which: int) -> None:
        standing = [one for one in self.passes if one["gone"] is None]
        if standing:
            one = standing[which % len(standing)]
            void_attempt(by=self.teachers[0], attempt=one["attempt"].pk, reason="Was helped.", at=self.now)
            one["gone"] = self.now

    @rule(bank=banks, earlier=st.sampled_from(["count", "until", "stop"]), days=st.integers(0, 4))
    def publish_an_edition(self, bank: int, earlier: str, days: int) -> None:
        one, number = self.banks[bank], sum(pk == self.banks[bank].pk for pk, *_ in self.editions) + 1
        change(one, bank_text(code=one.code, rules=1, ask=1, subject=one.subject, about=f"As of edition {number}."))
        last = self.now.astimezone(SCHOOL).date() + days * DAY
        publish(one, self.teachers[0], self.now, earlier, until=last if earlier == "until" else None)
        ends = {"count": None, "until": midnight_after(last), "stop": self.now}[earlier]
        self.editions.append((one.pk, number, self.now, ends))

    @rule(student=students, machine=machines, teacher=students)
    def sign_off(self, student: int, machine: int, teacher: int) -> None:
        """Goes through exactly where nothing else is missing, in a running class, on a machine in service."""
        who, where = self.students[student], self.machines[machine]
        new = {"student": who.pk, "machine": where, "at": self.now, "gone": None, "by": self.teachers[teacher]}
        day = self.now.astimezone(SCHOOL).date()
        runs = any(first <= day <= last for first, last in self.terms)
        due = runs and where.pk not in self.out and self.should_be(student, where, self.now) != "cleared"
        if due:
            self.signed.append(new)
            due = self.should_be(student, where, self.now) == "cleared"
            if not due:
                self.signed.remove(new)
        new["row"], code = tried(
            sign_off, student=who, machine=where, by=new["by"], ticked=POINTS, tap=uuid.uuid4(), at=self.now
        )
        assert due == (code == ""), code

    @rule(student=students, machine=machines)
    def certify(self, student: int, machine: int) -> None:
        """Everything there is to do for one machine, one after the other."""
        self.bring_the_agreement(student)
        for bank in (0, 1, 2):
            self.take(student, bank, refresher=False, again=True)
            self.now += SECOND
        self.sign_off(student, machine, 0)

    @rule(which=pick, undo=st.booleans())
    def take_a_sign_off_back(self, which: int, undo: bool) -> None:
        standing = [one for one in self.signed if one["gone"] is None]
        if not standing:
            return
        one = standing[which % len(standing)]
        in_time = self.now < one["at"] + timedelta(minutes=10)
        if undo:
            _, code = tried(undo_sign_off, sign_off=one["row"], by=one["by"], at=self.now)
            assert in_time == (code == ""), code
        else:
            withdraw_sign_off(sign_off=one["row"], by=self.teachers[1], reason="Wrong one.", at=self.now)
        if in_time or not undo:
            one["gone"] = self.now

    @rule(student=students, on=st.none() | st.sets(machines, min_size=1), days=st.none() | st.integers(0, 3))
    def hold(self, student: int, on: set[int] | None, days: int | None) -> None:
        who, where = self.students[student], None if on is None else [self.machines[n] for n in sorted(on)]
        last = None if days is None else self.now.astimezone(SCHOOL).date() + days * DAY
        row = place_hold(
            student=who, machines=where, reason="horseplay", lifts="talk" if last is None else "date", last_day=last,
            by=self.teachers[0], tap=uuid.uuid4(), at=self.now,
        )  # fmt: skip
        covered = None if where is None else frozenset(one.pk for one in where)
        until = midnight_after(last) if last else None
        placed = {"student": who.pk, "machines": covered, "at": self.now, "until": until, "gone": None, "row": row}
        self.holds.append(placed)

    @rule(which=pick)
    def lift(self, which: int) -> None:
        running = [h for h in self.holds if h["gone"] is None and (h["until"] is None or self.now < h["until"])]
        if running:
            one = running[which % len(running)]
            lift_hold(hold=one["row"], by=self.teachers[1], words="We talked.", at=self.now)
            one["gone"] = self.now

    @rule(machine=machines)
    def tag_out_or_return(self, machine: int) -> None:
        """It changes nobody's clearance, only who may be signed off."""
        where = self.machines[machine]
        if where.pk in self.out:
            return_to_service(tag_out=self.out.pop(where.pk), inspection="Mended.", by=self.teachers[0], at=self.now)
        else:
            self.out[where.pk] = tag_out(
                machine=where, reason="Blade cracked.", by=self.teachers[0], tap=uuid.uuid4(), at=self.now
            )

    @rule(
        kind=kinds,
        asked=st.sets(banks),
        first=st.booleans(),
        said=st.fixed_dictionaries(
            {
                "agreement": st.booleans(),
                "demonstration": st.sampled_from(["machine", "kind"]),
                "ends_with": st.sampled_from(["term", "year", "never"]),
                "refresh_days": st.none() | st.integers(1, 20),
                "unused_days": st.none() | st.integers(1, 20),
            }
        ),
        days=st.sampled_from([0, 0, 1, 5]),
    )
    def ask_for_something_else(self, kind: int, asked: set[int], first: bool, said: dict[str, Any], days: int) -> None:
        one, other = self.kinds[kind], self.kinds[1 - kind]
        since = midnight_after(self.now.astimezone(SCHOOL).date() + (days - 1) * DAY) if days else self.now
        wanted = Requirements(kind=one, holds_from=since, **said)
        things = [*(self.banks[n] for n in sorted(asked)), *([other] if first else [])]
        _, code = tried(set_requirements, wanted=wanted, asked=things, by=self.teachers[0], at=self.now)
        assert code in ("", "requirements.circle")
        if not code:
            said = said | {"banks": [self.banks[n] for n in sorted(asked)], "first": [other] if first else []}
            self.asked.append((one.pk, since, said))
            self.asked.sort(key=lambda row: row[1])


# Quick tells what it found at once; nightly takes the minutes to make the story short.
QUICK = {"phases": [Phase.generate], "max_examples": 6, "stateful_step_count": 50, "derandomize": True}
LONG = {"max_examples": int(os.environ.get("MACHINE_EXAMPLES", "3000")), "stateful_step_count": 60}


@pytest.mark.django_db
def test_every_order_of_acts_agrees_with_the_model() -> None:
    """A few hundred steps; with HYPOTHESIS_PROFILE=nightly more than 100,000."""
    Shop.steps = 0
    checks = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
    how = settings(**(LONG if NIGHTLY else QUICK), deadline=None, suppress_health_check=checks, database=None)
    run_state_machine_as_test(Shop, settings=how)
    print(f"{Shop.steps} steps")
    print(f"{Shop.steps} steps")
    assert Shop.steps > 100
