"""The commands of banks print JSON: bank_check FILE and guess_risk."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.files.rules.zip_file import pack
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one
from tests.factories.banks import bank_text, make_bank


def run(*words: str) -> tuple[int, dict[str, Any]]:
    output, code = StringIO(), 0
    try:
        call_command(*words, stdout=output)
    except SystemExit as end:
        code = int(str(end.code))
    return code, json.loads(output.getvalue())


def test_bank_check_finds_nothing_that_blocks_on_the_shelf() -> None:
    code, report = run("bank_check", str(Path(settings.SHELF) / "band-saw.toml"))
    assert (code, report["blocks"], report["problems"]) == (0, False, [])


def test_bank_check_reads_a_zip(tmp_path: Path) -> None:
    file = tmp_path / "bank.zip"
    file.write_bytes(pack("bank", write_bank(a_bank()), {}))
    assert run("bank_check", str(file))[1]["problems"] == []


def test_bank_check_names_the_question_and_blocks(tmp_path: Path) -> None:
    file = tmp_path / "bank.toml"
    file.write_text(write_bank(a_bank(questions=(a_one(wrong=("All of the above", "Up")),), ask=1)), encoding="utf-8")
    code, report = run("bank_check", str(file))
    (error,) = [finding for finding in report["findings"] if finding["level"] == "error"]
    assert (code, error["check"], error["where"]) == (1, "sweeping", "guard-low-1")


def test_bank_check_names_the_line_that_can_not_be_read(tmp_path: Path) -> None:
    file = tmp_path / "bank.toml"
    file.write_text('[bank]\ncode = "x"\nsubject = \n', encoding="utf-8")
    code, report = run("bank_check", str(file))
    assert (code, report["problems"][0]["line"]) == (1, 3)
    with pytest.raises(CommandError, match="can't be read"):
        call_command("bank_check", str(tmp_path / "nothing.toml"))


def test_guess_risk_of_so_many_options_asks_no_database() -> None:
    """No `db` fixture: a query would fail. Ten of four: 9.5367e-7 knowing nothing."""
    code, report = run("guess_risk", "--options", ",".join(["4"] * 10), "--tries", "3")
    assert code == 0
    assert report["perfect_knowing_nothing"] == pytest.approx(9.5367e-7, rel=1e-4)
    assert report["perfect_once"] == pytest.approx(0.19687, abs=5e-6)
    assert report["perfect_within_tries"] == pytest.approx(0.48198, abs=5e-6)
    assert report["questions_needed"] == 26


def test_guess_risk_of_a_bank(cast: Cast) -> None:
    make_bank(cast.school, bank_text(rules=20, each=3, ask=20))
    code, report = run("guess_risk", "band-saw", "--knows", "0.8", "--tries", "1")
    assert (code, report["questions"], report["in_words"]) == (0, 20, "about once in 26")
    assert report["neighbors_share"] == {"2": 0, "10": 5.333, "20": 6.0, "30": 6.207}


@pytest.mark.parametrize(
    "words",
    [
        ("--options", "4,x"),
        ("--options", "1"),
        ("--options", "4", "--knows", "2"),
        ("--options", "4", "--knows", "much"),
        ("--options", "4", "--tries", "0"),
        (),
    ],
)
def test_guess_risk_says_what_it_can_not_read(words: tuple[str, ...]) -> None:
    with pytest.raises(CommandError):
        call_command("guess_risk", *words, stdout=StringIO())
