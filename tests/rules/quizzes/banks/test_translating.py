"""A bank in another language: whole questions or none, and graded as ever."""

import random
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from quizzes.banks.files.rules.toml_file import read_bank, write_bank
from quizzes.facts import BankText, EditionText, History, Measure, Pair, Question, Recall, option_texts
from quizzes.questions.answering import answer_of, read_response
from quizzes.questions.assembly import assemble
from quizzes.questions.grading import is_right
from quizzes.questions.showing import show
from quizzes.questions.translating import in_language, language_used, languages, texts
from quizzes.relearning.rules.recalling import is_recalled
from tests.factories.bank_texts import a_bank, every_kind, questions
from tests.rules.quizzes.attempts.sending import sent_for
from tests.rules.quizzes.attempts.test_grading import key_of, single_changes

WHOLE = {text: f"es {text}" for item in (*a_bank().rules, *every_kind()) for text in texts(item)}


def bank_with(translations: dict[str, object], **more: object) -> BankText:
    return replace(a_bank(), extras={"text": {"es": translations}}, **more)  # type: ignore[arg-type]


def in_spanish(bank: BankText) -> BankText:
    return in_language(EditionText(bank=bank), "es").bank


def test_every_text_that_is_read_is_translated() -> None:
    bank = in_spanish(bank_with(dict(WHOLE)))
    read = [text for item in (*bank.rules, *bank.questions) for text in texts(item)]
    assert all(text.startswith("es ") for text in read)
    assert {"es Just above the wood", "es Ear muffs", "es On the wheel cover", "es How far above?"} <= set(read)


def test_codes_keys_values_and_places_stay() -> None:
    bank, spanish = bank_with(dict(WHOLE)), in_spanish(bank_with(dict(WHOLE)))
    assert [question.code for question in spanish.questions] == [question.code for question in bank.questions]
    assert spanish.values == bank.values
    spot = spanish.question_by_code["q-spot"]
    assert (spot.picture, spot.right, spot.places[0].points) == ("saw.svg", 1, bank.questions[4].places[0].points)  # type: ignore[attr-defined]


def test_question_with_a_missing_translation_stays_in_its_language() -> None:
    translations = {text: translation for text, translation in WHOLE.items() if text != "In the drawer"}
    bank = bank_with(dict(translations))
    assert in_spanish(bank).question_by_code["q-one"] == bank.question_by_code["q-one"]
    assert language_used(bank, bank.question_by_code["q-one"], "es") == "en"
    assert language_used(bank, bank.question_by_code["q-pair"], "es") == "es"
    assert language_used(bank, bank.question_by_code["q-pair"], "vi") == "en"


def test_question_with_equal_translations_stays_in_its_language() -> None:
    bank = bank_with(WHOLE | {"In the drawer": "es On the left side"})
    assert in_spanish(bank).question_by_code["q-one"] == bank.question_by_code["q-one"]
    assert language_used(bank, bank.question_by_code["q-one"], "es") == "en"


def test_the_blank_is_filled_in_either_language() -> None:
    translations = {"Set the ____ just above the wood.": "Ponga la ____ sobre la madera.", "guard": "guarda"}
    recall = in_spanish(bank_with(dict(translations))).rules[0].recall
    assert recall
    assert recall.text == "Ponga la ____ sobre la madera."
    assert [word for word in ("guarda", "guard", "blade guard", "madera") if is_recalled(recall, word)] == [
        "guarda",
        "guard",
        "blade guard",
    ]


def test_a_sentence_without_its_blank_is_not_taken() -> None:
    translations = {"Set the ____ just above the wood.": "Ponga la guarda.", "guard": "guarda"}
    own = a_bank().rules[0].recall
    assert isinstance(own, Recall)
    assert in_spanish(bank_with(dict(translations))).rules[0].recall == own


def test_invalid_translation_table_adds_no_language() -> None:
    for extras in ({}, {"text": "x"}, {"text": {"es": "x"}}, {"text": {"es": {"a": 3, "b": " "}}}):
        bank = replace(a_bank(), extras=extras)
        assert languages(bank) == ()
        assert in_spanish(bank) == bank
    assert languages(bank_with({"a": "b"})) == ("es",)


def test_a_bank_file_holds_its_translations() -> None:
    bank = bank_with({"Put the steps in order.": "Ordene los pasos.", 'A "quoted" text': "Así"})
    file = write_bank(bank)
    assert '[text.es]\n"Put the steps in order." = "Ordene los pasos."' in file
    assert read_bank(file) == bank
    assert write_bank(read_bank(file)) == file


@given(questions(), st.integers(0, 2**63 - 1))
def test_another_language_never_changes_the_grade(question: Question, seed: int) -> None:
    translations = {text: text[::-1] + str(place) for place, text in enumerate(texts(question))}
    bank = replace(a_bank(questions=(question,), ask=1), extras={"text": {"es": translations}})
    line = assemble(bank, History(), random.Random(seed)).lines[0]
    spanish = in_spanish(bank)
    translated = spanish.question_by_code[question.code]
    for answer in (key_of(question), *single_changes(question)):
        whole = isinstance(answer, tuple) and sorted(answer) != sorted(set(answer))
        if whole or (isinstance(question, Pair) and len(answer) != len(question.pairs)):  # type: ignore[arg-type]
            continue  # can't be sent by a form
        sent_answer = answer_of(line, read_response(line, sent_for(line, answer)))
        assert is_right(translated, sent_answer, spanish.value_by_code) == is_right(
            question, answer, bank.value_by_code
        )
    if not isinstance(question, Measure):
        shown = {option.text for option in show(EditionText(bank=spanish), line, 1).options}
        assert shown == {translations[text] for text in option_texts(question)}
