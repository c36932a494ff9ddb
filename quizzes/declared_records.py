"""The safety records of quizzes, as the logbook verifies and guards them: attempts with their answers, cards read,
releases, editions, approvals, corrected keys."""

from collections.abc import Callable
from hashlib import sha256
from json import loads

from quizzes.older_approvals import approvals_by_publishing
from shopsafe.logbook.verification.declared import (
    Aspect,
    Column,
    RecordTable,
    always,
    day,
    flag,
    json_digest,
    moment,
    names_entry,
    payload_value,
    plain,
    uuid_said,
    uuid_sql,
)
from shopsafe.logbook.verification.older import Payload
from shopsafe.logbook.verification.triggers import Guard, not_erased

ATTEMPT_KEY = uuid_said("attempt")
CLOSED = "SELECT 1 FROM quizzes_attempt a WHERE a.id = {row}.attempt_id AND a.handed_in_at IS NOT NULL"
# What belongs to an attempt goes with the attempt's own entry.
ATTEMPT_STAYS = f"a.id = OLD.attempt_id AND {not_erased('a.entry_id')}"
WITH_ATTEMPT = f"EXISTS (SELECT 1 FROM quizzes_attempt a WHERE {ATTEMPT_STAYS})"  # noqa: S608  our own text


def missed_rules(payload: Payload) -> str:
    return ",".join(rule["code"] for rule in payload.get("missed_rules") or ())


def missed_questions(payload: Payload) -> str:
    return ",".join(sorted(line["code"] for line in payload.get("questions") or () if not line["right"]))


def codes(name: str, said_codes: Callable[[Payload], str], *, ordered: bool) -> Column:
    """A JSON list of codes, joined: "a,b". The order of questions missed is that of the form in the entry alone."""

    def joined(text: str) -> str:
        items = loads(text)
        return ",".join(items if ordered else sorted(items))

    return Column(name, f"CAST(r.{name} AS text)", said_codes, joined)


ANSWERS = {
    "sqlite": "(SELECT json_group_object(question, json(response)) FROM quizzes_answer WHERE attempt_id = r.id)",
    "postgresql": "(SELECT CAST(jsonb_object_agg(question, response) AS text) FROM quizzes_answer "
    "WHERE attempt_id = r.id)",
}
ANSWERED = "CASE WHEN EXISTS (SELECT 1 FROM quizzes_answer WHERE attempt_id = r.id) THEN r.handed_in_at END"
HAND_INS = ("attempt.passed", "attempt.missed", "attempt.practiced", "attempt.regraded")

