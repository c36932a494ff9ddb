"""Bank files: read, written, and refused with the line and what to do."""

import contextlib
import tomllib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.banks.files.rules import toml_writer
from quizzes.banks.files.rules.toml_file import BankFileError, read_bank, table_lines, write_bank
from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankText, Measure, Order, Pair, Spot
from tests.factories.bank_texts import a_bank, banks, every_kind, tables

FILE = '''\
[bank]
code = "band-saw"
subject = "Band saw"
language = "en"
about = "How to saw and keep your fingers."

[quiz]
ask = 2

[[value]]
code = "guard-gap"
says = "Guard above the wood"
amount = "1/8"
unit = "in"
source = "common practice"

[[rule]]
code = "guard-low"
says = "Set the guard just above the wood."
why = """
[[rule]] is no rule here.
"""
source = "29 CFR 1910.213(i)(1)"
must_ask = true
recall = { text = "Set the ____ just above the wood.", key = ["guard"] }

[[question]]
code = "q-one"
rule = "guard-low"
kind = "one"
asks = "Where does the guard go?"
right = "Just above the wood"
wrong = ["Up high", "In the drawer"]

[[question]]
code = "q-measure"
rule = "guard-low"
kind = "measure"
asks = "How far above the wood?"
value = "guard-gap"
tolerance = "1/32"

[machine]
code = "band-saw"
protect = ["eye", "hair"]
'''


def problems_of(text: str) -> list[str]:
    with pytest.raises(BankFileError) as caught:
        read_bank(text)
    return [str(problem) for problem in caught.value.problems]


def test_reads_a_file() -> None:
    bank = read_bank(FILE)
    assert (bank.code, bank.blueprint.ask, bank.blueprint.wait_minutes) == ("band-saw", 2, 5)
    assert [question.kind for question in bank.questions] == ["one", "measure"]
    assert bank.rule_by_code["guard-low"].must_ask
    assert isinstance(bank.questions[1], Measure)
    assert bank.questions[1].tolerance == "1/32"


def test_keeps_tables_it_does_not_know() -> None:
    bank = read_bank(FILE)
    assert bank.extras == {"machine": {"code": "band-saw", "protect": ["eye", "hair"]}}
    assert tomllib.loads(write_bank(bank))["machine"] == {"code": "band-saw", "protect": ["eye", "hair"]}


def test_writing_what_was_read_gives_the_same_bytes() -> None:
    once = write_bank(read_bank(FILE))
    assert write_bank(read_bank(once)) == once


@given(banks())
def test_any_bank_comes_back_as_it_went_out(bank: BankText) -> None:
    text = write_bank(bank)
    again = read_bank(text)
    assert again == bank
    assert write_bank(again) == text
    assert from_data(to_data(bank)) == bank


@given(st.dictionaries(st.text(max_size=6), tables, max_size=4))
def test_toml_says_what_the_data_says(data: dict[str, object]) -> None:
    text = toml_writer.dump(data)
    assert tomllib.loads(text) == data
    assert toml_writer.dump(tomllib.loads(text)) == text


def test_every_kind_survives() -> None:
    bank = a_bank()
    assert read_bank(write_bank(bank)).questions == every_kind()


def test_a_retired_question_stays_in_the_file_and_is_not_asked() -> None:
    first, *rest = every_kind()
    bank = read_bank(write_bank(a_bank(questions=(replace(first, retired=True), *rest))))
    assert first.code in bank.question_by_code
    assert first.code not in {question.code for question in bank.live_questions}


