"""Where each student stands with each quiz: passes, misses, cards read, and who waits for a teacher."""

import random
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.db.models import Count
from django.http import Http404

from quizzes.access import attempts_for
from quizzes.banks.editions.queries import Publications, latest_editions, publications
from quizzes.banks.editions.texts import text_of
from quizzes.banks.rules.counting import counts_until
from quizzes.facts import FormQuestion, Pass, Rule
from quizzes.models import Attempt, Edition, RuleRead
from quizzes.questions.assembly import form_question
from quizzes.relearning.rules.next_attempt import PastAttempt, Step, next_step
from quizzes.relearning.rules.study_check import check_question
from shopsafe.database.plain_rows import moment, plain_rows
from shopsafe.school.models import Person

# One row an attempt that was begun by then and was no practice; the last column: it is perfect, and stood by then.
ATTEMPTS = """
SELECT attempt.student_id, attempt.bank_id, edition.number, CAST(attempt.handed_in_at AS text), attempt.entry_id,
       attempt.purpose = 'refresher',
       attempt.perfect AND attempt.handed_in_at <= %(at)s
       AND (attempt.voided_at IS NULL OR attempt.voided_at > %(at)s)
  FROM quizzes_attempt attempt LEFT JOIN quizzes_edition edition ON edition.id = attempt.edition_id
 WHERE attempt.student_id IN ({ids}) AND NOT attempt.practice AND attempt.started_at <= %(at)s
"""


@dataclass(frozen=True, slots=True)
class AttemptedRows:
    """`perfect`: one row of ATTEMPTS a perfect attempt that stood at the moment; `ends`: (bank, edition) → when a pass
    on it stops counting; `begun`: (student, bank) of each attempt, whatever came of it."""

    perfect: list[tuple[Any, ...]]
    ends: dict[tuple[int, int], datetime | None]
    begun: set[tuple[Any, ...]]


def attempted_rows(student_ids: Collection[int], at: datetime, published: Publications | None = None) -> AttemptedRows:
    """What `attempted` is made of, as it comes from the database: for a whole school."""
    rows = plain_rows(ATTEMPTS, student_ids, at)
    perfect = [row for row in rows if row[-1]]
    editions = {row[1:3] for row in perfect}
    published = publications({bank for bank, _ in editions}, at) if published is None else published
    ends = {(bank, number): counts_until(number, published[bank]) for bank, number in editions}
    return AttemptedRows(perfect, ends, {row[:2] for row in rows})


def attempted(student_ids: Collection[int], at: datetime) -> tuple[list[Pass], set[tuple[Any, ...]]]:
    """Two things, by two queries, however many students:

    every perfect attempt that stood at `at`, also those that no longer count; what was voided or published after `at`
    is not known yet at `at`;
    and each (student, bank) with an attempt begun by `at`, whatever came of it.

    Practice is neither.
    """
    rows = attempted_rows(student_ids, at)
    passes = [
        Pass(student, bank, number, moment(handed_in), rows.ends[bank, number], entry, bool(refresher))
        for student, bank, number, handed_in, entry, refresher, _ in rows.perfect
    ]
    return passes, rows.begun


def passes(student_ids: Collection[int], at: datetime) -> list[Pass]:
    """The perfect attempts among `attempted`, the earliest first. Two queries."""
    return sorted(attempted(student_ids, at)[0], key=attrgetter("at"))


@dataclass(frozen=True, kw_only=True)
class BankStep:
    """One quiz of a student: the bank and what comes next."""

    bank: int
    code: str
    subject: str
    about: str
    edition: int
    questions: int
    step: Step


def bench(student: Person, at: datetime, published: Publications | None = None) -> tuple[BankStep, ...]:
    """Every quiz of the student's school with the student's next step. Four queries, however many banks; three
    where the editions of the school are at hand."""
    editions = list(latest_editions(student, at))
    step_by_bank = steps(student, at, editions, published)
    return tuple(_bank_step(edition, step_by_bank[edition.bank_id]) for edition in editions)


def _bank_step(edition: Edition, step: Step) -> BankStep:
    bank = text_of(edition).bank
    return BankStep(
        bank=edition.bank_id,
        code=bank.code,
        subject=bank.subject,
        about=bank.about,
        edition=edition.number,
        questions=bank.blueprint.ask,
        step=step,
    )


def steps(
    student: Person, at: datetime, editions: Iterable[Edition], published: Publications | None = None
) -> dict[int, Step]:
    """Bank → next step of one student, for these editions."""
    step_by_pair = steps_of([student.pk], at, editions, student.school.time_zone, published)
    return {bank: step for (_, bank), step in step_by_pair.items()}


def steps_of(
    student_ids: Collection[int],
    at: datetime,
    editions: Iterable[Edition],
    zone: str,
    published: Publications | None = None,
) -> dict[tuple[int, int], Step]:
    """(student, bank) → next step, for all of these students at all of these banks. Three queries."""
    editions = list(editions)
    went = _past_attempts(student_ids, at, {edition.bank_id for edition in editions}, published)
    return {
        (student, edition.bank_id): next_step(
            went.get((student, edition.bank_id), ()),
            text_of(edition).bank.blueprint,
            at,
            zone,
            practice=not edition.accepted,
        )
        for student in student_ids
        for edition in editions
    }


def answered_of(attempt: UUID) -> tuple[int, int]:
    """How many questions of an attempt are answered, and how many it asks. One query."""
    row = Attempt.objects.annotate(given=Count("answers")).only("form").get(pk=attempt)
    return row.given, len(row.form["lines"])


