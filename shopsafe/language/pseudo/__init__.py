"""Pseudo-languages: English made strange, to see what breaks in another language before there is one.

CLDR's two (Unicode Technical Standard 35, "Pseudo-Locales"): en-XA has accents on every letter, is a third longer and
is in brackets, so that what is cut off and what was never handed to a translator shows; ar-XB runs from right to
left. What a program fills in, elements and numbers stay as they are.
"""

import math
import re
from collections.abc import Callable

# Letters that the fonts of prints have with an accent; the others stay plain.
PLAIN = "ACDEGHIKLNOPRSTUYZacdefghiklnoprstuyz"
ACCENTED = "ÅÇÐÉĞĦÎĶĻÑÖÞŔŠŢÛÝŽåçðéƒğħîķļñöþŕšţûýž"
TO_ACCENTED = str.maketrans(PLAIN, ACCENTED)
LONGER = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")

# {name}, %(name)s, <a1>, &amp;
KEPT = re.compile(r"(\{\w*\}|%\(\w+\)[sd]|%[sd]|<[^<>]*>|&\w+;)")
OPENED = re.compile(r"^((?:<[^/<>]+>)*)")  # a bracket alone before an element would take a line of its own
WORD = re.compile(r"\S*[^\W\d_]\S*")
RIGHT_TO_LEFT = "\u200f\u202e{}\u202c\u200f"  # a mark, then letters in reverse until the override ends


def longer(sentence: str) -> str:
    """en-XA: "[Šåvé]" of "Save", "[Šåvé îţ þļéåšé öñé]" of "Save it please"."""
    length = len(KEPT.sub("", sentence).strip())
    added, words = "", 0
    while len(added) < math.ceil(length / 3) - 2:  # the brackets are two
        added += f" {LONGER[words % len(LONGER)]}"
        words += 1
    return _around(
        sentence, lambda inner: OPENED.sub(r"\1[", f"{_outside_of_kept(inner + added, _accented)}]", count=1)
    )


def from_the_right(sentence: str) -> str:
    """ar-XB: each word from right to left."""
    return _outside_of_kept(sentence, lambda text: WORD.sub(lambda word: RIGHT_TO_LEFT.format(word[0]), text))


PSEUDO: dict[str, Callable[[str], str]] = {"en-xa": longer, "ar-xb": from_the_right}


def _accented(text: str) -> str:
    return text.translate(TO_ACCENTED)


def _outside_of_kept(sentence: str, change: Callable[[str], str]) -> str:
    return "".join(part if number % 2 else change(part) for number, part in enumerate(KEPT.split(sentence)))


def _around(sentence: str, change: Callable[[str], str]) -> str:
    """Changed without the white space around it, which stays."""
    inner = sentence.strip()
    before = sentence[: len(sentence) - len(sentence.lstrip())]
    return before + change(inner) + sentence[len(before) + len(inner) :] if inner else sentence