@pytest.mark.parametrize(
    ("change", "to", "said"),
    [
        ('code = "q-one"', 'code = "Q one"', "line 27, question Q one: “code” must be small letters"),
        (
            'rule = "guard-low"\nkind = "one"',
            'rule = "gone"\nkind = "one"',
            "line 27, question q-one: There is no rule “gone”",
        ),
        ('kind = "one"', 'kind = "many"', "line 27, question q-one: “kind” must be one of one, several"),
        ('right = "Just above the wood"', "", "line 27, question q-one: “right” is missing"),
        ('right = "Just above the wood"', 'right = " "', "line 27, question q-one: “right” is empty"),
        ('right = "Just above the wood"', "right = 3", "line 27, question q-one: “right” must be a text"),
        ('wrong = ["Up high", "In the drawer"]', "wrong = []", "line 27, question q-one: “wrong” needs at least 1"),
        ('"Up high"', '"A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L"', "12 answers at most"),
        (
            "must_ask = true",
            "must_as = true",
            "line 17, rule guard-low: “must_as” is not known here. Did you mean must_ask?",
        ),
        ("must_ask = true", "must_ask = 1", "line 17, rule guard-low: “must_ask” must be true or false"),
        ("the ____ just", "the guard just", "line 17, rule guard-low, recall: “text” needs one blank"),
        ('key = ["guard"]', "key = []", "line 17, rule guard-low, recall: “key” needs at least 1"),
        ('amount = "1/8"', 'amount = "1/0"', "line 10, value guard-gap: “amount”: A fraction can't"),
        ('amount = "1/8"', "amount = 0.125", "line 10, value guard-gap: “amount” must be a text"),
        ('tolerance = "1/32"', 'tolerance = "a bit"', "line 35, question q-measure: “tolerance”"),
        ('value = "guard-gap"', 'value = "other"', "line 35, question q-measure: There is no number to know “other”"),
        ("ask = 2", "ask = 0", "line 7, [quiz]: “ask” must be from 1 to 100"),
        ("ask = 2", "ask = true", "line 7, [quiz]: “ask” must be a whole number"),
        ("[quiz]\nask = 2", "", "[quiz]: The table [quiz] is missing"),
        ('code = "q-measure"', 'code = "q-one"', "line 35, question q-one: The code “q-one” appears twice"),
        ('[machine]\ncode = "band-saw"', "[machine]\nday = 2026-01-01", "[machine]: It holds a date"),
        ('subject = "Band saw"', "subject = Band saw", "line 3, the file: This is not TOML"),
        ("[[question]]", "[question]", "the file: This is not TOML"),
    ],
)
def test_names_the_line_and_what_to_do(change: str, to: str, said: str) -> None:
    assert change in FILE
    assert any(said in problem for problem in problems_of(FILE.replace(change, to, 1)))


def test_names_every_problem_at_once() -> None:
    text = FILE.replace("must_ask = true", "must_as = true").replace('kind = "one"', 'kind = "many"')
    assert len(problems_of(text)) == 2


def test_a_problem_in_one_question_does_not_blame_another() -> None:
    assert problems_of(FILE.replace('kind = "one"', 'kind = "many"')) == [
        "line 27, question q-one: “kind” must be one of one, several, order, pair, spot, measure."
    ]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "x",
        "[[bank]]",
        "bank = 3\nquiz = 4",
        "question = 5\n" + FILE,
        "a = " + "[" * 3000,
        FILE + "x = 1\n" * 60000,
        FILE + '[[question]]\nkind = "one"',
        FILE + "[[question]]\ncode = 5\nkind = []",
        '[quiz]\nask = "many"',
        "\x00",
    ],
)
def test_invalid_rule_set_file_is_refused(text: str) -> None:
    assert problems_of(text)


@given(st.dictionaries(st.sampled_from(["bank", "quiz", "value", "rule", "question", "x"]), tables))
def test_no_data_breaks_the_reader(data: dict[str, object]) -> None:
    with pytest.raises(BankFileError):
        from_data(data)


@given(st.data())
def test_no_field_breaks_the_reader(data: st.DataObject) -> None:
    """One field of a good bank replaced by anything: read, or refused by name."""
    bank = to_data(a_bank())
    table = data.draw(st.sampled_from(["value", "rule", "question"]))
    row = data.draw(st.sampled_from(bank[table]))
    row[data.draw(st.sampled_from(sorted(row)))] = data.draw(tables)
    with contextlib.suppress(BankFileError):
        read = from_data(bank)
        assert from_data(to_data(read)) == read


def test_places_and_swaps_are_checked() -> None:
    def said(kind: type, **change: object) -> str:
        data = to_data(a_bank())
        row = next(row for row in data["question"] if row["kind"] == kind.kind)
        row.update(change)
        with pytest.raises(BankFileError) as caught:
            from_data(data)
        return str(caught.value)

    assert "The places are 1 to 4" in said(Order, may_swap=[[4, 5]])
    assert "names a place twice" in said(Order, may_swap=[[1, 2], [2, 3]])
    assert "groups of places" in said(Order, may_swap=[[1]])
    assert "1 to 3" in said(Spot, right=4)
    assert "at least 3 corners" in said(
        Spot, places=[{"says": "a", "points": [[0, 0]]}, {"says": "b", "points": [[0, 0]]}]
    )
    assert "list of pairs" in said(Pair, pairs=[["a", "b"], ["c"]])
    assert "no folder" in said(Spot, picture="../secret.svg")


def test_headers_in_long_texts_are_not_counted() -> None:
    assert table_lines(FILE)["rule", 0] == 17
    assert ("rule", 1) not in table_lines(FILE)