def step_of(attempt: Attempt, at: datetime) -> Step:
    """The next step of the attempt's student at the attempt's bank."""
    editions = latest_editions(attempt.student, at).filter(bank=attempt.bank_id)
    return steps(attempt.student, at, editions)[attempt.bank_id]


def _past_attempts(
    student_ids: Collection[int], at: datetime, bank_ids: Collection[int], published: Publications | None
) -> dict[tuple[int, int], list[PastAttempt]]:
    rows = list(
        Attempt.objects.filter(student_id__in=list(student_ids), bank_id__in=list(bank_ids))
        .filter(voided_at__isnull=True)
        .order_by("started_at", "pk")
        .values_list(
            "student_id",
            "bank_id",
            "pk",
            "edition__number",
            "handed_in_at",
            "perfect",
            "missed_rules",
            "release__released_at",
            "purpose",
            "practice",
            "paper_code",
        )
    )
    recalled, checked = _cards_read([row[2] for row in rows if row[6]])
    published = publications(bank_ids, at) if published is None else published
    attempts_by_pair: dict[tuple[int, int], list[PastAttempt]] = defaultdict(list)
    for student, bank, pk, number, handed_in_at, perfect, missed, released_at, purpose, practice, paper_code in rows:
        past_attempt = PastAttempt(
            id=pk,
            handed_in_at=handed_in_at,
            perfect=bool(perfect),
            missed_rules=tuple(missed),
            recalled=tuple(recalled.get(pk, ())),
            checked=tuple(checked.get(pk, ())),
            released_at=released_at,
            counts_until=counts_until(number, published[bank]) if perfect else None,
            refresher=purpose == Attempt.Purpose.REFRESHER,
            practice=practice,
            paper=paper_code != "",
        )
        attempts_by_pair[student, bank].append(past_attempt)
    return attempts_by_pair


RuleTimes = dict[UUID, list[tuple[str, datetime]]]


def _cards_read(attempt_ids: Collection[UUID]) -> tuple[RuleTimes, RuleTimes]:
    """Attempt → rule and moment, twice: the cards recalled, and the check questions answered."""
    recalled: RuleTimes = defaultdict(list)
    checked: RuleTimes = defaultdict(list)
    if attempt_ids:
        rows = RuleRead.objects.filter(attempt_id__in=list(attempt_ids))
        for attempt, rule, recalled_at, checked_at in rows.values_list(
            "attempt_id", "rule", "recalled_at", "checked_at"
        ):
            if recalled_at:
                recalled[attempt].append((rule, recalled_at))
            if checked_at:
                checked[attempt].append((rule, checked_at))
    return recalled, checked


def seen_questions(student_id: int, bank_id: int, until: datetime | None = None) -> Counter[str]:
    """Question → how often the student saw it: every form counts, voided ones too, and every check after one.

    `until`: only those of attempts begun by then.
    """
    seen: Counter[str] = Counter()
    attempts = Attempt.objects.filter(student=student_id, bank=bank_id)
    if until:
        attempts = attempts.filter(started_at__lte=until)
    for form in attempts.values_list("form", flat=True):
        seen.update(line["code"] for line in form["lines"])
    checks = RuleRead.objects.filter(attempt__in=attempts).exclude(checked_question="")
    seen.update(checks.values_list("checked_question", flat=True))
    return seen


def check_line(missed: Attempt, rule: str) -> FormQuestion:
    """The check's question on one missed rule, the same however often it is asked for."""
    dice = random.Random(f"{missed.seed} {rule}")  # noqa: S311  rebuilt from the attempt's seed
    asked = {line["code"] for line in missed.form["lines"]}
    seen = seen_questions(missed.student_id, missed.bank_id, missed.started_at)
    question = check_question(text_of(missed.edition).bank, rule, asked, seen, dice)
    return form_question(question, dice)


@dataclass(frozen=True, kw_only=True)
class WaitingStudent:
    """A student who can't go on without the teacher, with the rules that were missed."""

    student: Person
    subject: str
    attempt: UUID
    since: datetime
    rules: tuple[Rule, ...]
    cards: int  # still to be read


def waiting_for(teacher: Person, at: datetime) -> tuple[WaitingStudent, ...]:
    """The students in the teacher's reach who wait for a release, longest first."""
    editions = list(latest_editions(teacher, at))
    missed = attempts_for(teacher).filter(handed_in_at__lte=at, voided_at__isnull=True, perfect=False, release=None)
    candidates = {
        attempt.pk: attempt
        for attempt in missed.select_related("student", "edition__bank").defer("form", "edition__content")
    }
    students = {attempt.student_id for attempt in candidates.values()}
    step_by_pair = steps_of(students, at, editions, teacher.school.time_zone) if students else {}
    waiting = [
        candidates[step.attempt] for step in step_by_pair.values() if step.teacher and step.attempt in candidates
    ]
    left = {step.attempt: step.cards for step in step_by_pair.values()}
    return tuple(
        _waiting(attempt, left[attempt.pk]) for attempt in sorted(waiting, key=lambda attempt: attempt.started_at)
    )


def _waiting(attempt: Attempt, cards: int) -> WaitingStudent:
    if attempt.handed_in_at is None:
        raise Http404
    rules = text_of(attempt.edition).bank.rule_by_code
    return WaitingStudent(
        student=attempt.student,
        subject=attempt.edition.bank.subject,
        attempt=attempt.pk,
        since=attempt.handed_in_at,
        rules=tuple(rules[code] for code in attempt.missed_rules),
        cards=cards,
    )
