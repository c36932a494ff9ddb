"""Which rules to reteach, the warm-up made of them, and who sits together."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.facts import BankText
from quizzes.figures.rules.reteaching import FirstTry, met_and_missed, pairings, reteaching, warm_up
from tests.factories.bank_texts import a_bank, a_rule

RULES = ("r0", "r1", "r2", "r3", "r4", "r5")


def bank() -> BankText:
    return a_bank(rules=tuple(a_rule(code, says=f"Keep {code}.") for code in RULES))


def first_try(student: int, missed: str = "", met: str = "r0 r1 r2 r3 r4 r5") -> FirstTry:
    return FirstTry(student, frozenset(met.split()), frozenset(missed.split()))


def page(counts: dict[str, tuple[int, int]], tried: int = 20, before: Any = None) -> Any:
    return reteaching(bank(), counts, tried, before or {})


def test_rules_missed_by_the_largest_share_come_first() -> None:
    rows = page({"r0": (20, 4), "r1": (10, 6), "r2": (20, 9), "r3": (20, 1)}).rows
    assert [row.rule.code for row in rows] == ["r1", "r2", "r0"]


def test_three_rules_with_enough_students_are_chosen() -> None:
    counts = {"r0": (7, 6), "r1": (20, 9), "r2": (20, 8), "r3": (20, 7), "r4": (20, 6)}
    assert [rule.code for rule in page(counts).chosen] == ["r1", "r2", "r3"]


def test_a_rule_missed_by_one_student_landed() -> None:
    result = page({"r0": (20, 1), "r1": (20, 0), "r2": (20, 2)})
    assert [rule.code for rule in result.landed] == ["r0", "r1"]


def test_a_rule_no_student_met_is_not_shown() -> None:
    result = page({"r0": (20, 5)})
    assert [row.rule.code for row in result.rows] == ["r0"]
    assert result.landed == ()


@pytest.mark.parametrize(("tried", "few"), [(4, True), (5, False)])
def test_fewer_than_five_students_are_not_shown_as_a_group(tried: int, few: bool) -> None:
    result = page({"r0": (tried, 3)}, tried=tried)
    assert (result.few, bool(result.rows)) == (few, not few)


def test_last_term_is_shown_when_enough_students_met_the_rule() -> None:
    rows = page({"r0": (20, 5), "r1": (20, 4)}, before={"r0": (40, 12), "r1": (5, 5)}).rows
    assert [row.before_words for row in rows] == ["last term 3 in 10", ""]


def test_met_and_missed_counts_each_student_once_a_rule() -> None:
    tries = [first_try(1, "r0", "r0 r1"), first_try(2, "r0 r1", "r0 r1"), first_try(3, "", "r1")]
    assert met_and_missed(tries) == {"r0": (2, 2), "r1": (3, 1)}


def test_warm_up_fills_its_questions_from_the_next_rules() -> None:
    result = warm_up(bank(), ["r2", "r1"], [], ["r1", "r5", "r4", "r3", "r0"])
    assert [rule.code for rule in result.poster] == ["r2", "r1"]
    assert [question.rule.code for question in result.questions] == ["r2", "r1", "r5", "r4", "r3"]
    assert result.questions_words == "Five questions"


def test_warm_up_leaves_out_rules_without_a_blank_and_unknown_ones() -> None:
    rules = (a_rule("r0", recall=None), a_rule("r1"))
    result = warm_up(a_bank(rules=rules), ["r0", "r1", "none-such"], [])
    assert [rule.code for rule in result.poster] == ["r0", "r1"]
    assert [question.rule.code for question in result.questions] == ["r1"]


def test_student_who_missed_sits_with_one_who_met_and_knew_the_rule() -> None:
    tries = [first_try(1, "r1"), first_try(2, "", "r0"), first_try(3, "r5"), first_try(4)]
    (pair,) = pairings(tries, ["r1"], bank())
    assert (pair.learner, pair.helper, [rule.code for rule in pair.rules]) == (1, 4, ["r1"])


@given(st.lists(st.tuples(st.sets(st.sampled_from(RULES)), st.sets(st.sampled_from(RULES))), max_size=12))
def test_pairs_use_each_student_once_and_a_helper_who_knows_the_rule(cases: list[tuple[set[str], set[str]]]) -> None:
    tries = [FirstTry(n, frozenset(met | missed), frozenset(missed)) for n, (met, missed) in enumerate(cases)]
    pairs = pairings(tries, ["r0", "r1"], bank())
    assert sorted(pair.learner for pair in pairs) == [t.student for t in tries if t.missed & {"r0", "r1"}]
    seated = [student for pair in pairs for student in (pair.learner, pair.helper) if student is not None]
    assert len(seated) == len(set(seated))
    for pair in pairs:
        if pair.helper is not None:
            assert not tries[pair.helper].missed & {"r0", "r1"}
            assert tries[pair.helper].met & {rule.code for rule in pair.rules}