ATTEMPT = RecordTable(
    name="attempt",
    table="quizzes_attempt",
    key=uuid_sql("r.id"),
    entry="r.entry_id",
    aspects=(
        Aspect(
            "handed in",
            {
                "attempt.passed": {},
                "attempt.missed": {},
                "attempt.practiced": {"practice": always(1)},
                "attempt.regraded": {"entered_by_id": always(None)},
            },
            ATTEMPT_KEY,
            "r.handed_in_at",
            (
                plain("student_id", "student.id"),
                plain("bank_id", "bank.id"),
                plain("edition_id", "edition.id"),
                plain("purpose"),
                flag("practice", always(0)),
                moment("started_at"),
                plain("seed", sql="CAST(r.seed AS text)"),
                plain("asked"),
                plain("correct"),
                codes("missed_rules", missed_rules, ordered=True),
                codes("missed_questions", missed_questions, ordered=False),
                plain("paper_code", "on_paper", ""),
                plain("entered_by_id", "by.id"),
                names_entry(),
            ),
        ),
        Aspect(
            "handed in on this form",
            {kind: {} for kind in HAND_INS},
            ATTEMPT_KEY,
            "r.handed_in_at",
            (json_digest("form", "CAST(r.form AS text)", "form_digest"),),
            needs="form_digest",
        ),
        Aspect(
            "handed in with these answers",
            {kind: {} for kind in HAND_INS},
            ATTEMPT_KEY,
            ANSWERED,
            (json_digest("answers", ANSWERS, "answers_digest"),),
            needs="answers_digest",
        ),
        Aspect(
            "printed",
            {"attempt.printed": {}},
            ATTEMPT_KEY,
            "CASE WHEN r.paper_code <> '' THEN r.started_at END",
            (
                plain("student_id", "student.id"),
                plain("edition_id", "edition.id"),
                plain("purpose"),
                plain("paper_code", "on_paper"),
                plain("printed_by_id", "by.id"),
            ),
        ),
        Aspect(
            "voided",
            {"attempt.voided": {}},
            ATTEMPT_KEY,
            "r.voided_at",
            (plain("student_id", "student.id"), plain("voided_by_id", "by.id"), plain("void_reason", "reason")),
        ),
    ),
    guard=Guard(
        fixed="id school_id student_id bank_id edition_id purpose practice seed form started_at asked paper_code "
        "printed_by_id",
        ends=(
            "handed_in_at correct missed_rules missed_questions entry_id entered_by_id",
            "voided_at voided_by_id void_reason",
        ),
        one_of=(
            "id = NEW.id",
            "school_id = NEW.school_id AND paper_code = NEW.paper_code AND NEW.paper_code <> ''",
            "student_id = NEW.student_id AND bank_id = NEW.bank_id AND handed_in_at IS NULL AND voided_at IS NULL "
            "AND NEW.handed_in_at IS NULL AND NEW.voided_at IS NULL",
        ),
        keeps=not_erased("OLD.entry_id"),
        pairs=(
            (
                "quizzes_answer",
                Guard(
                    fixed="id attempt_id question",
                    changes=f"EXISTS ({CLOSED.format(row='OLD')})",
                    one_of=("id = NEW.id", "attempt_id = NEW.attempt_id AND question = NEW.question"),
                    keeps=WITH_ATTEMPT,
                    closed=f"EXISTS ({CLOSED.format(row='NEW')})",
                ),
            ),
        ),
    ),
)

RULE_READ = RecordTable(
    name="card of attempt",
    table="quizzes_ruleread",
    key=uuid_sql("r.attempt_id"),
    school="",
    aspects=(
        Aspect(
            "read",
            {"rule.read": {}},
            ATTEMPT_KEY,
            "r.recalled_at",
            (plain("rule", "rule.code"), moment("opened_at"), plain("tries")),
        ),
        Aspect(
            "checked",
            {"rule.checked": {}},
            ATTEMPT_KEY,
            "r.checked_at",
            (plain("rule", "rule.code"), plain("checked_question", "question.code")),
        ),
    ),
    guard=Guard(
        fixed="id attempt_id rule opened_at",
        ends=("recalled_at", "checked_at checked_question"),
        changes="OLD.recalled_at IS NOT NULL AND NEW.tries <> OLD.tries OR NEW.tries < OLD.tries",
        one_of=("id = NEW.id", "attempt_id = NEW.attempt_id AND rule = NEW.rule"),
        keeps=WITH_ATTEMPT,
    ),
)

RELEASE = RecordTable(
    name="release after attempt",
    table="quizzes_release",
    key=uuid_sql("r.attempt_id"),
    aspects=(
        Aspect("given", {"student.released": {}}, ATTEMPT_KEY, "r.released_at", (plain("released_by_id", "by.id"),)),
    ),
    guard=Guard(
        fixed="id school_id attempt_id released_by_id released_at",
        one_of=("id = NEW.id", "attempt_id = NEW.attempt_id"),
        keeps=WITH_ATTEMPT,
    ),
)

