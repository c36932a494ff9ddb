"""The blind rounds: samples that tell nothing of the key, and scores that are right."""

import json
from pathlib import Path

import pytest

from tests.shelf import blind
from tests.shelf.banks import CODES


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("blind")
    blind.write(path)
    return path


@pytest.fixture(scope="module")
def keys(directory: Path) -> dict[str, list[dict[str, object]]]:
    loaded: dict[str, list[dict[str, object]]] = json.loads((directory / "keys.json").read_text())
    return loaded


def test_every_bank_is_in_every_file_and_no_question_in_two(keys: dict[str, list[dict[str, object]]]) -> None:
    rounds = [items for name, items in keys.items() if name.startswith("round")]
    assert len(rounds) == 2 * blind.ROUNDS
    assert all({item["bank"] for item in items} == set(CODES) for items in keys.values())
    asked = [(item["bank"], item["code"]) for items in rounds for item in items]
    assert len(set(asked)) == len(asked)


def test_files_are_the_same_from_the_same_seed(directory: Path, tmp_path: Path) -> None:
    blind.write(tmp_path)
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {
        path.name: path.read_text() for path in directory.iterdir()
    }


def test_another_seed_asks_other_questions(directory: Path, tmp_path: Path) -> None:
    blind.main(["write", str(tmp_path), "7"])
    assert (tmp_path / "agreement.txt").read_text() != (directory / "agreement.txt").read_text()


def test_options_alone_say_neither_question_nor_rule_nor_bank() -> None:
    for item in blind.samples()["round1-options"]:
        text = "\n".join(item.lines(1, "options"))
        assert item.question.asks not in text
        assert blind.bank_of(item.bank).subject not in text
        assert "Rule:" not in text


def test_the_key_scores_all_and_blanks_score_nothing(
    directory: Path, keys: dict[str, list[dict[str, object]]], tmp_path: Path
) -> None:
    name = "round1-stems"
    answers = tmp_path / f"{name}.txt"
    answers.write_text("\n".join(f"{number}. {item['right']}" for number, item in enumerate(keys[name], 1)))
    *_, last = blind.score(keys, [answers])
    assert "100%" in last
    answers.write_text("no answer at all\n")
    *_, last = blind.score(keys, [answers])
    assert "  0%" in last


@pytest.mark.parametrize(
    ("kind", "right", "letters", "swaps", "hit"),
    [
        ("one", "b", "b", [], True),
        ("one", "b", "ab", [], False),
        ("several", "ac", "ca", [], True),
        ("several", "ac", "a", [], False),
        ("order", "bca", "bca", [], True),
        ("order", "bca", "bac", [], False),
        ("order", "bca", "bac", [[2, 3]], True),
        ("order", "bca", "abc", [[2, 3]], False),
        ("pair", "bd", "bd", [], True),
        ("pair", "bd", "b", [], False),
    ],
)
def test_an_answer_is_graded_as_the_quiz_does(
    kind: str, right: str, letters: str, swaps: list[list[int]], hit: bool
) -> None:
    assert blind.is_right({"kind": kind, "right": right, "swaps": swaps}, letters) == hit


def test_answers_are_read_with_or_without_stops() -> None:
    assert blind.read_answers("1. b\n2: a c e\n 3 CAB\nnothing\n") == {1: "b", 2: "ace", 3: "cab"}


def test_readers_who_agree_and_differ() -> None:
    keys = [{"bank": "x", "code": f"q-{right}", "kind": "one", "right": right, "swaps": []} for right in "abc"]
    lines = list(blind.agree(keys, {1: "a", 2: "b", 3: "d"}, {1: "a", 2: "c", 3: "d"}))
    assert lines[0].startswith("first   gave the key in    2 of 3")
    assert lines[2].startswith("both    gave the key in    1 of 3")
    assert [line.split()[2] for line in lines[4:]] == ["q-b:", "q-c:"]


def test_interval_of_a_share() -> None:
    """Wilson's interval for 8 of 10: 0.490 to 0.943."""
    low, high = blind.wilson(8, 10)
    assert (round(low, 3), round(high, 3)) == (0.490, 0.943)
