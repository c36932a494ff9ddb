"""What the logbook says of an attempt: who, at which edition, and on hand-in every question and answer."""

from typing import Any

from quizzes.banks.editions.texts import text_of
from quizzes.facts import EditionText, FormQuestion, Graded
from quizzes.models import Attempt, Edition
from quizzes.questions.showing import as_record, show
from shopsafe.logbook.rules.digests import value_digest
from shopsafe.school.models import Person


def hand_in_payload(
    attempt: Attempt, edition: EditionText, lines: tuple[FormQuestion, ...], responses: dict[str, Any], graded: Graded
) -> dict[str, Any]:
    """All that is needed to prove the attempt later: each question as shown, each answer as given."""
    wrong, accommodations = set(graded.missed_questions), attempt.student.given
    shown = text_of(attempt.edition, accommodations.language)
    rules = edition.bank.rule_by_code
    return attempt_payload(attempt, attempt.edition) | {
        **(on_paper_payload(attempt, attempt.entered_by) if attempt.entered_by else {}),
        "started_at": attempt.started_at,
        "handed_in_at": attempt.handed_in_at,
        "seed": str(attempt.seed),
        "asked": graded.asked,
        "correct": graded.correct,
        **({"accommodations": accommodations.written} if accommodations.written else {}),
        "missed_rules": [{"code": code, "says": rules[code].says} for code in graded.missed_rules],
        "form_digest": value_digest(attempt.form),
        **({"answers_digest": value_digest(responses)} if responses else {}),
        "questions": [
            as_record(show(shown, line, number), responses.get(line.code), right=line.code not in wrong)
            for number, line in enumerate(lines, 1)
        ],
    }


def attempt_payload(attempt: Attempt, edition: Edition) -> dict[str, Any]:
    return {
        "student": attempt.student.as_record(),
        "bank": {"id": attempt.bank_id, "name": text_of(edition).bank.subject},
        "edition": {"id": edition.pk, "name": str(edition.number)},
        "edition_digest": edition.digest,
        "attempt": str(attempt.pk),
        "purpose": attempt.purpose,
    }


def on_paper_payload(attempt: Attempt, teacher: Person) -> dict[str, Any]:
    return {"by": teacher.as_record(), "on_paper": attempt.paper_code}
