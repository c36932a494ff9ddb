"""What one graded attempt tells about each of its questions."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from quizzes.facts import BankText, FormQuestion, Measure, Question, ShownOption
from quizzes.figures.rules.bank_analysis import bank_data, bank_figures
from quizzes.figures.rules.contributions import (
    Contribution,
    GradedAttempt,
    contributions,
    key_of,
    offered,
    picked,
    rules_met,
    wording,
)
from quizzes.figures.rules.counts import counts_of
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind

AT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)
TWO_RULES = (a_rule("r1"), a_rule("r2"))


def seconds(count: float) -> timedelta:
    return timedelta(seconds=count)


def bank() -> BankText:
    return a_bank(rules=TWO_RULES, questions=(a_one("a", "r1"), a_one("b", "r1"), a_one("c", "r2")), ask=3)


def line(question: Question) -> FormQuestion:
    options = tuple(ShownOption(f"id{place}", place) for place in range(4))
    return FormQuestion(code=question.code, rule=question.rule, kind=question.kind, options=options)


def attempt(**more: Any) -> GradedAttempt:
    """Questions a, b and c: a and c right, b answered with its last option."""
    fields: dict[str, Any] = {
        "lines": tuple(line(question) for question in bank().questions),
        "responses": {"a": {"chosen": "id0"}, "b": {"chosen": "id3"}, "c": {"chosen": "id0"}},
        "saved_at": {"a": AT + seconds(20), "b": AT + seconds(50), "c": AT + seconds(55)},
        "started_at": AT,
        "wrong": frozenset({"b"}),
        "first": True,
        "studied": frozenset(),
        "seen": frozenset(),
    }
    return GradedAttempt(**(fields | more))


def told(**more: Any) -> dict[str, Contribution]:
    return {part.question: part for part in contributions(bank(), attempt(**more))}


def test_each_question_tells_its_answer_and_the_score_of_its_form() -> None:
    parts = told()
    assert [(p.picked, p.right, p.asked, p.correct) for p in parts.values()] == [
        ("0", True, 3, 2),
        ("3", False, 3, 2),
        ("0", True, 3, 2),
    ]


def test_seconds_run_from_the_save_before() -> None:
    assert [part.seconds for part in told().values()] == [20, 30, 5]


def test_seconds_of_a_changed_answer_count_from_the_previous_save() -> None:
    saved = {"a": AT + seconds(70), "b": AT + seconds(50), "c": AT + seconds(55)}
    assert [part.seconds for part in told(saved_at=saved).values()] == [15, 50, 5]


def test_a_long_pause_and_a_quiz_on_paper_have_no_time() -> None:
    saved = {"a": AT + timedelta(days=1), "b": AT + timedelta(days=1, seconds=9)}
    assert [part.seconds for part in told(saved_at=saved).values()] == [None, 9, None]
    assert [part.seconds for part in told(timed=False).values()] == [None, None, None]


def test_a_later_attempt_says_what_was_studied_and_seen() -> None:
    parts = told(first=False, studied=frozenset({"r1"}), seen=frozenset({"c"}))
    assert [(p.first, p.after_study, p.met_before) for p in parts.values()] == [
        (False, True, False),
        (False, True, False),
        (False, False, True),
    ]


def test_a_rule_is_missed_if_one_of_its_questions_is() -> None:
    assert rules_met(list(told().values())) == {"r1": True, "r2": False}


def test_blank_on_paper_counts_as_no_answer() -> None:
    assert told(responses={"a": {"chosen": "id0"}})["b"].picked == "none"


@pytest.mark.parametrize("question", every_kind(), ids=lambda question: question.kind)
def test_key_of_each_question_type_reads_like_an_answer(question: Question) -> None:
    keys: dict[str, Any] = {
        "one": 0,
        "several": frozenset({0, 1}),
        "order": (0, 1, 2, 3),
        "pair": (0, 1),
        "spot": 0,
        "measure": f"{GAP.amount} {GAP.unit}",
    }
    assert picked(question, keys[question.kind], a_bank()) == key_of(question, a_bank())


def test_equivalent_right_answers_are_counted_as_the_key() -> None:
    """Steps 2 and 3 may change places, and a sixty-fourth of an inch is within the tolerance."""
    order = next(question for question in every_kind() if question.kind == "order")
    shown = tuple(ShownOption(f"id{place}", place) for place in range(4))
    form = (FormQuestion(code=order.code, rule=order.rule, kind="order", options=shown),)
    steps = {"steps": {"id0": 1, "id2": 2, "id1": 3, "id3": 4}}
    first_attempt = attempt(lines=form, responses={order.code: steps}, wrong=frozenset(), saved_at={})
    assert contributions(a_bank(), first_attempt)[0].picked == key_of(order, a_bank())


def test_the_same_amount_written_otherwise_is_the_same_answer() -> None:
    question = Measure(code="m", rule="guard-low", asks="How far?", value="guard-gap")
    answers = {picked(question, text, a_bank()) for text in ("1/4 in", "0.25 inch", "2/8")}
    assert len(answers) == 1
    assert picked(question, "a bit", a_bank()) == "unreadable"


def test_only_kinds_with_one_pick_offer_answers() -> None:
    assert {question.kind: offered(question) for question in every_kind() if offered(question)} == {
        "one": ("0", "1", "2", "3"),
        "spot": ("0", "1", "2"),
    }


def test_wording_changes_with_text_and_number_and_not_with_retirement() -> None:
    def of(question: Question, **more: Any) -> str:
        return wording(a_bank(questions=(question,), **more), question.code)

    plain = a_one()
    assert of(plain) == of(replace(plain, retired=True))
    assert of(plain) != of(replace(plain, asks="Where now?"))
    assert of(plain) != of(replace(plain, right=plain.wrong[0], wrong=(plain.right, *plain.wrong[1:])))
    gap = Measure(code="m", rule="guard-low", asks="How far?", value="guard-gap")
    assert of(gap) != of(gap, values=(replace(GAP, amount="3/16"),))


def test_times_by_hand() -> None:
    """Two students took 10 and 1,000 seconds: the mean of the logs is ln 100, their deviation ln 100 / √2."""
    parts = [(1, [replace(told()["a"], seconds=count)]) for count in (10.0, 1000.0)]
    times = bank_figures(bank(), counts_of(parts)).histories["a"].measured.times
    assert times is not None
    assert (times.n, times.mean, times.deviation) == pytest.approx((2, 4.60517, 3.25635), abs=1e-3)


def test_bank_figures_leave_out_later_attempts_and_other_wordings() -> None:
    first, later = contributions(bank(), attempt()), contributions(bank(), attempt(first=False))
    old = replace(bank(), questions=(a_one("a", "r1", asks="What did it say before?"), *bank().questions[1:]))
    data = bank_data(bank(), [first, later, contributions(old, attempt())])
    assert (data["attempts"], data["first_attempts"]) == (3, 2)
    assert [item["n"] for item in data["items"]] == [1, 2, 2]
    assert data["items"][1]["later_less_first"]["n_after"] == 1
