"""Bank checks: each finds what it is for, names the question and says what to do; a good bank passes."""

from dataclasses import replace
from pathlib import Path

import pytest
from django.conf import settings
from scipy.stats import binomtest

from quizzes.banks.files.rules.toml_file import read_bank
from quizzes.banks.rules.checks import at_least, blocks, check
from quizzes.banks.rules.findings import ERROR, WARNING, Finding
from quizzes.facts import AllThatApply, BankText, Measure, OneAnswer, Pair, Place, Spot
from quizzes.questions.translating import texts
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind

ASKS = (
    "Where does the guard go?",
    "You pick up a thin board. What do you move first?",
    "Who may lift the guard while the blade turns?",
)
RIGHT = ("Just above the wood", "The blade guard", "No one")


def good_bank(**more: object) -> BankText:
    """One rule, three plain questions: nothing to find."""
    questions = tuple(
        a_one(
            f"q{number}",
            asks=asks,
            right=right,
            wrong=("At the top of the post", "My left hand and arm", "The bell rings"),
        )
        for number, (asks, right) in enumerate(zip(ASKS, RIGHT, strict=True))
    )
    return replace(a_bank(questions=questions, ask=3), **more)


def with_question(change: object) -> BankText:
    bank = good_bank()
    return replace(bank, questions=(*bank.questions[:2], change))


def found(bank: BankText, name: str) -> list[Finding]:
    return [finding for finding in check(bank) if finding.check == name]


def test_a_good_bank_has_no_finding() -> None:
    assert check(good_bank()) == ()


def test_errors_come_first_and_only_they_block() -> None:
    bank = good_bank(rules=(a_rule(source=""),), questions=(a_one(),))
    levels = [finding.level for finding in check(bank)]
    assert levels == sorted(levels)
    assert blocks(check(bank))
    assert not blocks([Finding(WARNING, "x", "", "")])


def test_every_rule_is_tested_by_enough_questions() -> None:
    bank = good_bank()
    bare = replace(bank, rules=(*bank.rules, a_rule("bare")))
    assert [(finding.level, finding.where) for finding in found(bare, "enough")] == [(ERROR, "bare")]
    two = replace(bank, questions=bank.questions[:2], blueprint=replace(bank.blueprint, ask=2))
    assert [(finding.level, finding.where) for finding in found(two, "enough")] == [(WARNING, "guard-low")]
    assert "lacks 1 question" in found(two, "enough")[0].sentence
    longer_quiz = replace(bank, blueprint=replace(bank.blueprint, ask=5))
    assert [(finding.level, finding.where) for finding in found(longer_quiz, "enough")] == [(ERROR, "")]


def test_an_empty_bank_says_what_to_begin_with() -> None:
    assert [finding.sentence for finding in check(a_bank(rules=(), questions=(), values=()))][:2] == [
        "There is no rule yet. Write the first rule.",
        "There is no question yet. Write one for each rule.",
    ]


@pytest.mark.parametrize(
    ("field", "name"), [({"source": " "}, "source"), ({"why": ""}, "why"), ({"recall": None}, "recall")]
)
def test_a_rule_has_source_reason_and_recall(field: dict, name: str) -> None:
    assert [(finding.level, finding.where) for finding in found(good_bank(rules=(a_rule(**field),)), name)] == [
        (ERROR, "guard-low")
    ]


def test_a_stored_value_has_a_source() -> None:
    assert [finding.where for finding in found(good_bank(values=(replace(GAP, source=""),)), "source")] == ["guard-gap"]


@pytest.mark.parametrize("text", ["All of the above", "none of these", "Both A and B", "Any of them"])
def test_no_sweeping_answer(text: str) -> None:
    findings = found(with_question(a_one("q2", asks=ASKS[2], wrong=("Up", "Down", text))), "sweeping")
    assert [(finding.level, finding.where) for finding in findings] == [(ERROR, "q2")]
    assert text in findings[0].sentence


