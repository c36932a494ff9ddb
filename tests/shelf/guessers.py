"""Guessers who know nothing of shops: each gives an answer marks by its looks, and picks the one with the most marks.

`python -m tests.shelf.guessers` prints how much oftener than a blind pick each is right, bank by bank.
"""

import math
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache

from quizzes.facts import AllThatApply, Answer, OneAnswer, Place, Question, Spot, option_texts
from quizzes.guessing.chances import by_guessing
from quizzes.questions.grading import is_right
from tests.shelf.banks import CODES, bank_of, keys_of

Looks = Callable[[str], float]

# Words that sound careful: what a rule of any shop says.
CAREFUL = {
    "safe", "safely", "safety", "careful", "carefully", "caution", "danger", "guard", "guarded", "shield", "cover",
    "covered", "protect", "protected", "glasses", "goggles", "muffs", "mask", "apron", "clamp", "clamped", "hold",
    "held", "firm", "firmly", "tight", "secure", "still", "steady", "stop", "stops", "stopped", "off", "unplug",
    "unplugged", "power", "emergency", "wait", "waits", "slow", "slowly", "gentle", "ask", "asks", "tell", "tells",
    "report", "reports", "teacher", "permission", "check", "checks", "look", "inspect", "test", "away", "back",
    "clear", "clean", "tie", "tied", "up", "before", "first", "always", "never", "only", "far", "low",
}  # fmt: skip
EARNEST = {
    "first", "stop", "stops", "stopped", "tell", "tells", "teacher", "teacher's", "wait", "waits", "until", "till",
    "report", "reports", "ask", "asks", "before", "still", "rest", "off", "may", "could", "can", "might",
}  # fmt: skip
CARELESS = {
    "always", "never", "only", "just", "quick", "quickly", "fast", "faster", "fine", "bit", "little", "hard", "harder",
    "anyway", "on", "friend", "hurry", "rush", "save", "sooner", "nobody", "everybody", "every", "all", "nothing",
    "hand", "hands", "finger", "fingers", "running", "moving", "slam", "shove", "yank", "throw", "blow", "shout",
    "nice", "easy", "more", "too", "again", "keep",
}  # fmt: skip
# Opening verbs, the most cautious first: each word of a line counts alike.
CAUTIOUS_VERBS = """
    stop stops press presses switch switches unplug unplugs turn turns
    tell tells ask asks report reports call calls warn warns
    wait waits stay stays leave leaves step steps lift lifts lower lowers
    check checks look looks read reads see sees clamp clamps clear clears put puts tie ties wear wears
    hold holds keep keeps move moves lay lays take takes set sets
"""


def words_of(text: str) -> list[str]:
    return re.findall(r"[a-z']+|\d[\d/.]*", text.casefold())


# ---- looks -----------------------------------------------------------------------------------------------------------


def longest(text: str) -> float:
    return len(text)


def shortest(text: str) -> float:
    return -len(text)


def most_careful(text: str) -> float:
    return sum(word in CAREFUL for word in words_of(text))


def tone(text: str) -> float:
    return sum((word in EARNEST) - (word in CARELESS) for word in words_of(text))


@cache
def caution_of_verbs() -> dict[str, int]:
    lines = [line.split() for line in CAUTIOUS_VERBS.strip().splitlines()]
    return {verb: len(lines) - place for place, line in enumerate(lines) for verb in line}


def cautious_verb_first(text: str) -> float:
    opening = words_of(text)[:1]
    return caution_of_verbs().get(opening[0], 0) if opening else 0


def signs(text: str) -> Iterator[str]:
    """What a reader of many quizzes may have come to know an answer by: its words, its opening, the whole of it."""
    words = words_of(text)
    yield from set(words)
    yield f"first: {words[0] if words else ''}"
    yield f"whole: {text}"


@cache
def counts_of(code: str) -> tuple[Counter[str], Counter[str]]:
    """How often each sign stands in the right and in the wrong answers of one bank."""
    right: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for question in asked(code, OneAnswer, AllThatApply):
        for place, text in enumerate(option_texts(question)):
            (right if place in keys_of(question) else wrong).update(signs(text))
    return right, wrong


@cache
def learnt_without(code: str) -> Looks:
    """A guesser who has learnt from the answers of every other bank which words right answers use."""
    right: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for other in CODES:
        if other != code:
            right.update(counts_of(other)[0])
            wrong.update(counts_of(other)[1])
    share = right.total() / wrong.total()

    def looks(text: str) -> float:
        # Sharing one sign beside the counts keeps a word seen once from deciding.
        return sum(math.log((right[sign] + share) / (wrong[sign] + 1) / share) for sign in signs(text))

    return looks


# By name: what gives marks in the bank of that code. Only the one who has learnt needs to know which bank it is.
GUESSERS: dict[str, Callable[[str], Looks]] = {
    "longest": lambda code: longest,
    "shortest": lambda code: shortest,
    "most-careful": lambda code: most_careful,
    "tone": lambda code: tone,
    "cautious-verb-first": lambda code: cautious_verb_first,
    "words": learnt_without,
}


# ---- one answer ------------------------------------------------------------------------------------------------------


def asked(code: str, *kinds: type[Question]) -> list[Question]:
    return [question for question in bank_of(code).live_questions if isinstance(question, kinds)]


