"""Which characters a name may hold: what every screen and print can show, and what does not deceive a reader.

Categories are those of the Unicode Character Database [Unicode 15.1, table 4-4].
"""

import re
import unicodedata
from typing import Final

from shopsafe.language.lists import listed
from shopsafe.language.messages import _, marked

# They show nothing and change the order or the comparison of what is shown: byte order marks, zero-width spaces,
# directions, and the signs that choose between two drawings of a letter. The joiners U+200C and U+200D stay, since
# some scripts need them inside a name.
UNSEEN: Final = dict.fromkeys(
    [
        *(0xAD, 0x61C, 0x180E, 0x200B, 0x200E, 0x200F, 0x2060, 0xFEFF),
        *(*range(0x202A, 0x202F), *range(0x2066, 0x206A), *range(0xFE00, 0xFE10)),
    ]
)
MOST_STACKED: Final = 30  # marks on one letter, as in the Stream-Safe Text Format [Unicode Annex 15, section 13]
_REFUSED: Final = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Me", "So", "Zl", "Zp"})
_SIGNS: Final = frozenset("°©®™№\u200c\u200d")  # of those categories, and in fonts and in use
_SKIN: Final = range(0x1F3FB, 0x1F400)
_KINDS: Final = {  # of what no name holds, by category
    "So": marked("Character {place} ({code}) is an emoji or symbol."),
    "Me": marked("Character {place} ({code}) is an emoji or symbol."),
    "Cs": marked("Character {place} ({code}) is half a character."),
    "Cc": marked("Character {place} ({code}) is a control character."),
}
_NO_LETTER: Final = marked("Character {place} ({code}) is not a letter that can be shown.")
_PICTURES: Final = re.compile("[\U0001f000-\U0001faff]")  # emoji that are no "other symbols"
_ALPHABETS: Final = {  # with letters drawn alike
    "LATIN": marked("Latin"),
    "CYRILLIC": marked("Cyrillic"),
    "GREEK": marked("Greek"),
    "ARMENIAN": marked("Armenian"),
    "CHEROKEE": marked("Cherokee"),
    "COPTIC": marked("Coptic"),
}
# Letters drawn as a Latin one [a part of confusables.txt, Unicode Technical Standard 39]; from memory.
_DRAWN_ALIKE: Final = str.maketrans(
    "АВЕЅІЈКМНОРСТУХавеѕіјкмнорстухһԁԛԝьΑΒΕΖΗΙΚΜΝΟΡΤΥΧανικορτυχ",
    "ABESIJKMHOPCTYXabesijkmhopctyxhdqwbABEZHIKMNOPTYXavikoptux",
)


def clean_name(text: str) -> str:
    """One line in composed letters: what shows nothing is taken out, white space is one space."""
    if stacked(text):
        return text.strip()  # putting such letters in order takes too long; `unfit` refuses the name
    return " ".join(unicodedata.normalize("NFC", text.translate(UNSEEN)).split())


def unfit(name: str) -> str:
    """What in a cleaned name no print can show or no reader expects, with its place; "" for a name that is fine.

    >>> unfit("Band saw \\x07")
    'Character 10 (U+0007) is a control character.'
    """
    if stacked(name):
        return _("A letter carries too many marks.")
    for place, character in enumerate(name, start=1):
        if _is_refused(character):
            pictured = _PICTURES.match(character) or ord(character) in _SKIN
            sentence = _KINDS.get("So" if pictured else unicodedata.category(character), _NO_LETTER)
            return _(sentence, place=place, code=f"U+{ord(character):04X}")
    return ""


def _is_refused(character: str) -> bool:
    if character in _SIGNS:
        return False
    pictured = _PICTURES.match(character) is not None or ord(character) in _SKIN
    return pictured or unicodedata.category(character) in _REFUSED


def unprintable(text: str) -> str:
    """The first character of a longer text that is a control character or turns the direction, as U+0007; or "".

    Line breaks and tabs are fine, and so are symbols.
    """
    for character in text if not text.isprintable() else "":
        is_space = character in "\n\t\r"
        turns = 0x202A <= ord(character) <= 0x202E or 0x2066 <= ord(character) <= 0x2069
        if turns or (not is_space and unicodedata.category(character) in ("Cc", "Cs")):
            return f"U+{ord(character):04X}"
    return ""


def stacked(text: str) -> bool:
    """Whether a letter carries more marks than any script needs. Sorting them takes time that grows with the square."""
    if text.isascii():
        return False
    marks = "".join(character for character in set(text) if unicodedata.combining(character))
    return bool(marks) and re.search(f"[{re.escape(marks)}]{{{MOST_STACKED + 1}}}", text) is not None


def mixed_alphabets(name: str) -> str:
    """A warning where one word mixes letters of alphabets that are drawn alike, or ""."""
    for word in name.split():
        alphabets = dict.fromkeys(filter(None, map(_alphabet, word)))
        if len(alphabets) > 1:
            mixed = listed(_(_ALPHABETS[alphabet]) for alphabet in alphabets)
            return _(
                "“{word}” mixes {alphabets} letters. It may look like another name. Check how it is spelled.",
                word=word,
                alphabets=mixed,
            )
    return ""


def _alphabet(character: str) -> str:
    if not character.isalpha():
        return ""
    first = unicodedata.name(character, "").partition(" ")[0]
    return first if first in _ALPHABETS else ""


def drawn_alike(name: str) -> str:
    """The name with each letter as the Latin one that it is drawn like: equal for names that look the same."""
    return name.translate(_DRAWN_ALIKE)