EDITION = RecordTable(
    name="edition",
    table="quizzes_edition",
    aspects=(
        Aspect(
            "published",
            {"edition.published": {}},
            payload_value("edition.id"),
            "r.published_at",
            (
                plain("bank_id", "bank.id"),
                plain("number", "edition.name", sql="CAST(r.number AS text)"),
                plain("digest", "edition_digest"),
                # The text itself must give the digest, not only the column that holds it.
                Column(
                    "text", "r.content", payload_value("edition_digest"), lambda text: sha256(text.encode()).hexdigest()
                ),
                plain("published_by_id", "by.id"),
                flag("earlier_passes_count", payload_value("earlier_passes_count", otherwise=True)),
                moment("earlier_passes_until"),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id bank_id number content digest published_at published_by_id earlier_passes_count "
        "earlier_passes_until",
        one_of=("id = NEW.id", "bank_id = NEW.bank_id AND number = NEW.number"),
    ),
)

ACCEPTANCE = RecordTable(
    name="approval of edition",
    table="quizzes_acceptance",
    key="r.edition_id",
    aspects=(
        Aspect(
            "given",
            {"bank.accepted": {}, "bank.acceptance_taken_back": {}, "edition.published": {}},
            payload_value("edition.id"),
            "r.at",
            (plain("by_id", "by.id"),),
            older=approvals_by_publishing,
        ),
        Aspect(
            "withdrawn",
            {"bank.acceptance_taken_back": {}},
            payload_value("edition.id"),
            "r.taken_back_at",
            (plain("taken_back_by_id", "by.id"), plain("taken_back_reason", "reason")),
        ),
    ),
    guard=Guard(
        fixed="id school_id edition_id by_id at",
        ends=("taken_back_at taken_back_by_id taken_back_reason",),
        one_of=(
            "id = NEW.id",
            "edition_id = NEW.edition_id AND taken_back_at IS NULL AND NEW.taken_back_at IS NULL",
        ),
    ),
)

REVIEW = RecordTable(
    name="review",
    table="quizzes_review",
    aspects=(
        Aspect(
            "recorded",
            {"bank.reviewed": {}},
            payload_value("review"),
            "r.at",
            (
                plain("edition_id", "edition.id"),
                plain("name", "reviewer"),
                plain("role"),
                day("reviewed_on"),
                plain("by_id", "by.id"),
            ),
        ),
        Aspect(
            "withdrawn",
            {"bank.review_withdrawn": {}},
            payload_value("review"),
            "r.withdrawn_at",
            (plain("withdrawn_by_id", "by.id"), plain("withdrawn_reason", "reason")),
        ),
    ),
    guard=Guard(
        fixed="id school_id edition_id name role reviewed_on by_id at",
        ends=("withdrawn_at withdrawn_by_id withdrawn_reason",),
        one_of=(
            "id = NEW.id",
            "edition_id = NEW.edition_id AND name = NEW.name AND reviewed_on = NEW.reviewed_on "
            "AND withdrawn_at IS NULL AND NEW.withdrawn_at IS NULL",
        ),
    ),
)

KEY_CORRECTION = RecordTable(
    name="corrected key of entry",
    table="quizzes_keycorrection",
    key="r.entry_id",
    entry="r.entry_id",
    aspects=(
        Aspect(
            "corrected",
            {"key.corrected": {}},
            payload_value("#"),
            "r.at",
            (
                plain("bank_id", "bank.id"),
                plain("edition_id", "edition.id"),
                plain("question"),
                plain("by_id", "by.id"),
                Column("reason", "r.reason", lambda payload: str(payload.get("reason"))[:300]),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id bank_id edition_id question wording key_before key_after by_id at reason entry_id",
        one_of=("id = NEW.id",),
    ),
)

REGRADE = RecordTable(
    name="regrade to attempt",
    table="quizzes_regrade",
    source="quizzes_regrade r JOIN quizzes_keycorrection c ON c.id = r.correction_id",
    key=uuid_sql("r.attempt_id"),
    school="c.school_id",
    aspects=(
        Aspect(
            "made",
            {"attempt.regraded": {}},
            ATTEMPT_KEY,
            "c.at",
            (
                Column("original", uuid_sql("r.original_id"), uuid_said("regrades")),
                plain("correction", "key.correction", sql="c.entry_id"),
            ),
        ),
    ),
    guard=Guard(
        fixed="id correction_id original_id attempt_id",
        one_of=("id = NEW.id", "attempt_id = NEW.attempt_id"),
        keeps=WITH_ATTEMPT,
    ),
)

RECORDS = (ATTEMPT, RULE_READ, RELEASE, EDITION, ACCEPTANCE, REVIEW, KEY_CORRECTION, REGRADE)
