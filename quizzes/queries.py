"""What is asked of banks and attempts, set-wise: facts for machines, and rows that start from the asker."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import attrgetter, itemgetter
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.http import Http404

from quizzes.accepted import is_accepted
from quizzes.answering import Response, missing
from quizzes.counting import Publication, counts_until
from quizzes.editions import text_of
from quizzes.facts import EditionText, Line, Pass, Rule
from quizzes.formdata import lines_of
from quizzes.models import Acceptance, Answer, Attempt, Bank, Edition, Picture, RuleRead
from quizzes.retaking import Step, Went, next_step
from quizzes.showing import Asked, filled, in_words, show
from quizzes.translating import languages
from shopsafe.school import access
from shopsafe.school.models import Person
from shopsafe.school.plain_rows import moment, plain_rows
from shopsafe.school.refusals import Refused

# ---- rows, from the asker -------------------------------------------------------------------------------------------


def banks_for(person: Person) -> QuerySet[Bank]:
    """The banks of the asker's school; a student's are those with an edition."""
    banks = access.in_school(Bank.objects.all(), person)
    return banks.filter(editions__isnull=False).distinct() if person.is_student else banks


def bank_list(teacher: Person) -> QuerySet[Bank]:
    """The school's banks with `latest` (the number of the last edition, or None), `latest_at` and `accepted`."""
    newest = Edition.objects.filter(bank=OuterRef("pk")).order_by("-number")
    standing = Acceptance.objects.filter(edition=OuterRef("latest_pk"), taken_back_at=None)
    numbers = {"latest": "number", "latest_at": "published_at", "latest_pk": "pk"}
    return (
        banks_for(teacher)
        .annotate(**{name: Subquery(newest.values(field)[:1]) for name, field in numbers.items()})
        .annotate(accepted=Exists(standing))
        .defer("draft")
        .order_by("subject")
    )


def bank_named(name: str) -> Bank:
    """A bank for a command: by primary key, code or subject. Refused where there is none, or more than one."""
    by_name = Q(code=name) | Q(subject=name)
    found = list(Bank.objects.filter(by_name | Q(pk=int(name)) if name.isdecimal() else by_name)[:2])
    if len(found) != 1:
        which = "There is no bank" if not found else "There is more than one bank"
        raise Refused("bank.which", f"{which} “{name}”. Give its primary key.", 422)
    return found[0]


def attempts_for(person: Person) -> QuerySet[Attempt]:
    """A student's own; a teacher's, those of the students in reach."""
    attempts = access.in_school(Attempt.objects.all(), person)
    if person.is_student:
        return attempts.filter(student=person)
    if person.is_teacher:
        return attempts.filter(student__in=access.students_for(person))
    return attempts.none()


def attempt_for(person: Person, pk: UUID) -> Attempt:
    return access.one_of(attempts_for(person).select_related("edition", "student").defer("edition__content"), pk=pk)


def sheet_for(teacher: Person, pk: UUID) -> Attempt:
    """A quiz on paper, with all that prints or enters it."""
    rows = _on_paper(teacher).select_related("entered_by", "voided_by", "student__school")
    return access.one_of(rows, pk=pk)


def sheets_out(teacher: Person) -> QuerySet[Attempt]:
    """The quizzes on paper that nobody has entered yet, the latest first."""
    return _on_paper(teacher).filter(handed_in_at=None, voided_at=None).defer("form").order_by("-started_at")


def _on_paper(teacher: Person) -> QuerySet[Attempt]:
    rows = attempts_for(teacher).exclude(paper_code="").select_related("student", "edition__bank", "printed_by")
    return rows.defer("edition__content", "edition__bank__draft")


def picture_for(person: Person, digest: str, kind: str) -> Picture:
    return access.one_of(access.in_school(Picture.objects.all(), person), digest=digest, kind=kind)


def latest_editions(person: Person, at: datetime) -> QuerySet[Edition]:
    """The edition that is out of each bank of the asker's school, with `accepted`, by subject; content not loaded."""
    newest = Edition.objects.filter(bank=OuterRef("bank"), published_at__lte=at).order_by("-number")
    editions = access.in_school(Edition.objects.select_related("bank"), person)
    editions = editions.annotate(accepted=is_accepted(at))  # type: ignore[no-redef]  # the model declares it for pages
    return (
        editions.filter(pk=Subquery(newest.values("pk")[:1])).defer("content", "bank__draft").order_by("bank__subject")
    )


def languages_of(person: Person, at: datetime) -> set[str]:
    """The languages that some bank of the school has beside its own."""
    return {code for edition in latest_editions(person, at) for code in languages(text_of(edition).bank)}


