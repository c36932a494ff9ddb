"""Which sentence of a rule decides a question: read, checked against the rule, kept by the editor's data."""

from dataclasses import replace

import pytest

from quizzes.banks.rules.data import from_data, to_data
from quizzes.banks.rules.fields import BankFileError
from quizzes.facts import BankText, deciding_words, sentences
from tests.factories.bank_texts import a_bank, a_one, a_rule

RULE = a_rule("two", says="Stand aside. Keep out of the line of the board!", why="It flies.")


def bank(*decided_by: int) -> BankText:
    return replace(a_bank(), rules=(RULE,), questions=(a_one("q", "two", decided_by=decided_by),), values=())


def test_sentences_keep_their_stops() -> None:
    assert sentences(RULE.says) == ("Stand aside.", "Keep out of the line of the board!")
    assert sentences("Gap of 1.5 in at most.") == ("Gap of 1.5 in at most.",)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [((), ()), ((2,), ("Keep out of the line of the board!",)), ((0, 1), ("It flies.", "Stand aside.")), ((9,), ())],
)
def test_question_names_the_words_that_decide_it(numbers: tuple[int, ...], words: tuple[str, ...]) -> None:
    assert deciding_words(RULE, a_one("q", "two", decided_by=numbers)) == words


def test_sentence_numbers_come_back_from_data() -> None:
    assert from_data(to_data(bank(0, 2))) == bank(0, 2)
    assert "decided_by" not in to_data(bank())["question"][0]


@pytest.mark.parametrize("numbers", [[3], [-1], [1, 1], ["1"], [True], 1])
def test_sentence_that_the_rule_does_not_have_is_refused(numbers: object) -> None:
    data = to_data(bank())
    data["question"][0]["decided_by"] = numbers
    with pytest.raises(BankFileError, match="decided_by"):
        from_data(data)
