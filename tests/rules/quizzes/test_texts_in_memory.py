"""Editions in memory: as many as fit by their bytes, the ones asked for last."""

from quizzes.banks.editions.texts_in_memory import TextsInMemory
from quizzes.facts import EditionText
from tests.factories.bank_texts import a_bank


def a_text(number: int) -> EditionText:
    return EditionText(bank=a_bank(code=f"bank-{number}"))


def test_keeps_many_small_texts_and_few_large_ones() -> None:
    small, large = TextsInMemory(1_000), TextsInMemory(1_000)
    for number in range(200):
        small.keep((str(number), ""), a_text(number), 5)
        large.keep((str(number), ""), a_text(number), 300)
    assert (len(small), small.bytes) == (200, 1_000)
    assert (len(large), large.bytes) == (3, 900)


def test_least_recently_used_text_is_dropped_first() -> None:
    texts = TextsInMemory(30)
    for number in range(3):
        texts.keep((str(number), ""), a_text(number), 10)
    first = texts.get(("0", ""))
    texts.keep(("3", ""), a_text(3), 10)
    assert texts.get(("0", "")) is first is not None
    assert texts.get(("1", "")) is None
    assert texts.get(("2", "")) is not None


def test_languages_are_kept_apart_and_the_same_text_counts_once() -> None:
    texts = TextsInMemory(100)
    english, spanish = a_text(1), a_text(2)
    texts.keep(("a", ""), english, 10)
    texts.keep(("a", "es"), spanish, 10)
    texts.keep(("a", ""), english, 10)
    assert (texts.get(("a", "")), texts.get(("a", "es")), texts.bytes) == (english, spanish, 20)


def test_a_text_larger_than_all_the_room_is_kept_alone() -> None:
    texts = TextsInMemory(30)
    texts.keep(("small", ""), a_text(1), 10)
    texts.keep(("large", ""), a_text(2), 90)
    assert (len(texts), texts.bytes) == (1, 90)
    texts.keep(("small", ""), a_text(1), 10)
    assert (len(texts), texts.bytes) == (1, 10)
