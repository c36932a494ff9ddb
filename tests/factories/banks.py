"""Banks in the database for tests, and students who take them: history by acts."""

from collections.abc import Collection
from datetime import UTC, datetime, timedelta
from typing import Any

from quizzes.attempts.acts import hand_in, save_answer, start_attempt
from quizzes.banks.draft_rows import draft_text
from quizzes.banks.editions.acts import publish_edition
from quizzes.banks.editions.texts import text_of
from quizzes.facts import Answer, BankText, FormQuestion
from quizzes.models import Attempt, Bank, Edition
from quizzes.questions.form_data import lines_of
from quizzes.relearning.acts import answer_check, open_card, recall_rule
from quizzes.relearning.opened_card import note_opened
from quizzes.relearning.queries import check_line
from shopsafe.school.models import Person, School
from tests.factories.bank_texts import a_bank, a_one, a_rule, every_kind
from tests.factories.kept import kept
from tests.rules.quizzes.attempts.sending import sent_for

AT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)  # Monday, 10:00 at a school in Chicago
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)


def bank_text(*, code: str = "band-saw", rules: int = 3, each: int = 6, ask: int = 3, **more: Any) -> BankText:
    """Rules r0, r1, ... with `each` questions; the bank check finds no error in it."""
    return a_bank(
        code=code,
        subject=more.pop("subject", code.replace("-", " ").capitalize()),
        rules=tuple(a_rule(f"r{n}", says=f"Keep rule number {n}.", must_ask=n == 0) for n in range(rules)),
        questions=tuple(
            a_one(f"r{n}-q{q}", f"r{n}", asks=f"What does rule {n} say in case {q}?", right=f"Do {n}{q}")
            for n in range(rules)
            for q in range(each)
        ),
        ask=ask,
        **more,
    )


def kinds_text(code: str = "all-kinds", **more: Any) -> BankText:
    """One rule, one question of each kind but the picture, all asked."""
    kinds = [question for question in every_kind() if question.kind != "spot"]
    return a_bank(code=code, subject="All kinds", questions=tuple(kinds), ask=len(kinds), **more)


def make_bank(school: School, text: BankText | None = None, at: datetime = AT - DAY) -> Bank:
    text = text or bank_text()
    return Bank.objects.create(
        school=school, code=text.code, subject=text.subject, draft=draft_text(text), draft_changed_at=at
    )


def publish(bank: Bank, by: Person, at: datetime = AT - DAY, earlier: str = "count", **more: Any) -> Edition:
    """Published, and accepted unless `accept=False`."""
    more = {"accept": True, **more}
    return publish_edition(by=by, bank=bank.pk, revision=bank.draft_revision, earlier=earlier, at=at, **more)


@kept
def published(by: Person, text: BankText | None = None, at: datetime = AT - DAY, **more: Any) -> Bank:
    bank = make_bank(by.school, text, at)
    publish(bank, by, at, **more)
    return bank


def change(bank: Bank, text: BankText) -> None:
    bank.draft, bank.draft_revision = draft_text(text), bank.draft_revision + 1
    bank.save(update_fields=["draft", "draft_revision"])


# ---- taking a quiz --------------------------------------------------------------------------------------------------

KEYS: dict[str, Answer] = {"several": frozenset({0, 1}), "order": (0, 1, 2, 3), "pair": (0, 1), "measure": "1/8 in"}
WRONG: dict[str, Answer] = {"several": frozenset({0}), "order": (3, 1, 2, 0), "pair": (1, 0), "measure": "1 in"}


def key_for(line: FormQuestion) -> dict[str, list[str]]:
    return sent_for(line, KEYS.get(line.kind, 0))


def wrong_for(line: FormQuestion) -> dict[str, list[str]]:
    return sent_for(line, WRONG.get(line.kind, 1))


def answer_all(attempt: Attempt, at: datetime, wrong: Collection[str] = ()) -> None:
    """Answers every question rightly but those of the rules in `wrong`."""
    for number, line in enumerate(lines_of(attempt.form), 1):
        sent = wrong_for(line) if line.rule in wrong else key_for(line)
        save_answer(student=attempt.student, attempt=attempt.pk, number=number, sent=sent, revision=None, at=at)


def take(student: Person, bank: Bank, at: datetime = AT, wrong: Collection[str] = (), **more: Any) -> Attempt:
    """A whole attempt: started, answered, handed in five minutes later."""
    attempt = start_attempt(student=student, bank=bank.pk, at=at, **more)
    answer_all(attempt, at + MINUTE, wrong)
    return hand_in(student=student, attempt=attempt.pk, at=at + 5 * MINUTE)


def learn(attempt: Attempt, at: datetime) -> None:
    """Reads and recalls the card of every missed rule, and answers the check questions."""
    read_cards(attempt, at)
    for code in attempt.missed_rules:
        sent = key_for(check_line(attempt, code))
        answer_check(student=attempt.student, attempt=attempt.pk, rule=code, sent=sent, at=at)


def read_cards(attempt: Attempt, at: datetime) -> None:
    rules = text_of(attempt.edition).bank.rule_by_code
    for code in attempt.missed_rules:
        recall = rules[code].recall
        assert recall
        opened = note_opened(attempt.student_id, attempt.pk, code, at)
        open_card(student=attempt.student, attempt=attempt.pk, rule=code, opened=opened, at=at)
        recall_rule(student=attempt.student, attempt=attempt.pk, rule=code, word=recall.key[0], at=at)
