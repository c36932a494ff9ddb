"""The check word of the day."""

from collections import Counter
from datetime import date, timedelta

from shopsafe.school.signing_in.rules.check_words import WORDS, check_word

DAY = date(2026, 10, 12)


def test_word_lasts_a_day_and_differs_by_student_day_and_school():
    assert check_word(7, DAY, "s") == check_word(7, DAY, "s")
    students, days = (
        [check_word(n, DAY, "s") for n in range(30)],
        [check_word(7, DAY + timedelta(n), "s") for n in range(30)],
    )
    assert len(set(students)) > 20
    assert len(set(days)) > 20
    assert [check_word(7, DAY + timedelta(n), "t") for n in range(30)] != days


def test_the_words_are_plain_and_each_stands_once():
    assert len(set(WORDS)) == len(WORDS) >= 150
    assert all(word.isascii() and word.islower() and 3 <= len(word) <= 9 for word in WORDS)


def test_every_word_comes_up_about_as_often():
    counts = Counter(check_word(n, DAY, "s") for n in range(200 * len(WORDS)))
    assert len(counts) == len(WORDS)
    assert 140 < min(counts.values()) <= max(counts.values()) < 270
