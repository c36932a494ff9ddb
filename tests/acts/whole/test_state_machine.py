"""Every act in any order at any moment, against a short model that never looks into the database.

`History` keeps plain lists of what was done and judges them with `clearance_model`; the program is asked through the
database, by the same query the register uses. After each step every student and machine must agree, and so must now
and then a moment of the past, which no later act may change.

The school is built once for a test. Each story begins in it again: what the last one did is rolled back.
"""

import os
import random
import uuid
from collections import Counter
from collections.abc import Callable, Collection
from copy import copy
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from machines.clearance.queries import matrix
from machines.holds.acts import lift_hold, place_hold
from machines.models import Requirements
from machines.setting_up.acts.requirements import set_requirements
from machines.sign_offs.acts import sign_off, undo_sign_off, withdraw_sign_off
from machines.tag_outs.acts import tag_out
from quizzes.attempts.acts import hand_in, start_attempt, void_attempt
from quizzes.models import Attempt
from quizzes.relearning.acts import release_student
from shopsafe.school.people.acts.documents import record_document, withdraw_document
from shopsafe.school.refusals import Refused
from tests.acts.whole.sample_school import DAY, SECOND, History, midnight_after, school_day, school_year
from tests.acts.whole.small_school import STARTS, Ground
from tests.factories.banks import answer_all, bank_text, change, learn, publish
from tests.factories.machines import POINTS
from tests.factories.reports.inspections import returned
from tests.logbook.record import chain_holds

LOOKS_BACK = 5  # steps between two looks at the past

students, machines, kinds, banks = (st.integers(0, last) for last in (1, 2, 1, 2))
pick = st.integers(0, 10**6)
# What costs much and changes little, or little that a story can show in the steps it has.
now_and_then = precondition(lambda self: len(self.past) % 3 == 0)
nudges = st.sampled_from([-2, -1, 0, 1])


def tried(act: Callable[..., Any], **asked: Any) -> tuple[Any, str]:
    """What the act returned, and an empty code; or nothing, and the code of the refusal."""
    try:
        return act(**asked), ""
    except Refused as refusal:
        return None, refusal.code