@pytest.mark.parametrize(
    ("wrong", "level"),
    [(("just above the wood.", "Up"), ERROR), (("Up ", "up"), ERROR), (("Just above the woods", "Up"), WARNING)],
)
def test_no_two_answers_alike(wrong: tuple[str, ...], level: str) -> None:
    assert [(finding.level, finding.where) for finding in found(with_question(a_one("q2", wrong=wrong)), "alike")] == [
        (level, "q2")
    ]


def test_no_two_left_items_alike() -> None:
    pair = Pair(code="p", rule="guard-low", asks="Match.", pairs=(("Eyes", "Glasses"), ("eyes", "Muffs")))
    assert [finding.level for finding in found(with_question(pair), "alike")] == [ERROR]


def test_the_key_may_not_be_the_longest_too_often() -> None:
    long = [
        a_one(f"q{n}", asks=f"{asks} {n}", right="The longest answer of all of them", wrong=("a", "b", "c"))
        for n, asks in enumerate("xyz")
    ]
    findings = found(a_bank(questions=tuple(long), ask=3), "longest")
    assert [finding.level for finding in findings] == [WARNING]
    assert "q0, q1, q2" in findings[0].sentence
    mixed = (
        *long[:1],
        *(replace(question, right="a", wrong=("The longest by far", "b", "c")) for question in long[1:]),
    )
    assert not found(a_bank(questions=mixed, ask=3), "longest")


@pytest.mark.parametrize(("hits", "count", "options"), [(3, 3, 4), (5, 12, 4), (1, 8, 3), (0, 5, 4), (9, 9, 2)])
def test_the_chance_of_so_many_is_the_exact_binomial(hits: int, count: int, options: int) -> None:
    exact = binomtest(hits, count, 1 / options, alternative="greater").pvalue
    assert at_least(hits, [1 / options] * count) == pytest.approx(exact)


def test_unlike_chances_add_up_exactly() -> None:
    assert at_least(2, [0.5, 0.25]) == pytest.approx(0.125)
    assert at_least(1, [0.5, 0.25]) == pytest.approx(1 - 0.5 * 0.75)


def test_near_duplicates_are_named() -> None:
    first = a_one("q1", asks="Where does the blade guard go before you start?")
    twin = replace(first, code="q2", asks="Where does the blade guard go before you start?!")
    assert [
        (finding.level, finding.where)
        for finding in found(a_bank(questions=(first, twin, a_one("q3", asks=ASKS[2])), ask=3), "twin")
    ] == [(WARNING, "q2")]


def spot(alt: str) -> Spot:
    places = [
        Place(says=says, points=((0, 0), (1, 0), (1, 1)))
        for says in ("In line with the blade", "On the table edge", "Near the wheel")
    ]
    return Spot(
        code="s", rule="guard-low", asks="Where?", picture="a.svg", picture_alt=alt, places=tuple(places), right=1
    )


@pytest.mark.parametrize(
    ("alt", "bad"),
    [
        ("", True),
        ("A saw. The blade is on the left.", True),
        ("A saw from the front: blade, table and wheel.", False),
        ("A saw with three letters on it.", False),
        ("Three places; the correct one is at the front.", True),
    ],
)
def test_words_for_a_picture_do_not_give_the_place_away(alt: str, bad: bool) -> None:
    assert bool(found(with_question(spot(alt)), "alt")) is bad
    assert not bad or found(with_question(spot(alt)), "alt")[0].level == ERROR


def test_a_picture_of_a_rule_has_words() -> None:
    assert [finding.where for finding in found(good_bank(rules=(a_rule(picture="a.svg"),)), "alt")] == ["guard-low"]


@pytest.mark.parametrize(
    ("says", "asks", "bad"),
    [
        ("Set the guard 1/4 in above the wood.", "How far?", True),
        ("Set the guard 1/8 in above the wood.", "How far?", False),
        ("Set the guard 3.175 mm above the wood.", "How far?", False),
        ("Set the guard just above the wood.", "How far?", False),
        ("Set the guard just above the wood.", "Is it 1/8 inch or more?", True),
        ("Set the guard just above the wood.", "Is it 1/2 inch or more?", False),
    ],
)
def test_a_measure_says_what_is_stored(says: str, asks: str, bad: bool) -> None:
    measure = Measure(code="m", rule="guard-low", asks=asks, value="guard-gap")
    bank = replace(with_question(measure), rules=(a_rule(says=says),))
    assert [(finding.level, finding.where) for finding in found(bank, "value")] == ([(ERROR, "m")] if bad else [])


