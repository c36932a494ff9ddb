"""Someone who knows nothing of shops must not find the right answer by its looks: guessers that go by looks alone.

Each picks without reading what is asked. Chance is a blind pick. In a bank, as on the whole shelf, a guesser may be
right by five in a hundred oftener than chance; on a bank's few questions for all that apply, taken alone, by ten.
"""

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest

from quizzes.facts import AllThatApply, Blueprint, FormQuestion, History, OneAnswer, Order, Question, Spot
from quizzes.guessing.chances import by_guessing
from quizzes.questions.assembly import assemble
from quizzes.questions.grading import is_right
from tests.shelf.answers_alone import most_right, most_right_of
from tests.shelf.banks import CODES, bank_of, each_bank, keys_of
from tests.shelf.guessers import (
    GUESSERS,
    READERS,
    SPOT_PICKS,
    asked,
    cautious_verb_first,
    gain,
    gain_of,
    heard_gain,
    longest,
    most_careful,
    pick_all_but_one,
    pick_order,
    pick_usual,
    reader_gain,
    right_places,
    shortest,
    sounds_like_the_shop,
    spot_gain,
    stop_first,
    stop_first_gain,
    stories,
    story_order,
    tone,
    whole_gain,
    words_of_the_question,
    words_of_the_rule,
)

IN_A_BANK = 0.10
ABOVE_CHANCE = 0.05

guessers = pytest.mark.parametrize("name", GUESSERS)


# ---- by the words ----------------------------------------------------------------------------------------------------


@guessers
@each_bank
def test_looks_gain_little_in_a_bank(code: str, name: str) -> None:
    assert gain_of(name, [code], OneAnswer) <= ABOVE_CHANCE
    assert gain_of(name, [code], AllThatApply) <= IN_A_BANK
    assert gain_of(name, [code], OneAnswer, AllThatApply) <= ABOVE_CHANCE


@pytest.mark.parametrize("name", READERS)
@each_bank
def test_words_of_rule_question_or_shop_gain_little(code: str, name: str) -> None:
    assert reader_gain(name, [code], OneAnswer) <= ABOVE_CHANCE
    assert reader_gain(name, CODES, OneAnswer) <= ABOVE_CHANCE


@each_bank
def test_having_heard_the_answers_gains_little(code: str) -> None:
    assert heard_gain([code]) <= ABOVE_CHANCE


@pytest.mark.parametrize(("kind", "share"), [(OneAnswer, 0.32), (AllThatApply, 0.26)], ids=["one", "several"])
def test_knowing_every_key_but_no_question_is_not_enough(kind: type[Question], share: float) -> None:
    right, count = most_right_of(CODES, kind)
    assert right <= share * count


@each_bank
def test_knowing_every_key_of_a_bank_is_right_in_about_a_quarter(code: str) -> None:
    """A pool of answers under four questions gives 25 in a hundred; one pool or two may serve fewer."""
    right, count = most_right_of([code], AllThatApply)
    assert right <= 0.27 * count


def test_questions_that_share_their_answers_hide_their_keys() -> None:
    left = OneAnswer(code="a", rule="r", asks="?", right="Left", wrong=("Rear", "Side"))
    rear = replace(left, code="b", right="Rear", wrong=("Left", "Side"))
    alone = replace(left, code="c", wrong=("Rear", "Edge"))
    assert most_right([left, rear]) == (1, 2)
    assert most_right([left, rear, alone]) == (2, 3)


def test_stories_and_orders_follow_no_pattern() -> None:
    assert stories(CODES) == [], "acts are options, so that the form shuffles them"
    assert stop_first_gain(CODES) <= ABOVE_CHANCE


@guessers
@pytest.mark.parametrize("kind", [OneAnswer, AllThatApply, Spot], ids=lambda kind: kind.kind)
def test_looks_gain_little_on_the_whole_shelf(kind: type[Question], name: str) -> None:
    assert gain_of(name, CODES, kind) <= ABOVE_CHANCE


@guessers
def test_a_usual_number_of_answers_gains_little(name: str) -> None:
    assert whole_gain(name, pick_usual, CODES, AllThatApply) <= ABOVE_CHANCE
    assert whole_gain(name, pick_all_but_one, CODES, AllThatApply) <= ABOVE_CHANCE


@guessers
def test_an_order_by_looks_gains_little(name: str) -> None:
    assert whole_gain(name, pick_order, CODES, Order) <= ABOVE_CHANCE


def test_a_giveaway_is_found() -> None:
    telling = OneAnswer(code="q", rule="r", asks="?", right="Stop and tell the teacher", wrong=("Run", "Hide", "Shout"))
    plain = OneAnswer(code="q", rule="r", asks="?", right="Left", wrong=("Rear", "Side", "Edge"))
    for looks in (longest, most_careful, tone, cautious_verb_first):
        assert gain([telling], looks) == 0.75
        assert gain([plain], looks) == 0
    assert gain([telling], shortest) == -0.25


