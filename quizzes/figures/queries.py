"""Loads the counts of a bank, and a class's first attempts, as figures for pages. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Model, Q, QuerySet, Sum

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.texts import text_of
from quizzes.facts import BankText
from quizzes.figures.counting import ANSWER, RULE, kept, month_handed_in, uncounted
from quizzes.figures.loading import contributions_of, counted
from quizzes.figures.rules.analysis.facts import Responses
from quizzes.figures.rules.bank_analysis import BankFigures, bank_figures, first_responses
from quizzes.figures.rules.counts import AnswerKey, Counts, ScoreKey, Tally, counts_of, month_of
from quizzes.figures.rules.reteaching import FirstTry
from quizzes.models import AnswerCount, Attempt, Bank, RuleCount, ScoreCount
from shopsafe.school.models import Person, School, Section, Term

KEY = tuple(name for name in AnswerKey._fields if name != "month")


def latest_text(bank: Bank) -> BankText:
    """Return the bank as last published, or its draft before that: its live questions are the ones with figures."""
    latest = bank.editions.order_by("-number").first()
    return text_of(latest).bank if latest else draft_of(bank).bank


def figures_of(bank: Bank) -> BankFigures:
    """Return the figures of a bank over all its time. Five queries, however many attempts."""
    return bank_figures(latest_text(bank), all_counts(bank))


def all_counts(bank: Bank) -> Counts:
    """Return the counts of a bank with all months together, attempts from before they were kept included."""
    rows = AnswerCount.objects.filter(bank=bank).order_by().values_list(*KEY)
    sums = rows.annotate(*(Sum(name) for name in ANSWER))
    place = AnswerKey._fields.index("month")
    split = ((row[: len(KEY)], row[len(KEY) :]) for row in sums)
    answers = {AnswerKey._make((*key[:place], 0, *key[place:])): Tally(*numbers) for key, numbers in split}
    scores = ScoreCount.objects.filter(bank=bank).order_by().values_list("asked", "correct").annotate(Sum("students"))
    counts = Counts(answers=answers, scores={ScoreKey(0, *row[:2]): row[2] for row in scores})
    return _with(counts, counts_of((0, parts) for _, parts in contributions_of(uncounted(bank.pk))))


def counts_to_send(bank: Bank) -> Counts:
    """Return all counts of a bank by month, attempts from before they were kept included."""
    stored = kept(bank.pk)
    older = counts_of(
        (month_handed_in(attempt, bank.school.time_zone), parts)
        for attempt, parts in contributions_of(uncounted(bank.pk))
    )
    rules = dict(stored.rules)
    for key, (met, missed) in older.rules.items():
        before = rules.get(key, (0, 0))
        rules[key] = (before[0] + met, before[1] + missed)
    both = _with(stored, older)
    return Counts(answers=both.answers, rules=rules, scores=both.scores)


def _with(stored: Counts, added: Counts) -> Counts:
    answers = dict(stored.answers)
    for key, tally in added.answers.items():
        answers[key] = Tally(*(a + b for a, b in zip(answers.get(key, Tally()), tally, strict=True)))
    scores = dict(stored.scores)
    for score, students in added.scores.items():
        scores[score] = scores.get(score, 0) + students
    return Counts(answers=answers, rules=added.rules, scores=scores)


def rules_missed(bank: Bank, term: Term | None = None) -> dict[str, tuple[int, int]]:
    """Return rule → (met, missed) on first attempts of the whole school: over all time, or in the months of a term."""
    rows = _in_term(RuleCount.objects.filter(bank=bank), term)
    older = uncounted(bank.pk)
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for rule, met, missed in rows.order_by().values_list("rule").annotate(*(Sum(name) for name in RULE)):
        sums[rule] = [met, missed]
    for key, numbers in _uncounted(older, bank.school, term).rules.items():
        for place, number in enumerate(numbers):
            sums[key.rule][place] += number
    return {rule: (met, missed) for rule, (met, missed) in sums.items()}


def _in_term[M: Model](rows: QuerySet[M], term: Term | None) -> QuerySet[M]:
    """Return the rows of the months that a term touches."""
    return rows.filter(month__gte=_month(term.first_day), month__lte=_month(term.last_day)) if term else rows


def _uncounted(older: QuerySet[Attempt], school: School, term: Term | None) -> Counts:
    """Return the counts of attempts from before counts were kept."""
    attempts = ((month_handed_in(attempt, school.time_zone), parts) for attempt, parts in contributions_of(older))
    if term:
        first, last = _month(term.first_day), _month(term.last_day)
        attempts = ((month, parts) for month, parts in attempts if first <= month <= last)
    return counts_of(attempts)


def _month(day: date) -> int:
    return month_of(day.year, day.month)


LATEST = 1_500  # first attempts that are read one by one: more would make a page wait


def first_responses_of(bank: Bank, text: BankText) -> Responses:
    """Return the answers of the latest first attempts at a bank, person by person. Two queries a few hundred."""
    latest = counted(Attempt.objects.filter(bank=bank)).order_by("-handed_in_at").values("pk")[:LATEST]
    rows = Attempt.objects.filter(pk__in=[row["pk"] for row in latest])
    firsts = [parts for _, parts in contributions_of(rows) if parts and parts[0].first]
    return first_responses(text, firsts)


def students_tried(bank: Bank, term: Term | None = None) -> int:
    """Return how many students of the school had a first attempt at a bank, in all or in the months of a term."""
    rows = ScoreCount.objects.filter(bank=bank)
    older = uncounted(bank.pk)
    stored = _in_term(rows, term).aggregate(students=Sum("students"))["students"] or 0
    counts = _uncounted(older, bank.school, term)
    return int(stored) + sum(counts.scores.values())


def term_before(term: Term) -> Term | None:
    """Return the term of the school that ended last before this one began."""
    return Term.objects.filter(school=term.school_id, last_day__lt=term.first_day).order_by("-last_day").first()


@dataclass(frozen=True, kw_only=True)
class ClassTries:
    """The first tries of a class at one bank."""

    tries: tuple[FirstTry, ...]
    students: int  # in the class
    edition: int | None  # the latest one that was tried


def tries_of(students: Iterable[Person], bank: Bank) -> ClassTries:
    """Return the first tries of these students at a bank: which rules each met and missed. Three queries."""
    people = {student.pk: student for student in students}
    attempts = counted(Attempt.objects.filter(bank=bank, student__in=people))
    tries, editions = [], []
    for attempt, parts in contributions_of(attempts):
        if parts and parts[0].first:
            missed = frozenset(part.rule for part in parts if not part.right)
            tries.append(FirstTry(attempt.student_id, frozenset(part.rule for part in parts), missed))
            editions.append(attempt.edition.number)
    return ClassTries(tries=tuple(tries), students=len(people), edition=max(editions, default=None))


def tried_banks(students: Iterable[Person], section: Section) -> list[Bank]:
    """Return the banks that some of these students have handed in an attempt at, by subject, each with `last_tried`."""
    tried = Q(attempts__student__in=[student.pk for student in students], attempts__handed_in_at__isnull=False)
    rows = Bank.objects.filter(tried, school=section.school_id).select_related("school").defer("draft")
    return list(rows.annotate(last_tried=Max("attempts__handed_in_at")).order_by("subject"))