def edition_to_take(student: Person, bank: int, at: datetime) -> Edition:
    """The edition a new attempt is made from. 404 for a bank of another school, Refused where none is published."""
    edition = latest_editions(student, at).filter(bank=bank).first()
    if edition is not None:
        return edition
    access.one_of(access.in_school(Bank.objects.all(), student), pk=bank)
    raise Refused("attempt.no-edition", "This quiz is not ready yet. Ask your teacher.")


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One question of an attempt as its student sees it, with the answer saved so far."""

    asked: Asked
    response: Response | None
    revision: int
    lacks: str  # what is missing to hand it in

    @property
    def in_words(self) -> list[str]:
        return in_words(self.asked, self.response)


def sheets(attempt: Attempt, language: str = "") -> list[Sheet]:
    """Every question of the attempt, in the order of its form, in this language where the bank has it. One query."""
    edition = text_of(attempt.edition, language)
    saved = {answer.question: answer for answer in attempt.answers.all()}
    return [
        _sheet(edition, line, number, saved.get(line.code)) for number, line in enumerate(lines_of(attempt.form), 1)
    ]


def _sheet(edition: EditionText, line: Line, number: int, answer: Answer | None) -> Sheet:
    response = answer.response if answer else None
    asked = show(edition, line, number)
    return Sheet(
        asked=filled(asked, response),
        response=response,
        revision=answer.revision if answer else 0,
        lacks=missing(line, response, asked.unit),
    )


# ---- what passes count ----------------------------------------------------------------------------------------------


# One row an attempt that was begun by then and was no practice; the last column: it is perfect, and stood by then.
ATTEMPTS = """
SELECT attempt.student_id, attempt.bank_id, edition.number, attempt.handed_in_at, attempt.entry_id, attempt.purpose,
       attempt.perfect AND attempt.handed_in_at <= %(at)s
       AND (attempt.voided_at IS NULL OR attempt.voided_at > %(at)s)
  FROM quizzes_attempt attempt LEFT JOIN quizzes_edition edition ON edition.id = attempt.edition_id
 WHERE attempt.student_id IN ({ids}) AND NOT attempt.practice AND attempt.started_at <= %(at)s
"""


def attempted(student_ids: Collection[int], at: datetime) -> tuple[list[Pass], set[tuple[int, int]]]:
    """Two things, by two queries, however many students:

    every perfect attempt that stood at `at`, also those that no longer count; what was voided or published after `at`
    is not known yet at `at`;
    and each (student, bank) with an attempt begun by `at`, whatever came of it.

    Practice is neither.
    """
    rows = plain_rows(ATTEMPTS, student_ids, at)
    perfect = [row for row in rows if row[-1]]
    editions = {row[1:3] for row in perfect}
    published = publications({bank for bank, _ in editions}, at)
    ends = {(bank, number): counts_until(number, published[bank]) for bank, number in editions}
    refresher = Attempt.Purpose.REFRESHER.value
    passes = [
        Pass(student, bank, number, moment(handed_in), ends[bank, number], entry, purpose == refresher)
        for student, bank, number, handed_in, entry, purpose, _ in perfect
    ]
    return passes, {row[:2] for row in rows}


def passes(student_ids: Collection[int], at: datetime) -> list[Pass]:
    """The perfect attempts among `attempted`, the earliest first. Two queries."""
    return sorted(attempted(student_ids, at)[0], key=attrgetter("at"))


# One row an edition that was out then and an acceptance given by then; without one, the last two columns are empty.
EDITIONS = """
SELECT edition.bank_id, edition.number, edition.published_at, edition.earlier_passes_count,
       edition.earlier_passes_until, given.at, given.taken_back_at
  FROM quizzes_edition edition
  LEFT JOIN quizzes_acceptance given ON given.edition_id = edition.id AND given.at <= %(at)s
 WHERE edition.bank_id IN ({ids}) AND edition.published_at <= %(at)s
 ORDER BY edition.bank_id, edition.number
"""


def publications(bank_ids: Collection[int], at: datetime) -> dict[int, list[Publication]]:
    """The editions of these banks that were out at `at`, oldest first."""
    found: dict[int, list[Publication]] = defaultdict(list)
    for (bank, number), rows in groupby(plain_rows(EDITIONS, bank_ids, at), key=itemgetter(0, 1)):
        acceptances = list(rows)
        _, _, published_at, count, until, _, _ = acceptances[0]
        gone = [moment(taken_back) if taken_back else None for *_, given, taken_back in acceptances if given]
        publication = Publication(
            number=number,
            at=moment(published_at),
            earlier_count=count,
            earlier_until=moment(until) if until else None,
            accepted=any(taken_back is None or taken_back > at for taken_back in gone),
            taken_back_at=max((one for one in gone if one and one <= at), default=None),
        )
        found[bank].append(publication)
    return found


# ---- next steps -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class BankStep:
    """One quiz on a student's bench: the bank and what comes next."""

    bank: int
    code: str
    subject: str
    about: str
    edition: int
    questions: int
    step: Step