class Story(RuleBasedStateMachine):
    """What may happen in that school. `ground` is set by the test."""

    ground: Ground
    met: Counter[str]  # how many steps ended with someone in each standing, and how each act went

    def __init__(self) -> None:
        super().__init__()
        ground = self.ground
        self.whole = transaction.savepoint_create()
        self.now, self.told = ground.now, ground.told.copy()
        self.banks = [copy(bank) for bank in ground.banks]  # a story counts the revisions of a draft on
        self.kinds, self.machines = ground.kinds, ground.machines
        self.students, self.teachers = ground.students, ground.teachers
        self.past: list[tuple[datetime, list[str]]] = []

    def teardown(self) -> None:
        try:
            assert chain_holds()
        finally:
            transaction.savepoint_rollback(self.whole)

    def one_is_cleared(self) -> tuple[History, datetime]:
        """How every story begins: a student has done nothing yet, a classmate all there is to do."""
        for machine in range(len(self.machines)):
            self.certify(1, machine)
        return self.told, self.now

    # --- what must hold ---------------------------------------------------------------------------------------------

    def answers(self, at: datetime) -> list[str]:
        answers = matrix(self.students, self.machines, self.ground.school, at).answers
        return [
            answers[student.pk, machine.pk].standing.value for student in self.students for machine in self.machines
        ]

    @invariant()
    def agrees_now_and_then(self) -> None:
        now = self.answers(self.now)
        assert now == self.told.standings(self.now)
        self.past.append((self.now, now))
        self.met.update({"steps", *now, "class" if self.told.runs(self.now) else "no class"})
        if len(self.past) % LOOKS_BACK == 0:
            past_moment, was = self.past[len(self.past) * 7 // 11]
            assert self.answers(past_moment) == was
        self.now += SECOND

    # --- time -------------------------------------------------------------------------------------------------------

    @rule(seconds=st.integers(1, 90_000))
    def wait(self, seconds: int) -> None:
        self.now += timedelta(seconds=seconds)

    @rule(which=pick, nudge=nudges)
    def go_to_a_boundary(self, which: int, nudge: int) -> None:
        """Whatever ends next, a second or two before or after."""
        self.go_to([end for ends in self.told.endings().values() for end in ends], which, nudge)

    @precondition(lambda self: self.told.signed)
    @rule(which=pick, nudge=nudges)
    def go_where_the_days_run_out(self, which: int, nudge: int) -> None:
        self.go_to(self.told.endings()["days"], which, nudge)

    @precondition(lambda self: self.told.holds)
    @rule(which=pick, nudge=nudges)
    def go_to_the_end_of_a_hold(self, which: int, nudge: int) -> None:
        self.go_to(self.told.endings()["holds"], which, nudge)

    @precondition(lambda self: len(self.told.editions) > len(self.banks) or len(self.told.asked) > len(self.kinds))
    @rule(which=pick, nudge=nudges)
    def go_where_other_rules_begin(self, which: int, nudge: int) -> None:
        self.go_to(self.told.endings()["rules"], which, nudge)

    def go_to(self, ends: list[datetime], which: int, nudge: int) -> None:
        ahead = sorted({end + nudge * SECOND for end in ends if end + nudge * SECOND > self.now})
        self.now = ahead[which % min(len(ahead), 3)] if ahead else self.now

    # --- acts -------------------------------------------------------------------------------------------------------

    def went(self, act: str, code: str = "") -> bool:
        """Counts how the act went; true if it did what was asked."""
        self.met[f"{act}: {code or 'went'}"] += 1
        return not code

    @precondition(lambda self: not all(self.agreement_of(student) for student in (0, 1)))
    @rule(student=students)
    def bring_the_agreement(self, student: int) -> None:
        who, section, today = self.students[student], self.ground.sections[0], school_day(self.now)
        asked = {"section": section, "students": [who], "signed_on": today, "by": self.teachers[0], "at": self.now}
        _, code = tried(record_document, **asked)
        assert code == ("document.recorded-already" if self.agreement_of(student) else "")
        if self.went("agreement", code):
            self.told.agreements.append({"student": who.pk, "at": self.now, "gone": None})

    @precondition(lambda self: any(self.agreement_of(student) for student in (0, 1)))
    @rule(student=students)
    def take_an_agreement_back(self, student: int) -> None:
        agreement = self.agreement_of(student)
        asked = {"section": self.ground.sections[0], "student": self.students[student], "by": self.teachers[1]}
        _, code = tried(withdraw_document, **asked, reason="Another family's.", at=self.now)
        assert code == ("" if agreement else "document.none")
        if self.went("agreement back", code) and agreement:
            agreement["gone"] = self.now

    def agreement_of(self, student: int) -> dict[str, Any] | None:
        """The one for this school year that was not taken back."""
        pk, year = self.students[student].pk, school_year(self.now)
        here = (a for a in self.told.agreements if a["student"] == pk and school_year(a["at"]) == year)
        return next((a for a in here if a["gone"] is None), None)

    @rule(student=students, bank=banks, again=st.booleans())
    def pass_a_quiz(self, student: int, bank: int, again: bool) -> None:
        self.take(student, bank, again=again)

    @precondition(lambda self: any(quiz_pass["gone"] is None for quiz_pass in self.told.passes))
    @rule(which=pick, alone=st.booleans())
    def pass_a_refresher(self, which: int, alone: bool) -> None:
        """Where there is a pass to refresh; which may be taken back after it, and then the refresher stands alone."""
        quiz_pass = self.one_of(self.told.passes, which)
        student = [who.pk for who in self.students].index(quiz_pass["student"])
        self.take(student, [bank.pk for bank in self.banks].index(quiz_pass["bank"]), refresher=True)
        for other in self.told.passes if alone else []:
            same = (other["student"], other["bank"]) == (quiz_pass["student"], quiz_pass["bank"])
            if same and other["gone"] is None and not other["refresher"]:
                self.void(other)

    @rule(student=students, bank=banks, refresher=st.booleans(), again=st.booleans())
    def miss_a_quiz(self, student: int, bank: int, refresher: bool, again: bool) -> None:
        """The missed rule's card is read at once; after a second miss in a day the teacher lets the student go on."""
        missed = self.take(student, bank, wrong=["r0"], refresher=refresher, again=again)
        if missed is not None:
            self.now += SECOND
            learn(missed, self.now)
            _, code = tried(release_student, by=self.teachers[0], attempt=missed.pk, at=self.now)
            self.went("release", code)

    def take(self, student: int, bank: int, wrong: Collection[str] = (), **how: bool) -> Attempt | None:
        """None where the student may not start: that is asked for elsewhere."""
        who, stored_bank = self.students[student], self.banks[bank]
        attempt, code = tried(start_attempt, student=who, bank=stored_bank.pk, at=self.now, **how)
        if not self.went("quiz", code):
            return None
        answer_all(attempt, self.now, wrong)
        attempt = hand_in(student=who, attempt=attempt.pk, at=self.now)
        self.told.tries.append((who.pk, stored_bank.pk, self.now))
        if not wrong:
            kept = {"student": who.pk, "bank": stored_bank.pk, "number": attempt.edition.number, "row": attempt.pk}
            kept |= {"at": self.now, "gone": None, "refresher": attempt.purpose == "refresher"}
            self.told.passes.append(kept)
        return attempt

    @precondition(lambda self: any(quiz_pass["gone"] is None for quiz_pass in self.told.passes))
    @rule(which=pick)
    def take_a_pass_back(self, which: int) -> None:
        self.void(self.one_of(self.told.passes, which))

    def void(self, quiz_pass: dict[str, Any]) -> None:
        void_attempt(by=self.teachers[0], attempt=quiz_pass["row"], reason="Was helped.", at=self.now)
        quiz_pass["gone"] = self.now

    def one_of(self, rows: list[dict[str, Any]], which: int) -> dict[str, Any]:
        """One of those that were not taken back."""
        standing = [candidate for candidate in rows if candidate["gone"] is None]
        return standing[which % len(standing)]

    @rule(bank=banks, earlier=st.sampled_from(["count", "until", "stop"]), days=st.integers(0, 4))
    def publish_an_edition(self, bank: int, earlier: str, days: int) -> None:
        stored_bank, known_school = self.banks[bank], self.told
        number = sum(pk == stored_bank.pk for pk, *_ in known_school.editions) + 1
        change(
            stored_bank,
            bank_text(
                code=stored_bank.code, rules=1, ask=1, subject=stored_bank.subject, about=f"As of edition {number}."
            ),
        )
        last = school_day(self.now) + days * DAY
        publish(stored_bank, self.teachers[0], self.now, earlier, until=last if earlier == "until" else None)
        ends = {"count": None, "until": midnight_after(last), "stop": self.now}[earlier]
        known_school.editions.append((stored_bank.pk, number, self.now, ends))

    @rule(student=students, machine=machines, teacher=students)
    def sign_off(self, student: int, machine: int, teacher: int) -> None:
        """Goes through exactly where nothing else is missing."""
        who, where, by = self.students[student], self.machines[machine], self.teachers[teacher]
        new = {"student": who.pk, "machine": where, "at": self.now, "gone": None, "by": by}
        due = self.told.may_be_signed(new, student, self.now)
        asked = {"student": who, "machine": where, "by": by, "ticked": POINTS, "tap": uuid.uuid4(), "at": self.now}
        new["row"], code = tried(sign_off, **asked)
        assert due == (code == ""), code
        if self.went("sign-off", code):
            self.told.signed.append(new)

    @precondition(lambda self: {"ready for sign-off", "expired"} & set(self.past[-1][1]))
    @rule(which=pick)
    def sign_off_who_waits(self, which: int) -> None:
        """As above, where it mostly goes through."""
        waiting = [n for n, standing in enumerate(self.past[-1][1]) if standing in ("ready for sign-off", "expired")]
        student, machine = divmod(waiting[which % len(waiting)], len(self.machines))
        self.sign_off(student, machine, which % 2)

    @rule(student=students, machine=machines)
    def certify(self, student: int, machine: int) -> None:
        """What is left to do for one machine, one after the other."""
        if not self.agreement_of(student):
            self.bring_the_agreement(student)
        asked = self.told.requirements(self.machines[machine], self.now).banks
        for bank in [n for n, stored_bank in enumerate(self.banks) if any(it.bank == stored_bank.pk for it in asked)]:
            self.take(student, bank)
            self.now += SECOND
        self.sign_off(student, machine, 0)

    @precondition(lambda self: any(signed["gone"] is None for signed in self.told.signed))
    @rule(which=pick, undo=st.booleans(), wait=st.sampled_from([0, 0, 599, 600]))
    def take_a_sign_off_back(self, which: int, undo: bool, wait: int) -> None:
        """By its signer, within ten minutes; or by any teacher of the shop, with a reason."""
        signed = self.one_of(self.told.signed, which)
        self.now = max(self.now, signed["at"] + wait * SECOND)
        in_time = self.now < signed["at"] + timedelta(minutes=10)
        if undo:
            _, code = tried(undo_sign_off, sign_off=signed["row"], by=signed["by"], at=self.now)
            assert in_time == (code == ""), code
            self.went("undo", code)
        else:
            withdraw_sign_off(sign_off=signed["row"], by=self.teachers[1], reason="Wrong one.", at=self.now)
        if in_time or not undo:
            signed["gone"] = self.now

    @rule(student=students, on=st.none() | st.sets(machines, min_size=1), days=st.none() | st.integers(0, 3))
    def hold(self, student: int, on: set[int] | None, days: int | None) -> None:
        who, where = self.students[student], None if on is None else [self.machines[n] for n in sorted(on)]
        last = None if days is None else school_day(self.now) + days * DAY
        row = place_hold(
            student=who, machines=where, reason="horseplay", lifts="talk" if last is None else "date", last_day=last,
            by=self.teachers[0], tap=uuid.uuid4(), at=self.now,
        )  # fmt: skip
        covered = None if where is None else frozenset(machine.pk for machine in where)
        until = midnight_after(last) if last else None
        placed = {"student": who.pk, "machines": covered, "at": self.now, "until": until, "gone": None, "row": row}
        self.told.holds.append(placed)

    @precondition(lambda self: any(placed_hold["gone"] is None for placed_hold in self.told.holds))
    @rule(which=pick)
    def lift(self, which: int) -> None:
        placed_hold = self.one_of(self.told.holds, which)
        _, code = tried(lift_hold, hold=placed_hold["row"], by=self.teachers[1], words="We talked.", at=self.now)
        assert code == ("" if placed_hold["until"] is None or self.now < placed_hold["until"] else "hold.over")
        if self.went("lift", code):
            placed_hold["gone"] = self.now

    @now_and_then
    @rule(machine=machines)
    def tag_out_or_return(self, machine: int) -> None:
        """It changes no one's clearance, only who may be signed off. One machine at a time."""
        where, tag_outs, by = self.machines[machine], self.told.out, self.teachers[0]
        if tag_outs:
            returned(tag_outs.popitem()[1], by, self.now)
        else:
            tag_outs[where.pk] = tag_out(machine=where, reason="Blade cracked.", by=by, tap=uuid.uuid4(), at=self.now)

    @now_and_then
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
        stored_kind, other_kind = self.kinds[kind], self.kinds[1 - kind]
        since = midnight_after(school_day(self.now) + (days - 1) * DAY) if days else self.now
        requirements, quizzes = (
            Requirements(kind=stored_kind, holds_from=since, **said),
            [self.banks[n] for n in sorted(asked)],
        )
        things = [*quizzes, *([other_kind] if first else [])]
        _, code = tried(set_requirements, wanted=requirements, asked=things, by=self.teachers[0], at=self.now)
        assert code in ("", "requirements.circle")
        if self.went("requirements", code):
            self.told.asks(stored_kind, since, quizzes, **said, first=[other_kind] if first else [])


# Quick tells what it found at once; nightly takes the minutes to make the story short.
NIGHTLY = os.environ.get("HYPOTHESIS_PROFILE") == "nightly"
STEPS = 50  # of one story
LEAST = 34 if NIGHTLY else STEPS - 10  # steps on average: stories drawn again are sometimes shorter
QUICK = {"phases": [Phase.generate], "derandomize": True}
STANDINGS = ("cleared", "expired", "on hold", "ready for sign-off", "in training", "not started")


def how_many() -> int:
    """Stories a test: PostgreSQL, which differs in how it stores and not in what is decided, tells fewer."""
    if NIGHTLY:
        return int(os.environ.get("MACHINE_EXAMPLES", "1000"))
    return 1 if connection.vendor == "postgresql" else 5


@pytest.mark.django_db
@pytest.mark.parametrize("start", STARTS)
def test_every_order_of_acts_agrees_with_the_model(start: str) -> None:
    """In all more than 700 steps, some 150 on PostgreSQL; and more than 100,000 by `make nightly`, or alone by

        HYPOTHESIS_PROFILE=nightly python -m pytest -s tests/acts/whole/test_state_machine.py

    which draws other stories every time. It prints the seed (MACHINE_SEED repeats it), the steps, where they led and
    how the acts went. MACHINE_EXAMPLES is the number of stories of each of the three tests.
    """
    number = int(os.environ.get("MACHINE_SEED") or (random.randrange(2**32) if NIGHTLY else [*STARTS].index(start)))
    met: Counter[str] = Counter()
    story = seed(number)(type("Story", (Story,), {"ground": Ground(STARTS[start]), "met": met}))
    story.ground.told, story.ground.now = story().one_is_cleared()
    checks = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
    how = settings(**({} if NIGHTLY else QUICK), max_examples=how_many(), stateful_step_count=STEPS, deadline=None,
                   suppress_health_check=checks, database=None)  # fmt: skip
    try:
        run_state_machine_as_test(story, settings=how)
    finally:
        print(f"{start}, seed {number}:", *(f"{count} {what}" for what, count in met.most_common()), sep="\n  ")
    assert met["steps"] > LEAST * how_many()
    assert how_many() < 5 or all(met[standing] for standing in STANDINGS)
