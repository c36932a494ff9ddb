"""Exact grading, each kind: the key is perfect, and every single change of it is not."""

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.facts import AllThatApply, Answer, History, Measure, OneAnswer, Order, Pair, Question, Spot, option_texts
from quizzes.questions.answering import answer_of, read_response
from quizzes.questions.assembly import assemble
from quizzes.questions.grading import grade, is_right
from quizzes.questions.lengths import LENGTHS
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind, questions
from tests.rules.quizzes.attempts.sending import sent_for

VALUES = {GAP.code: GAP}


def right(question: Question, answer: Answer) -> bool:
    return is_right(question, answer, VALUES)


def key_of(question: Question) -> Answer:
    """The key, written from what the kinds mean and not from how grading goes about it."""
    match question:
        case OneAnswer():
            return 0
        case AllThatApply():
            return frozenset(range(len(question.right)))
        case Order():
            return tuple(range(len(question.steps)))
        case Pair():
            return tuple(range(len(question.pairs)))
        case Spot():
            return question.right - 1
    return "1/8 in"


def single_changes(question: Question) -> Iterator[Answer]:
    """Every answer one step away from the key and not the same as it by what the question declares."""
    places = range(len(option_texts(question)))
    key = key_of(question)
    match question:
        case OneAnswer() | Spot():
            yield from (place for place in places if place != key)
        case AllThatApply():
            assert isinstance(key, frozenset)
            yield from (key ^ {place} for place in places)
        case Order():
            assert isinstance(key, tuple)
            group = {place: number for number, swap in enumerate(question.may_swap) for place in swap}
            for later_place in places:
                for earlier_place in range(later_place):
                    if later_place + 1 in group and group.get(later_place + 1) == group.get(earlier_place + 1):
                        continue
                    swapped = list(key)
                    swapped[later_place], swapped[earlier_place] = swapped[earlier_place], swapped[later_place]
                    yield tuple(swapped)
        case Pair():
            assert isinstance(key, tuple)
            for left in range(len(key)):
                for place in places:
                    if place != left:
                        yield (*key[:left], place, *key[left + 1 :])
        case Measure():
            over = Fraction(1, 8) + Fraction(question.tolerance) + Fraction(1, 10**6)
            under = Fraction(1, 8) - Fraction(question.tolerance) - Fraction(1, 10**6)
            yield from (f"{over.numerator}/{over.denominator}", f"{under.numerator}/{under.denominator}", "1/8 ft", "x")


@given(questions())
def test_the_key_is_right(question: Question) -> None:
    assert right(question, key_of(question))


@given(questions())
def test_every_single_change_of_the_key_is_wrong(question: Question) -> None:
    changes = list(single_changes(question))
    assert changes
    assert not [change for change in changes if right(question, change)]


@given(questions())
def test_not_answered_is_not_right(question: Question) -> None:
    assert not right(question, None)


@given(questions(), st.sampled_from([True, False, 0, 1, (), (0,), frozenset(), frozenset({0}), "", "0", "1/8 in"]))
def test_an_answer_of_another_shape_is_not_right(question: Question, answer: Answer) -> None:
    if type(answer) is not type(key_of(question)):
        assert not right(question, answer)


@given(questions("several"), st.data())
def test_a_superset_and_a_subset_never_pass(question: AllThatApply, data: st.DataObject) -> None:
    places = range(len(option_texts(question)))
    chosen = frozenset(data.draw(st.sets(st.sampled_from(places))))
    assert right(question, chosen) == (chosen == key_of(question))


@given(questions("order"))
def test_exactly_the_declared_orders_are_right(question: Order) -> None:
    if len(question.steps) > 6:
        return
    swap_of = {place: frozenset(swap) for swap in question.may_swap for place in swap}
    for order in permutations(range(len(question.steps))):
        allowed = all(
            item == place or item + 1 in swap_of.get(place + 1, frozenset()) for place, item in enumerate(order)
        )
        assert right(question, order) == allowed


@pytest.mark.parametrize("order", [(0, 0, 1, 2), (0, 1, 2), (0, 1, 2, 3, 4), (0, 1, 2, 2), (1, 1, 1, 1)])
def test_an_order_names_each_item_once(order: tuple[int, ...]) -> None:
    steps = Order(code="o", rule="r", asks="?", steps=("a", "b", "c", "d"), may_swap=((1, 2, 3, 4),))
    assert right(steps, (3, 2, 1, 0))
    assert not right(steps, order)