def bench(student: Person, at: datetime) -> tuple[BankStep, ...]:
    """Every quiz of the student's school with the student's next step. Four queries, however many banks."""
    editions = list(latest_editions(student, at))
    found = steps(student, at, editions)
    return tuple(_bank_step(edition, found[edition.bank_id]) for edition in editions)


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


def steps(student: Person, at: datetime, editions: Iterable[Edition]) -> dict[int, Step]:
    """Bank → next step of one student, for these editions."""
    found = steps_of([student.pk], at, editions, student.school.time_zone)
    return {bank: step for (_, bank), step in found.items()}


def steps_of(
    student_ids: Collection[int], at: datetime, editions: Iterable[Edition], zone: str
) -> dict[tuple[int, int], Step]:
    """(student, bank) → next step, for all of these students at all of these banks. Three queries."""
    editions = list(editions)
    went = _went(student_ids, at, {edition.bank_id for edition in editions})
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


def step_of(attempt: Attempt, at: datetime) -> Step:
    """The next step of the attempt's student at the attempt's bank."""
    editions = latest_editions(attempt.student, at).filter(bank=attempt.bank_id)
    return steps(attempt.student, at, editions)[attempt.bank_id]


def _went(student_ids: Collection[int], at: datetime, bank_ids: Collection[int]) -> dict[tuple[int, int], list[Went]]:
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
    recalled = _recalled([row[2] for row in rows if row[6]])
    published = publications(bank_ids, at)
    found: dict[tuple[int, int], list[Went]] = defaultdict(list)
    for student, bank, pk, number, handed_in_at, perfect, missed, released_at, purpose, practice, paper_code in rows:
        went = Went(
            id=pk,
            handed_in_at=handed_in_at,
            perfect=bool(perfect),
            missed_rules=tuple(missed),
            recalled=tuple(recalled.get(pk, ())),
            released_at=released_at,
            counts_until=counts_until(number, published[bank]) if perfect else None,
            refresher=purpose == Attempt.Purpose.REFRESHER,
            practice=practice,
            paper=paper_code != "",
        )
        found[student, bank].append(went)
    return found


def _recalled(attempt_ids: Collection[UUID]) -> dict[UUID, list[tuple[str, datetime]]]:
    found: dict[UUID, list[tuple[str, datetime]]] = defaultdict(list)
    if attempt_ids:
        rows = RuleRead.objects.filter(attempt_id__in=list(attempt_ids), recalled_at__isnull=False)
        for attempt, rule, recalled_at in rows.values_list("attempt_id", "rule", "recalled_at"):
            found[attempt].append((rule, recalled_at))  # type: ignore[arg-type]  # filtered to those recalled
    return found


# ---- who waits for a teacher ----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """A student who can't go on without the teacher, with the rules that were missed."""

    student: Person
    subject: str
    attempt: UUID
    since: datetime
    rules: tuple[Rule, ...]
    cards: int  # still to be read


def waiting_for(teacher: Person, at: datetime) -> tuple[Waiting, ...]:
    """The students in the teacher's reach who wait for a release, longest first."""
    editions = list(latest_editions(teacher, at))
    missed = attempts_for(teacher).filter(handed_in_at__lte=at, voided_at__isnull=True, perfect=False, release=None)
    candidates = {
        one.pk: one for one in missed.select_related("student", "edition__bank").defer("form", "edition__content")
    }
    students = {one.student_id for one in candidates.values()}
    found = steps_of(students, at, editions, teacher.school.time_zone) if students else {}
    waiting = [candidates[step.attempt] for step in found.values() if step.teacher and step.attempt in candidates]
    left = {step.attempt: step.cards for step in found.values()}
    return tuple(_waiting(one, left[one.pk]) for one in sorted(waiting, key=lambda one: one.started_at))


def _waiting(attempt: Attempt, cards: int) -> Waiting:
    if attempt.handed_in_at is None:
        raise Http404
    rules = text_of(attempt.edition).bank.rule_by_code
    return Waiting(
        student=attempt.student,
        subject=attempt.edition.bank.subject,
        attempt=attempt.pk,
        since=attempt.handed_in_at,
        rules=tuple(rules[code] for code in attempt.missed_rules),
        cards=cards,
    )
