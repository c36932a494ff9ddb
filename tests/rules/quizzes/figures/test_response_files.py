"""Files of answers: what is read, and how a bad one is named."""

import pytest

from quizzes.figures.rules.response_files import BadFile, check_alike, read_picks, read_responses


def read(text: str) -> list[list[int]]:
    return read_responses("a.csv", text.encode()).cells.tolist()


def test_answers_are_read_with_gaps() -> None:
    assert read("q1,q2,q3\n1,0,\n,1,1\n") == [[1, 0, -1], [-1, 1, 1]]


@pytest.mark.parametrize("text", ["\ufeffq1;q2\r\n1;0\r\n", "q1\tq2\n1\t0", ' q1 ,"q2"\n1, 0\n\n\n'])
def test_spreadsheets_of_other_programs_are_read(text: str) -> None:
    responses = read_responses("a.csv", text.encode())
    assert (responses.names, responses.cells.tolist()) == (("q1", "q2"), [[1, 0]])


BAD = [
    ("", "a.csv, line 1: the file is empty."),
    ("q1,q2\n", "a.csv, line 2: no answers."),
    ("q1,q2\n1,0\n1,x\n", "a.csv, line 3, column 2 (q2): “x” is not an answer."),
    ("q1,q2\n1,0\n1\n", "a.csv, line 3, column 2: 1 cells, and the header names 2 questions."),
    ("q1,q2\n1,0,1\n", "a.csv, line 2, column 3: 3 cells, and the header names 2 questions."),
    ("q1,q1\n1,0\n", "a.csv, line 1, column 2: “q1” is also the name of column 1."),
    ("q1,\n1,0\n", "a.csv, line 1, column 2: the question has no name."),
    ("1,0\n0,1\n", "a.csv, line 1: a row of answers."),
    ('q1,q2\n1,"0\n', "a.csv, line 2: "),
    ("q1,q2\n1,2\n", "a.csv, line 2, column 2 (q2): “2” is not an answer."),
]


@pytest.mark.parametrize(("text", "sentence"), BAD)
def test_a_bad_file_is_named_by_line_and_column(text: str, sentence: str) -> None:
    with pytest.raises(BadFile) as error:
        read(text)
    assert str(error.value).startswith(sentence)
    assert str(error.value).endswith(".")


def test_text_that_is_not_utf8_is_named_by_line_and_column() -> None:
    with pytest.raises(BadFile, match=r"^a.csv, line 2, column 2: not UTF-8 text"):
        read_responses("a.csv", b"q1,q2\n1,\xe9\n")


def test_options_are_read_with_their_key() -> None:
    picks = read_picks("o.csv", b"q1,q2\nA,b\nC,\n,b\n", "k.csv", b"q2,q1\nc,A\n")
    assert picks.codes == (("A", "C"), ("b", "c"))
    assert picks.keys == (0, 1)
    assert picks.cells.tolist() == [[0, 0], [1, -1], [-1, 0]]
    assert picks.responses().cells.tolist() == [[1, 0], [0, -1], [-1, 0]]


BAD_KEYS = [
    ("q1\nA\n", "o.csv, line 1, column 2: k.csv has no key for “q2”."),
    ("q1,q2,q3\nA,B,C\n", "k.csv, line 1, column 3: o.csv has no question “q3”."),
    ("q1,q2\nA,\n", "k.csv, line 2, column 2 (q2): the right code is missing."),
    ("q1,q2\nA,B\nB,A\n", "k.csv, line 3: the key has 2 rows."),
]


@pytest.mark.parametrize(("key", "sentence"), BAD_KEYS)
def test_a_bad_key_is_named_by_line_and_column(key: str, sentence: str) -> None:
    with pytest.raises(BadFile) as error:
        read_picks("o.csv", b"q1,q2\nA,B\n", "k.csv", key.encode())
    assert str(error.value).startswith(sentence)


def test_an_option_code_is_short() -> None:
    with pytest.raises(BadFile, match=r"^o.csv, line 2, column 1 \(q1\): the code is longer than 40"):
        read_picks("o.csv", b"q1\n" + b"A" * 41 + b"\n", "k.csv", b"q1\nA\n")


def test_answers_and_options_of_other_persons_are_refused() -> None:
    picks = read_picks("o.csv", b"q1,q2\nA,B\nB,B\n", "k.csv", b"q1,q2\nA,B\n")
    same = read_responses("a.csv", b"q1,q2\n1,1\n0,1\n")
    check_alike(same, picks, "a.csv", "o.csv")
    for text, sentence in [
        (b"q2,q1\n1,1\n0,1\n", "o.csv, line 1: the question names"),
        (b"q1,q2\n1,1\n", "o.csv: 2 rows, and a.csv has 1"),
        (b"q1,q2\n1,1\n1,1\n", r"o.csv, person 2, column 1 \(q1\): the key makes"),
    ]:
        with pytest.raises(BadFile, match=sentence):
            check_alike(read_responses("a.csv", text), picks, "a.csv", "o.csv")
