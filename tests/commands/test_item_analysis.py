"""manage.py item_analysis prints JSON: from files of answers, or from the attempts at a bank."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from quizzes.attempts.acts import void_attempt
from quizzes.figures import counting
from quizzes.models import AnswerCount, CountedAttempt, RuleCount, ScoreCount
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, learn, published, take

ROWS = """
1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110
"""


def run(*words: object) -> dict[str, Any]:
    output = StringIO()
    call_command("item_analysis", *map(str, words), stdout=output)
    data: dict[str, Any] = json.loads(output.getvalue())
    return data


def file(folder: Path, name: str, *lines: str) -> Path:
    path = folder / name
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_responses_give_the_figures_of_a_test_without_a_database(tmp_path: Path) -> None:
    """No `db` fixture: a query would fail. The values are those of tests/outside/test_item_analysis.py."""
    names = ",".join(f"q{number}" for number in range(1, 11))
    data = run("--responses", file(tmp_path, "a.csv", names, *(",".join(row) for row in ROWS.split())))
    assert (data["n"], data["k"], data["mean"], data["variance"]) == (10, 10, pytest.approx(6.6), pytest.approx(5.84))
    assert (data["kr20"], data["kr21"]) == pytest.approx((0.696347, 0.684170), abs=5e-7)
    assert data["sem"] == pytest.approx((5.84 * (1 - data["kr20"])) ** 0.5)
    item = data["items"][0]
    assert item["name"] == "q1"
    keys = {"p", "p_low", "p_high", "r_pb", "r_rest", "d27", "alpha_if_deleted"}
    assert keys <= item.keys()
    assert [item["p"], item["r_pb"], item["r_rest"], item["d27"]] == pytest.approx(
        [0.7, 0.7946, 0.7059, 0.8056], abs=5e-5
    )


def test_options_and_key_add_the_options_of_each_question(tmp_path: Path) -> None:
    options = file(tmp_path, "o.csv", "q1,q2,q3", "A,B,C", "A,B,A", "B,B,C", "A,C,C")
    key = file(tmp_path, "k.csv", "q1,q2,q3", "A,B,C")
    first = run("--options", options, "--key", key)["items"][0]
    assert first["p"] == 0.75
    right, wrong = first["options"]
    assert (right["code"], right["share"], wrong["code"], wrong["share"]) == ("A", 0.75, "B", 0.25)
    assert right["mean_rest"] == pytest.approx(4 / 3)  # 2, 1 and 1 right of the other two
    assert wrong["mean_rest"] == 2
    assert right["r_rest"] == pytest.approx(first["r_rest"]) == pytest.approx(-wrong["r_rest"])


def test_a_figure_that_can_not_be_had_is_null_with_a_reason(tmp_path: Path) -> None:
    data = run("--responses", file(tmp_path, "a.csv", "q1,q2", "1,1", "1,1"))
    assert (data["kr20"], data["reasons"]["kr20"]) == (None, "every total is the same")
    assert data["items"][0]["reasons"]["r_pb"] == "every answer is right"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "Give a bank, or --responses FILE, or --options FILE --key FILE."),
        (["--options", "o.csv"], "--options and --key go together"),
        (["--responses", "nothing.csv"], "nothing.csv can't be read"),
    ],
)
def test_the_command_says_what_it_needs(words: list[str], sentence: str) -> None:
    with pytest.raises(CommandError, match=sentence):
        run(*words)


def test_a_bad_file_is_named_by_line_and_column(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"a.csv, line 3, column 2 \(q2\): “x” is not an answer"):
        run("--responses", file(tmp_path, "a.csv", "q1,q2", "1,0", "1,x"))


def test_a_bank_is_analyzed_on_first_attempts(cast: Cast) -> None:
    bank = published(cast.teacher)
    missed = take(cast.student, bank, wrong=["r0"])
    learn(missed, AT + 10 * MINUTE)
    take(cast.student, bank, at=AT + DAY)
    take(cast.classmate, bank)
    data = run("band-saw")
    assert (data["attempts"], data["first_attempts"], data["n"]) == (3, 2, 2)
    assert sum(item["n"] for item in data["items"]) == 6
    assert set(data["not_judged"].values()) == {"fewer than 20 first attempts"}
    assert (data["flags"], data["certainty"]["measured"]) == ([], False)
    assert {item["r_rest"] for item in data["items"]} == {None}
    assert {item["reasons"]["r_rest"] for item in data["items"]} == {"fewer than 20 first attempts"}
    later = [item["later_less_first"]["n_after"] for item in data["items"]]
    assert sum(later) == 3


def test_a_voided_attempt_is_left_out(cast: Cast) -> None:
    bank = published(cast.teacher)
    first = take(cast.student, bank)
    void_attempt(by=cast.teacher, attempt=first.pk, reason="Looked at a neighbor's screen.", at=AT + DAY)
    data = run("band-saw")
    assert (data["attempts"], data["n"]) == (0, 0)


def test_keep_stores_the_counts_of_older_attempts_once(cast: Cast) -> None:
    bank = published(cast.teacher)
    take(cast.student, bank)
    for model in (CountedAttempt, AnswerCount, RuleCount, ScoreCount):
        model.objects.all().delete()  # as in a school whose attempts are older than the counts
    before = run("band-saw")
    assert run("band-saw", "--keep") == before == run("band-saw", "--keep")
    assert counting.kept(bank.pk) == counting.recount(bank.pk, cast.school.time_zone)


def test_keep_without_a_bank_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="--keep goes with a bank"):
        run("--responses", file(tmp_path, "a.csv", "q1,q2", "1,0"), "--keep")