def test_a_pair_left_out_or_used_twice_is_wrong() -> None:
    pair = Pair(code="p", rule="r", asks="?", pairs=(("a", "x"), ("b", "y")), extra=("z",))
    assert right(pair, (0, 1))
    assert not [wrong for wrong in [(0,), (0, 0), (1, 0), (0, 2), (0, 1, 2), ()] if right(pair, wrong)]


@pytest.mark.parametrize("text", ["1/8", "1/8 in", '0.125"', "3.175 mm", "3,175 mm", "0.3175 cm", "2/16 inch", "⅛"])
def test_the_unit_never_changes_the_grade(text: str) -> None:
    assert right(Measure(code="m", rule="r", asks="?", value="guard-gap"), text)


@pytest.mark.parametrize(("text", "says"), [("9/64", True), ("0.141 in", False), ("3 mm", True), ("4 mm", False)])
def test_a_measure_is_right_within_its_tolerance(text: str, says: bool) -> None:
    assert right(Measure(code="m", rule="r", asks="?", value="guard-gap", tolerance="1/64"), text) is says


@given(questions(), st.integers(0, 2**63 - 1))
def test_the_order_in_which_options_stand_never_changes_the_grade(question: Question, seed: int) -> None:
    """Through a form as a student gets it: the key sent by its ids is right, however the options were shuffled."""
    bank = a_bank(questions=(question,), ask=1)
    line = assemble(bank, History(), random.Random(seed)).lines[0]
    sent = sent_for(line, key_of(question))
    assert right(question, answer_of(line, read_response(line, sent)))


@given(questions(), st.integers(0, 2**63 - 1), st.integers(0, 2**63 - 1), st.data())
def test_a_permutation_of_the_options_never_changes_the_grade(
    question: Question, seed: int, other: int, data: st.DataObject
) -> None:
    """For wrong answers too: the same answer, picked from two forms in two orders."""
    answer = data.draw(st.sampled_from([key_of(question), *single_changes(question)]))
    if isinstance(answer, tuple) and len(set(answer)) < len(answer):
        return  # two steps at one item can't be picked
    bank = a_bank(questions=(question,), ask=1)
    grades = []
    for dice in (seed, other):
        line = assemble(bank, History(), random.Random(dice)).lines[0]
        grades.append(right(question, answer_of(line, read_response(line, sent_for(line, answer)))))
    assert grades == [right(question, answer)] * 2


lengths = st.sampled_from(sorted(LENGTHS))


@given(st.fractions(0, 50, max_denominator=64), lengths, lengths, st.sampled_from(["0", "1/64", "1/4", "2"]))
def test_changing_the_unit_never_changes_the_grade(amount: Fraction, unit: str, other: str, tolerance: str) -> None:
    """Whatever length is answered, right or wrong: the same length in another unit gets the same grade."""
    question = Measure(code="m", rule="r", asks="?", value="guard-gap", tolerance=tolerance)
    same = amount * LENGTHS[unit] / LENGTHS[other]
    if max(same.numerator, same.denominator) < 10**9:  # as many digits as are read
        texts = [f"{length.numerator}/{length.denominator} {name}" for length, name in ((amount, unit), (same, other))]
        assert right(question, texts[0]) == right(question, texts[1])


@given(lengths)
def test_the_key_in_any_unit_is_right(unit: str) -> None:
    key = Fraction(1, 8) * LENGTHS["in"] / LENGTHS[unit]
    assert right(Measure(code="m", rule="r", asks="?", value="guard-gap"), f"{key.numerator}/{key.denominator} {unit}")


def test_grades_a_whole_form() -> None:
    bank = a_bank(
        rules=(a_rule("late"), a_rule("guard-low"), a_rule("early")),
        questions=(*every_kind("guard-low"), a_one("q-late", "late"), a_one("q-early", "early")),
    )
    keys = [(question.code, key_of(question)) for question in bank.questions]
    assert grade(bank, keys).perfect
    graded = grade(bank, [(code, None if code in ("q-early", "q-one", "q-late") else key) for code, key in keys])
    assert (graded.asked, graded.correct, graded.perfect) == (8, 5, False)
    assert graded.missed_rules == ("late", "guard-low", "early")
    assert graded.missed_questions == ("q-one", "q-late", "q-early")


def test_an_empty_form_is_not_perfect() -> None:
    assert not grade(a_bank(), []).perfect


def test_one_wrong_answer_of_many_is_not_perfect() -> None:
    bank = a_bank()
    keys = [(question.code, key_of(question)) for question in bank.questions]
    for place in range(len(keys)):
        changed = [(code, None if number == place else key) for number, (code, key) in enumerate(keys)]
        assert not grade(bank, changed).perfect
        assert grade(bank, changed).correct == len(keys) - 1
