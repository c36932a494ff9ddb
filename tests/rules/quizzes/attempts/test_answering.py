"""What a student sends: read, kept also when unfinished, refused when it names what the form does not show."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.facts import EditionText, FormQuestion, History
from quizzes.questions.answering import PRESS, TAKEN_AWAY, NotOnForm, answer_of, missing, read_response
from quizzes.questions.assembly import assemble
from quizzes.questions.showing import answer_in_words, show
from tests.factories.bank_texts import a_bank, every_kind
from tests.rules.quizzes.attempts.sending import sent_for

BANK = a_bank()
LINES = {line.kind: line for line in assemble(BANK, History(), random.Random(3)).lines}
KEYS = {"one": 0, "several": frozenset({0, 1}), "order": (0, 1, 2, 3), "pair": (0, 1), "spot": 0, "measure": "1/8 in"}


@pytest.mark.parametrize("kind", KEYS)
def test_an_answer_comes_back_as_it_was_sent(kind: str) -> None:
    line = LINES[kind]
    response = read_response(line, sent_for(line, KEYS[kind]))
    assert answer_of(line, response) == KEYS[kind]
    assert missing(line, response, "in") == ""


@pytest.mark.parametrize("kind", KEYS)
def test_nothing_sent_is_nothing_answered(kind: str) -> None:
    for sent in ({}, {"answer": []}, {"other": ["x"]}, {"answer": [""]} if kind == "measure" else {}):
        assert read_response(LINES[kind], sent) is None
    assert missing(LINES[kind], None).endswith(".")
    assert answer_of(LINES[kind], None) is None


@pytest.mark.parametrize("kind", KEYS)
def test_removed_answer_counts_as_missing(kind: str) -> None:
    line = LINES[kind]
    assert missing(line, TAKEN_AWAY, "in") == missing(line, None)
    assert answer_of(line, TAKEN_AWAY) is None
    assert answer_in_words(show(EditionText(bank=BANK), line, 1), TAKEN_AWAY) == []


@pytest.mark.parametrize(
    ("kind", "sent"),
    [("one", {"answer": ["made-up"]}), ("several", {"answer": ["made-up"]}), ("spot", {"answer": ["0"]})]
    + [("one", {"answer": [LINES["several"].options[0].id]})]
    + [("order", {f"step-{LINES['order'].options[0].id}": [text]}) for text in ("0", "5", "x", "-1", "١")]
    + [("pair", {f"pair-{LINES['pair'].lefts[0].id}": [LINES["pair"].lefts[0].id]})],
)
def test_response_outside_the_form_is_refused(kind: str, sent: dict[str, list[str]]) -> None:
    with pytest.raises(NotOnForm):
        read_response(LINES[kind], sent)


def test_several_are_kept_in_the_order_shown_and_once() -> None:
    line = LINES["several"]
    ids = [option.id for option in line.options]
    assert read_response(line, {"answer": [ids[2], ids[0], ids[2]]}) == {"chosen": [ids[0], ids[2]]}


def ids_of(line: FormQuestion) -> list[str]:
    return [option.id for option in line.options]


def test_two_items_on_one_step_are_kept_and_asked_about() -> None:
    line = LINES["order"]
    response = read_response(line, {f"step-{name}": ["2"] for name in ids_of(line)})
    assert response is not None
    assert missing(line, response) == "Two items have step 2. Press one to take it out. Then press it again."


def test_a_step_left_out_is_asked_for() -> None:
    line = LINES["order"]
    response = read_response(line, {f"step-{ids_of(line)[0]}": ["1"], f"step-{ids_of(line)[1]}": [""]})
    assert response == {"steps": {ids_of(line)[0]: 1}}
    assert missing(line, response) == "Press each step until every step has a number."


def pressed(line: FormQuestion, *presses: int) -> dict[str, int]:
    """The steps after these items were pressed in turn, each on the page that the press before it led to."""
    steps: dict[str, int] = {}
    for place in presses:
        sent = {f"step-{name}": [str(step)] for name, step in steps.items()} | {PRESS: [ids_of(line)[place]]}
        steps = (read_response(line, sent) or {"steps": {}})["steps"]
    return steps


def test_presses_number_the_items_from_first_to_last() -> None:
    line = LINES["order"]
    ids = ids_of(line)
    assert pressed(line, 2, 0, 1) == {ids[2]: 1, ids[0]: 2, ids[1]: 3}


def test_second_press_takes_the_number_away_and_the_next_item_gets_it() -> None:
    line = LINES["order"]
    ids = ids_of(line)
    assert pressed(line, 0, 1, 2, 1) == {ids[0]: 1, ids[2]: 3}
    assert pressed(line, 0, 1, 2, 1, 3) == {ids[0]: 1, ids[2]: 3, ids[3]: 2}
    assert pressed(line, 0, 0) == {}


def test_press_on_an_item_of_another_form_is_refused() -> None:
    with pytest.raises(NotOnForm):
        read_response(LINES["order"], {PRESS: ["made-up"]})


def test_a_match_used_twice_or_left_out_is_asked_about() -> None:
    line = LINES["pair"]
    lefts, right = [left.id for left in line.lefts], ids_of(line)[0]
    twice = read_response(line, {f"pair-{left}": [right] for left in lefts})
    assert missing(line, twice) == "You used one match twice. Use each match once."
    assert missing(line, read_response(line, {f"pair-{lefts[0]}": [right]})) == "Choose a match for each item."


def test_an_unreadable_number_is_kept_and_asked_about() -> None:
    response = read_response(LINES["measure"], {"answer": [" about an inch "]})
    assert response == {"text": "about an inch"}
    assert "number" in missing(LINES["measure"], response, "in")


@given(st.sampled_from(list(LINES)), st.dictionaries(st.text(max_size=12), st.lists(st.text(max_size=12), max_size=3)))
def test_anything_sent_is_read_or_refused(kind: str, sent: dict[str, list[str]]) -> None:
    line = LINES[kind]
    try:
        response = read_response(line, sent)
    except NotOnForm:
        return
    assert isinstance(missing(line, response, "in"), str)
    answer_of(line, response)


def test_every_kind_is_here() -> None:
    assert {question.kind for question in every_kind()} == set(LINES)
