"""Somebody who knows nothing of shops must not find the right answer by its looks: guessers that go by looks alone.

Each picks one answer of a question without reading what is asked; where several look alike, it shares its pick among
them. Chance is a blind pick. Ten in a hundred above chance is what a bank may give away by accident.
"""

import re
from collections.abc import Callable, Iterable, Sequence

import pytest

from quizzes.facts import One, Question, Several, Spot, option_texts
from tests.shelf.banks import CODES, bank_of, each_bank, keys_of

ABOVE_CHANCE = 0.10

# Words that sound careful: what a rule of any shop says.
CAREFUL = {
    "safe", "safely", "safety", "careful", "carefully", "caution", "danger", "guard", "guarded", "shield", "cover",
    "covered", "protect", "protected", "glasses", "goggles", "muffs", "mask", "apron", "clamp", "clamped", "hold",
    "held", "firm", "firmly", "tight", "secure", "still", "steady", "stop", "stops", "stopped", "off", "unplug",
    "unplugged", "power", "emergency", "wait", "waits", "slow", "slowly", "gentle", "ask", "asks", "tell", "tells",
    "report", "reports", "teacher", "permission", "check", "checks", "look", "inspect", "test", "away", "back",
    "clear", "clean", "tie", "tied", "up", "before", "first", "always", "never", "only", "far", "low",
}  # fmt: skip

Looks = Callable[[str], int]


def longest(text: str) -> int:
    return len(text)


def shortest(text: str) -> int:
    return -len(text)


def most_careful(text: str) -> int:
    return sum(word in CAREFUL for word in re.findall(r"[a-z]+", text.casefold()))


guessers = pytest.mark.parametrize(
    "looks", [longest, shortest, most_careful], ids=["longest", "shortest", "most-careful"]
)


def hit(texts: Sequence[str], keys: frozenset[int], looks: Looks) -> float:
    scores = [looks(text) for text in texts]
    picked = [place for place, score in enumerate(scores) if score == max(scores)]
    return len(keys.intersection(picked)) / len(picked)


def gain(questions: Iterable[Question], looks: Looks) -> float:
    """How much oftener than a blind pick the guesser's pick is right: 0.1 is ten in a hundred."""
    ones = list(questions)
    found = sum(hit(option_texts(one), keys_of(one), looks) for one in ones)
    chance = sum(len(keys_of(one)) / len(option_texts(one)) for one in ones)
    return (found - chance) / len(ones)


def picked_from(code: str, kinds: type[Question] | tuple[type[Question], ...]) -> list[Question]:
    return [question for question in bank_of(code).live_questions if isinstance(question, kinds)]


@guessers
@each_bank
def test_looks_gain_little_in_a_bank(code: str, looks: Looks) -> None:
    assert gain(picked_from(code, One), looks) <= ABOVE_CHANCE
    assert gain(picked_from(code, (One, Several, Spot)), looks) <= ABOVE_CHANCE


@guessers
@pytest.mark.parametrize("kind", [One, Several, Spot], ids=lambda kind: kind.kind)
def test_looks_gain_little_on_the_whole_shelf(kind: type[Question], looks: Looks) -> None:
    assert gain([question for code in CODES for question in picked_from(code, kind)], looks) <= ABOVE_CHANCE


def test_a_giveaway_is_found() -> None:
    told = One(code="q", rule="r", asks="?", right="Stop and tell the teacher", wrong=("Run", "Hide", "Shout"))
    plain = One(code="q", rule="r", asks="?", right="Left", wrong=("Rear", "Side", "Edge"))
    assert gain([told], longest) == gain([told], most_careful) == 0.75
    assert gain([plain], longest) == gain([plain], most_careful) == 0
