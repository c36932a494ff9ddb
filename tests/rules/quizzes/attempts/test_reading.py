"""Reading grades, against figures worked out by hand."""

import pytest

from quizzes.banks.rules import readability


@pytest.mark.parametrize(
    ("text", "words", "beats", "grade"),
    [
        ("Wear safety glasses before you turn on the band saw.", 10, 13, 3.65),
        ("Set the upper guard about a quarter inch above the wood and lock it.", 14, 18, 5.0414),
    ],
)
def test_grade(text: str, words: int, beats: int, grade: float) -> None:
    """Kincaid 1975: .39·words/sentences + 11.8·syllables/words − 15.59."""
    assert len(readability.words(text)) == words
    assert sum(map(readability.syllables, readability.words(text))) == beats
    assert readability.grade(text) == pytest.approx(grade, abs=5e-4)


def test_a_text_without_words_has_no_grade() -> None:
    assert readability.grade("…") is None


@pytest.mark.parametrize(
    ("word", "beats"), [("teacher's", 2), ("kerfless", 2), ("table", 2), ("spindle", 2), ("1/8", 1)]
)
def test_syllables(word: str, beats: int) -> None:
    assert readability.syllables(word) == beats


def test_sentences_end_at_points_and_not_inside_numbers() -> None:
    assert readability.sentences("Keep it at 0.5 in. Then stop! Why? ") == ["Keep it at 0.5 in", "Then stop", "Why"]
