"""What neighbors share: the exact minimum, against scipy's integer programming, and the forms that are drawn."""

import random
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from quizzes.facts import BankText, History
from quizzes.questions.assembly import assemble
from quizzes.questions.overlap import least_shared, least_use, overlaps, shared
from tests.factories.bank_texts import a_bank, a_one, a_rule, plain_bank
from tests.shelf.banks import bank_of


def begun_one_after_the_other(bank: BankText, students: int, seed: int, *, looks: bool = True) -> list[list[str]]:
    """The forms of so many students within one hour; `looks` is whether each is drawn beside those before it."""
    dice, nearby, forms = random.Random(seed), Counter[str](), []
    for _ in range(students):
        history = History(nearby=dict(nearby) if looks else {})
        forms.append([line.code for line in assemble(bank, history, dice).lines])
        nearby.update(forms[-1])
    return forms


def fewest_pairs(bank: BankText, students: int) -> int:
    """The least number of (pair of students, question that both have): each use of a question costs those before it."""
    questions, rules = bank.live_questions, bank.live_rules
    cost = np.array([use for _ in questions for use in range(students)], float)
    of_rule = np.array(
        [[question.rule == rule.code for question in questions for _ in range(students)] for rule in rules], float
    )
    size = min(len(questions), max(bank.blueprint.ask, sum(rule.must_ask for rule in rules)))
    few = size <= len(rules)
    least = [students if rule.must_ask or not few else 0 for rule in rules]
    most = [students if few else np.inf for _ in rules]
    needs = [
        LinearConstraint(np.ones((1, len(cost))), students * size, students * size),
        LinearConstraint(of_rule, least, most),
    ]
    best = milp(cost, constraints=needs, integrality=np.ones(len(cost)), bounds=Bounds(0, 1))
    assert best.success
    return round(best.fun)


@st.composite
def uneven_banks(draw: st.DrawFn) -> BankText:
    sizes = draw(st.lists(st.integers(1, 5), min_size=1, max_size=6))
    musts = draw(st.lists(st.booleans(), min_size=len(sizes), max_size=len(sizes)))
    return a_bank(
        rules=tuple(a_rule(f"r{rule}", must_ask=must) for rule, must in enumerate(musts)),
        questions=tuple(a_one(f"r{rule}-q{n}", f"r{rule}") for rule, size in enumerate(sizes) for n in range(size)),
        ask=draw(st.integers(1, sum(sizes))),
    )


@given(uneven_banks(), st.integers(2, 9))
@settings(max_examples=60)
def test_least_shared_is_the_minimum(bank: BankText, students: int) -> None:
    assert least_shared(bank, students) * students * (students - 1) / 2 == pytest.approx(fewest_pairs(bank, students))


@given(uneven_banks(), st.integers(2, 9), st.integers(0, 2**63))
@settings(max_examples=60)
def test_forms_never_share_less_than_the_minimum_and_still_ask_what_they_must(
    bank: BankText, students: int, seed: int
) -> None:
    forms = begun_one_after_the_other(bank, students, seed)
    assert shared(forms) >= least_shared(bank, students) - 1e-9
    must = {rule.code for rule in bank.live_rules if rule.must_ask}
    size = sum(least_use(bank, students).values()) // students
    for form in forms:
        assert len(set(form)) == size
        assert must <= {code.split("-")[0] for code in form}


@pytest.mark.parametrize("code", ["general-shop-safety", "table-saw", "arc-welding", "plastics"])
@pytest.mark.parametrize("students", [2, 10, 30])
def test_drawn_forms_share_as_few_as_a_starter_bank_allows(code: str, students: int) -> None:
    bank = bank_of(code)
    least = least_shared(bank, students)
    mean = sum(shared(begun_one_after_the_other(bank, students, seed)) for seed in range(5)) / 5
    assert least <= mean + 1e-9 <= 1.02 * least + 0.05


def test_forms_drawn_without_the_others_share_more() -> None:
    bank = bank_of("arc-welding")
    alone = shared(begun_one_after_the_other(bank, 30, 1, looks=False))
    assert alone > 1.1 * shared(begun_one_after_the_other(bank, 30, 1))
    assert begun_one_after_the_other(bank, 3, 1) == begun_one_after_the_other(bank, 3, 1), "seeded"


def test_a_bank_with_enough_questions_shares_nothing() -> None:
    assert least_shared(plain_bank(4, 3, ask=4, must=4), 3) == 0
    assert shared(begun_one_after_the_other(plain_bank(4, 3, ask=4, must=4), 3, seed=1)) == 0
    assert least_shared(plain_bank(4, 3, ask=4, must=4), 4) == pytest.approx(4 / 6)
    assert least_shared(plain_bank(4, 3, ask=4), 1) == 0
    assert least_shared(a_bank(rules=(), questions=()), 5) == 0


def test_more_students_share_more() -> None:
    rows = overlaps(bank_of("table-saw"))
    assert [row.students for row in rows] == [2, 10, 20, 30]
    assert all(first.shared <= second.shared <= first.questions for first, second in pairwise(rows))