def hit(texts: Sequence[str], keys: frozenset[int], looks: Looks) -> float:
    """How often one pick is right, where answers that look alike share it."""
    marks = [looks(text) for text in texts]
    picked = [place for place, mark in enumerate(marks) if mark == max(marks)]
    return len(keys.intersection(picked)) / len(picked)


def gain(questions: Iterable[Question], looks: Looks) -> float:
    """How much oftener than a blind pick the guesser's pick is right: 0.1 is ten in a hundred."""
    gains = [
        hit(option_texts(question), keys_of(question), looks) - len(keys_of(question)) / len(option_texts(question))
        for question in questions
    ]
    return math.fsum(gains) / len(gains)


def gain_of(name: str, codes: Iterable[str], *kinds: type[Question]) -> float:
    """The gain of the guesser of that name over the banks that are named, all questions alike in weight."""
    gains = [
        (gain(questions, GUESSERS[name](code)), len(questions)) for code in codes if (questions := asked(code, *kinds))
    ]
    return math.fsum(gain_share * count for gain_share, count in gains) / sum(count for _, count in gains)


# ---- the whole answer ------------------------------------------------------------------------------------------------


def ranked(texts: Sequence[str], looks: Looks) -> tuple[int, ...]:
    """The places by their marks, the most first; the alphabet settles a tie, which the key knows nothing of."""
    return tuple(sorted(range(len(texts)), key=lambda place: (-looks(texts[place]), texts[place])))


@cache
def usual_count(size: int) -> int:
    """How many of so many answers are right, most often, on the whole shelf."""
    several = [question for code in CODES for question in asked(code, AllThatApply)]
    counts = Counter(
        len(question.right)
        for question in several
        if isinstance(question, AllThatApply) and len(option_texts(question)) == size
    )
    return counts.most_common(1)[0][0]


Pick = Callable[[Question, Looks], Answer]


def whole_gain(name: str, pick: Pick, codes: Iterable[str], *kinds: type[Question]) -> float:
    """How much oftener than a blind try the whole answer is right, where all of it must be."""
    gains = [
        is_right(question, pick(question, GUESSERS[name](code)), {}) - float(by_guessing(question))
        for code in codes
        for question in asked(code, *kinds)
    ]
    return math.fsum(gains) / len(gains)


def pick_usual(question: Question, looks: Looks) -> Answer:
    """As many answers as are right most often, those with the most marks."""
    texts = option_texts(question)
    return frozenset(ranked(texts, looks)[: usual_count(len(texts))])


def pick_all_but_one(question: Question, looks: Looks) -> Answer:
    return frozenset(ranked(option_texts(question), looks)[:-1])


def pick_order(question: Question, looks: Looks) -> Answer:
    return ranked(option_texts(question), looks)


# ---- a place in a picture --------------------------------------------------------------------------------------------


def area(place: Place) -> float:
    around = zip(place.points, (*place.points[1:], place.points[0]), strict=True)
    return abs(math.fsum(x * v - u * y for (x, y), (u, v) in around)) / 2


def middle(place: Place) -> tuple[float, float]:
    xs, ys = zip(*place.points, strict=True)
    return math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)


def inmost(question: Spot) -> int:
    """The place nearest to the middle of them all."""
    centre = middle(Place(says="", points=tuple(map(middle, question.places))))
    return min(range(len(question.places)), key=lambda place: math.dist(centre, middle(question.places[place])))


def outmost(question: Spot) -> int:
    centre = middle(Place(says="", points=tuple(map(middle, question.places))))
    return max(range(len(question.places)), key=lambda place: math.dist(centre, middle(question.places[place])))


SPOT_PICKS: dict[str, Callable[[Spot], int]] = {
    "largest": lambda question: max(range(len(question.places)), key=lambda place: area(question.places[place])),
    "smallest": lambda question: min(range(len(question.places)), key=lambda place: area(question.places[place])),
    "inmost": inmost,
    "outmost": outmost,
}


def spot_gain(name: str, codes: Iterable[str]) -> float:
    spots = [question for code in codes for question in asked(code, Spot) if isinstance(question, Spot)]
    return math.fsum(is_right(spot, SPOT_PICKS[name](spot), {}) - 1 / len(spot.places) for spot in spots) / len(spots)


# ---- one who has heard the answers -----------------------------------------------------------------------------------


def heard_gain(codes: Iterable[str]) -> float:
    """The gain of somebody who has heard every right answer of a bank, but not what is asked: a wrong answer that is
    right elsewhere in its bank can't be ruled out."""
    gains: list[float] = []
    for code in codes:
        ones = [question for question in asked(code, OneAnswer) if isinstance(question, OneAnswer)]
        heard = {question.right for question in ones}
        gains += [1 / (1 + len(heard.intersection(question.wrong))) - float(by_guessing(question)) for question in ones]
    return math.fsum(gains) / len(gains)


# ---- what to read ----------------------------------------------------------------------------------------------------


def report() -> Iterator[str]:
    """One line a bank, in hundredths above chance: each guesser on its `one` questions; the last line is the shelf."""
    yield f"{'':26}" + "".join(f"{name:>21}" for name in (*GUESSERS, "heard the answers"))
    for codes in (*([code] for code in CODES), CODES):
        gains = "".join(f"{100 * gain_of(name, codes, OneAnswer):21.0f}" for name in GUESSERS)
        yield f"{codes[0] if len(codes) == 1 else 'the whole shelf':26}{gains}{100 * heard_gain(codes):21.0f}"


if __name__ == "__main__":
    print("\n".join(report()))