def test_a_word_learnt_elsewhere_is_found() -> None:
    """A guesser who has learned the other banks' answers finds a word that is right on the shelf again and again."""
    wrong = [
        text
        for code in CODES
        for question in asked(code, OneAnswer)
        if isinstance(question, OneAnswer)
        for text in question.wrong
    ]
    right = [question.right for code in CODES for question in asked(code, OneAnswer) if isinstance(question, OneAnswer)]
    word = max(set(right) - set(wrong), key=lambda text: (right.count(text), text))
    looks = GUESSERS["words"]("no bank of the shelf")
    assert looks(word) > looks(max(set(wrong) - set(right), key=lambda text: (wrong.count(text), text)))


# ---- by the place ----------------------------------------------------------------------------------------------------


@cache
def drawn() -> tuple[tuple[Question, FormQuestion], ...]:
    """Every question of every bank as it is on twelve forms: enough for luck to stay far below the bar."""
    return tuple(_drawn())


def _drawn() -> Iterator[tuple[Question, FormQuestion]]:
    for code in CODES:
        bank = bank_of(code)
        whole = replace(bank, blueprint=Blueprint(ask=len(bank.live_questions)))
        for seed in range(12):
            for line in assemble(whole, History(), random.Random(f"{code} {seed}")).lines:
                yield bank.question_by_code[line.code], line


def places(line: FormQuestion) -> tuple[int, ...]:
    return tuple(shown.place for shown in line.options)


@pytest.mark.parametrize("kind", [OneAnswer, AllThatApply, Spot], ids=lambda kind: kind.kind)
def test_no_place_on_the_form_is_right_oftener_than_another(kind: type[Question]) -> None:
    lines = [(question, places(line)) for question, line in drawn() if isinstance(question, kind)]
    for place in range(5):
        long = [(keys_of(question), shown) for question, shown in lines if len(shown) > place]
        gains = [(shown[place] in keys) - len(keys) / len(shown) for keys, shown in long]
        assert sum(gains) <= ABOVE_CHANCE * len(gains)


def test_shown_order_is_not_right_more_often_than_by_chance() -> None:
    lines = [(question, places(line)) for question, line in drawn() if isinstance(question, Order)]
    for turned in (lambda shown: shown, lambda shown: shown[::-1]):
        gains = [is_right(question, turned(shown), {}) - float(by_guessing(question)) for question, shown in lines]
        assert sum(gains) <= ABOVE_CHANCE * len(gains)


@pytest.mark.parametrize("name", SPOT_PICKS)
def test_the_shape_of_a_place_gains_little(name: str) -> None:
    assert spot_gain(name, CODES) <= ABOVE_CHANCE


def test_no_number_of_right_answers_stands_out() -> None:
    """A guesser who picks the usual number must still pick: no number of right ones is there nearly every time."""
    several = [
        question for code in CODES for question in asked(code, AllThatApply) if isinstance(question, AllThatApply)
    ]
    for size in {len(question.right) + len(question.wrong) for question in several}:
        counts = Counter(
            len(question.right) for question in several if len(question.right) + len(question.wrong) == size
        )
        assert most_common_share(list(counts.values())) <= 0.75 or counts.total() < 4


def most_common_share(counts: Sequence[int]) -> float:
    return max(counts) / sum(counts)


# ---- by reading ------------------------------------------------------------------------------------------------------


def test_answer_in_the_words_of_shop_rule_or_question_is_found() -> None:
    code = CODES[0]
    rule = bank_of(code).live_rules[0]
    question = OneAnswer(code="q", rule=rule.code, asks="?", right=rule.says, wrong=("Zebra", "Lemon", "Cloud"))
    assert gain([question], words_of_the_rule(code, question)) == 0.75
    question = OneAnswer(code="q", rule="r", asks="A red door?", right="The door", wrong=("The hat", "The gate"))
    assert gain([question], words_of_the_question(question)) == pytest.approx(2 / 3)
    question = OneAnswer(
        code="q", rule="r", asks="?", right="The blade guard", wrong=("The hat", "The door", "The book")
    )
    assert gain([question], sounds_like_the_shop) == 0.75


def test_place_in_a_story_is_the_place_of_the_name() -> None:
    story = OneAnswer(
        code="q", rule="r", asks="Bo sits. Al waits. Cy runs. Who is right?", right="Al", wrong=("Bo", "Cy")
    )
    assert story_order(story) == (1, 0, 2)
    assert right_places([story]) == {(3, 1): 1}
    assert story_order(replace(story, wrong=("Bo", "Di"))) == ()


def test_order_that_stops_first_and_tells_last_is_found() -> None:
    stops_first = Order(code="q", rule="r", asks="?", steps=("Switch off the saw", "Step back", "Tell the teacher"))
    assert stop_first(stops_first) == pytest.approx(1 - 1 / 6)
    turned = replace(stops_first, steps=tuple(reversed(stops_first.steps)))
    assert stop_first(turned) == pytest.approx(-1 / 6)
    plain = replace(stops_first, steps=("Wet it", "Lay it down", "Wipe it"))
    assert stop_first(plain) == pytest.approx(0)
