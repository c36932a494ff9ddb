"""Letters, the key by letters, and the fields of a whole sheet."""

import random

from hypothesis import given
from hypothesis import strategies as st

from quizzes.facts import EditionText, History, Question
from quizzes.questions.answering import answer_of, read_response
from quizzes.questions.assembly import assemble
from quizzes.questions.grading import is_right
from quizzes.questions.on_paper import HOW, key_of, lettered, sent_of
from quizzes.questions.showing import show
from tests.factories.bank_texts import a_bank, questions
from tests.rules.quizzes.attempts.test_grading import VALUES

EDITION = EditionText(bank=a_bank())
LINES = {line.kind: line for line in assemble(a_bank(), History(), random.Random(5)).lines}


def test_every_kind_says_how_to_answer() -> None:
    assert set(HOW) == set(LINES)


def test_options_have_letters_in_the_order_in_which_they_stand() -> None:
    for line in LINES.values():
        asked = lettered(show(EDITION, line, 1))
        assert [option.letter for option in asked.options] == list("ABCDEF"[: len(line.options)])


def test_the_key_says_letters_steps_and_numbers() -> None:
    keys = {kind: key_of(EDITION, line, 3) for kind, line in LINES.items()}
    right = next(o.letter for o in lettered(show(EDITION, LINES["one"], 1)).options if o.text == "Just above the wood")
    assert keys["one"].lines == (f"{right}: Just above the wood",)
    assert keys["measure"].lines == ("1/8 in",)
    assert keys["measure"].note == "Up to 1/64 in more or less."
    assert keys["order"].note == "Steps 2 and 3 may change places."
    assert keys["one"].mark == right
    assert keys["measure"].mark == "1/8 in"
    assert sorted(keys["order"].mark.split(", ")) == ["1", "2", "3", "4"]
    assert [line[:2] for line in keys["order"].lines] == ["1.", "2.", "3.", "4."]
    assert len(keys["pair"].lines) == 2


@given(questions(), st.integers(0, 2**63 - 1))
def test_printed_key_is_graded_right(question: Question, seed: int) -> None:
    """Read back by its letters alone, as a person marks a sheet."""
    bank = a_bank(questions=(question,), ask=1)
    line = assemble(bank, History(), random.Random(seed)).lines[0]
    key = key_of(EditionText(bank=bank), line, 1)
    asked = lettered(show(EditionText(bank=bank), line, 1))
    ids = {option.letter: option.id for option in asked.options}
    match question.kind:
        case "order":
            marks = zip(asked.options, key.mark.split(", "), strict=True)
            sent = {f"step-{option.id}": [step] for option, step in marks}
        case "pair":
            marks_of_lefts = zip(asked.lefts, key.mark.split(", "), strict=True)
            sent = {f"pair-{left.id}": [ids[letter]] for left, letter in marks_of_lefts}
        case "measure":
            sent = {"answer": [key.mark]}
        case _:
            sent = {"answer": [ids[letter] for letter in key.mark.split(", ")]}
    assert is_right(question, answer_of(line, read_response(line, sent)), VALUES)


def test_the_fields_of_a_sheet_belong_to_their_questions() -> None:
    posted = {"q1-answer": ["x", ""], "q12-step-ab": ["2"], "csrfmiddlewaretoken": ["t"], "q-": ["y"], "qx-a": ["z"]}
    assert sent_of(posted) == {1: {"answer": ["x"]}, 12: {"step-ab": ["2"]}}


@given(st.dictionaries(st.text(max_size=8), st.lists(st.text(max_size=3), max_size=2), max_size=4))
def test_any_fields_are_sorted(posted: dict[str, list[str]]) -> None:
    assert all(number >= 0 and fields for number, fields in sent_of(posted).items())
