"""How a name is on the wall: full, or first name and initial; never two people under one name. Pure."""

import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

JOINER = "\u200d"
RIGHT_TO_LEFT = "\u200f"  # keeps a full stop at the left end of such a name
VIRAMA = 9  # the combining class of the sign that binds two consonants into one letter [Unicode, table 4-3]
WITHOUT_STROKE = str.maketrans("łøđı", "lodi") | {ord("æ"): "ae", ord("œ"): "oe"}


@dataclass(frozen=True)
class Name:
    """A person's name as printed. `given` and `family` may be blank when the roster didn't tell them apart; `mark`
    tells two people of one name apart (the last digits of the school's number, say)."""

    full: str
    given: str = ""
    family: str = ""
    mark: str = ""

    def short(self, letters: int = 1) -> str:
        """First name and the first `letters` of the family name; the full name when it is not known which is which."""
        if not self.given or not self.family:
            return self.full
        initial = clusters(self.family)[:letters]
        stop = "." if len(initial) < len(clusters(self.family)) else ""
        from_right = unicodedata.bidirectional(initial[-1][0]) in ("R", "AL")
        return f"{self.given} {''.join(initial)}{stop}{RIGHT_TO_LEFT if stop and from_right else ''}"


def clusters(text: str) -> list[str]:
    """Letters with their accents, so that an initial keeps its mark."""
    letters: list[str] = []
    for letter in unicodedata.normalize("NFC", text):
        last = letters[-1][-1] if letters else ""
        joined = bool(last) and (JOINER in (letter, last) or unicodedata.combining(last) == VIRAMA)
        if letters and (joined or unicodedata.category(letter).startswith("M")):
            letters[-1] += letter
        else:
            letters.append(letter)
    return letters


def full_names(people: Sequence[Name]) -> list[str]:
    """Full names in the given order, distinguished by their marks where two are the same."""
    return with_marks(people, [person.full for person in people])


def short_names(people: Sequence[Name]) -> list[str]:
    """First names and initials in the given order; where two meet, as many letters of the family name as tell them
    apart, then the full name, then the mark."""
    shown = [person.short() for person in people]
    for letters in range(2, max((len(clusters(person.family)) for person in people), default=0) + 1):
        shown = _lengthen(shown, [person.short(letters) for person in people])
    return with_marks(people, _lengthen(shown, [person.full for person in people]))


def _lengthen(shown: list[str], longer: list[str]) -> list[str]:
    seen = Counter(key(name) for name in shown)
    return [longer_name if seen[key(name)] > 1 else name for name, longer_name in zip(shown, longer, strict=True)]


def with_marks(people: Sequence[Name], shown: Sequence[str]) -> list[str]:
    """The same, with marks on those that still look alike."""
    seen = Counter(key(name) for name in shown)
    return [
        f"{name} ({person.mark})" if seen[key(name)] > 1 and person.mark else name
        for person, name in zip(people, shown, strict=True)
    ]


def key(name: str) -> str:
    """What a reader would take for the same name: case and spacing don't count, accents do."""
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def in_order(name: str) -> tuple[str, str]:
    """Sorts names as a reader looks them up: accents count only between equals; Ł, Ø and Đ stand with L, O and D."""
    plain = name.casefold().translate(WITHOUT_STROKE)
    bare = "".join(letter for letter in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(letter))
    return bare, name