def test_long_sentences_and_hard_words_are_named() -> None:
    long = "You must always look at the guard and then at the wood and then at the blade and then at me."
    assert [finding.where for finding in found(with_question(a_one("q2", asks=long)), "long")] == ["q2"]
    hard = "Configuration of protective equipment necessitates considerable deliberation beforehand."
    bank = with_question(a_one("q2", asks=hard))
    assert {finding.where for finding in found(bank, "grade")} == {"q2", ""}
    assert all(finding.level == WARNING for finding in found(bank, "grade"))
    assert not found(replace(bank, language="es"), "grade")


def test_a_rule_fits_a_wall_card() -> None:
    wordy = a_rule(says="Set the guard just above the wood and then look at it again from the side twice.")
    assert [finding.where for finding in found(good_bank(rules=(wordy,)), "rule-length")] == ["guard-low"]


def test_an_answer_short_of_company_is_named() -> None:
    only = AllThatApply(code="q2", rule="guard-low", asks=ASKS[2], right=("One", "Two"), wrong=())
    for short in (only, a_one("q2", asks=ASKS[2], wrong=("Up",))):
        assert [(finding.level, finding.where) for finding in found(with_question(short), "two-answers")] == [
            (WARNING, "q2")
        ]
    assert not found(with_question(replace(only, wrong=("Three",))), "two-answers")


def test_all_answers_may_be_right_now_and_then() -> None:
    questions = tuple(
        AllThatApply(
            code=f"q{number}",
            rule="guard-low",
            asks=f"What keeps your hand {word}?",
            right=("One", "Two"),
            wrong=("Three",),
        )
        for number, word in enumerate(
            ("safe", "whole", "off it", "dry", "warm", "still", "clean", "flat", "back", "low")
        )
    )

    def all_right(*numbers: int) -> BankText:
        changed = (replace(question, right=("One", "Two", "Three"), wrong=()) for question in questions)
        return a_bank(
            questions=tuple(
                whole if number in numbers else question
                for number, (whole, question) in enumerate(zip(changed, questions, strict=True))
            )
        )

    assert not found(all_right(0, 1), "all-right")
    (finding,) = found(all_right(0, 1, 7), "all-right")
    assert finding.level == WARNING
    assert "in 3 of 10 questions" in finding.sentence
    assert "q0, q1, q7" in finding.sentence
    assert not blocks([finding])


def test_retired_questions_are_not_looked_at() -> None:
    first, *rest = every_kind()
    assert isinstance(first, OneAnswer)
    bad = replace(first, retired=True, wrong=("All of the above", "all of the above"))
    assert not found(a_bank(questions=(bad, *rest)), "sweeping")


@pytest.mark.parametrize(
    "path",
    sorted(set(Path(settings.SHELF).glob("*.toml")) - {Path(settings.SHELF, "starter-shops.toml")}),
    ids=lambda path: path.stem,
)
def test_the_shelf_has_no_errors(path: Path) -> None:
    findings = check(read_bank(path.read_text(encoding="utf-8")))
    assert [f"{finding.where}: {finding.sentence}" for finding in findings if finding.level == ERROR] == []


def test_changed_text_without_a_translation_is_named() -> None:
    translations = {text: f"{text} (es)" for text in texts((a_rule(), a_one()))}
    bank = a_bank(questions=(a_one(),), ask=1, extras={"text": {"es": translations}})
    assert not [finding for finding in check(bank) if finding.check == "language"]
    changed = replace(bank, questions=(a_one(right="Low down"),))
    (finding,) = [finding for finding in check(changed) if finding.check == "language"]
    assert finding.level == "warning"
    assert "read in en: guard-low-1." in finding.sentence
