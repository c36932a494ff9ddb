"""Guessers who know nothing of shops: each gives an answer marks by its looks, and picks the one with the most marks.

`python -m tests.shelf.guessers` prints how much oftener than a blind pick each is right, bank by bank.
"""

import math
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import permutations

from quizzes.facts import AllThatApply, Answer, OneAnswer, Order, Place, Question, Spot, option_texts
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
    """How often each sign is in the right and in the wrong answers of one bank."""
    right: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for question in asked(code, OneAnswer, AllThatApply):
        for place, text in enumerate(option_texts(question)):
            (right if place in keys_of(question) else wrong).update(signs(text))
    return right, wrong


@cache
def learnt_without(code: str) -> Looks:
    """A guesser who has learned from the answers of every other bank which words right answers use."""
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


# By name: what gives marks in the bank of that code. Only the one who has learned needs to know which bank it is.
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
    """The gain of someone who has heard every right answer of a bank, but not what is asked: a wrong answer that is
    right elsewhere in its bank can't be ruled out."""
    gains: list[float] = []
    for code in codes:
        ones = [question for question in asked(code, OneAnswer) if isinstance(question, OneAnswer)]
        heard = {question.right for question in ones}
        gains += [1 / (1 + len(heard.intersection(question.wrong))) - float(by_guessing(question)) for question in ones]
    return math.fsum(gains) / len(gains)


# ---- one who reads what is asked, or the rule, but knows no shop -----------------------------------------------------

# The shop's own nouns and verbs: an answer full of them sounds as if it came from there.
SHOP = {
    "blade", "guard", "fence", "stick", "block", "clamp", "vise", "miter", "gauge", "chuck", "key", "spindle", "bit",
    "cutter", "cutterhead", "knife", "knives", "wheel", "rest", "tool", "toolrest", "arbor", "collet", "quill", "table",
    "insert", "riving", "splitter", "pawls", "kickback", "outfeed", "infeed", "feed", "stock", "board", "grain", "knot",
    "kerf", "cut", "rip", "crosscut", "bevel", "drum", "disc", "belt", "grit", "dust", "collector", "chips", "shavings",
    "switch", "stop", "paddle", "plug", "cord", "lockout", "tag", "jaws", "jaw", "chisel", "gouge", "mallet", "lathe",
    "tailstock", "headstock", "ways", "coolant", "speed", "rpm", "goggles", "glasses", "shield", "muffs", "respirator",
    "nozzle", "bed", "filament", "laser", "lens", "vent", "fan", "finish", "solvent", "rag", "rags", "can", "cabinet",
    "label", "ring", "flange", "tongue", "spark", "sparks", "throat", "hood", "pusher", "saddle", "square",
}  # fmt: skip
STOP = re.compile(
    r"\b(stop|switch(es)? off|turns? off|power(s)? off|unplugs?|lets? go of the (switch|trigger))\b", re.IGNORECASE
)
TELL = re.compile(r"\b(tells?|reports?|asks?|calls?|teacher)\b", re.IGNORECASE)
LITTLE = {
    "a", "an", "and", "are", "as", "at", "be", "by", "for", "from", "in", "is", "it", "its", "no", "not", "of", "on",
    "or", "so", "that", "the", "then", "to", "up", "with", "you", "your",
}  # fmt: skip


def sounds_like_the_shop(text: str) -> float:
    return sum(word in SHOP for word in words_of(text))


def words_of_the_rule(code: str, question: Question) -> Looks:
    """As many words as are in the rule that the question tests, and in its reason."""
    rule = bank_of(code).rule_by_code[question.rule]
    known = set(words_of(f"{rule.says} {rule.why}")) - LITTLE
    return lambda text: len(known.intersection(words_of(text)))


def words_of_the_question(question: Question) -> Looks:
    """Count the words that the question uses too."""
    known = set(words_of(question.asks)) - LITTLE
    return lambda text: len(known.intersection(words_of(text)))


READERS: dict[str, Callable[[str, Question], Looks]] = {
    "sounds like the shop": lambda code, question: sounds_like_the_shop,
    "words of the rule": words_of_the_rule,
    "words of the question": lambda code, question: words_of_the_question(question),
}


def reader_gain(name: str, codes: Iterable[str], *kinds: type[Question]) -> float:
    """The same as `gain_of`, for a guesser whose marks depend on the question."""
    pairs = [(code, one) for code in codes for one in asked(code, *kinds)]
    return math.fsum(gain([one], READERS[name](code, one)) for code, one in pairs) / len(pairs)


def story_order(question: Question) -> tuple[int, ...]:
    """The answers by the place where the question names them; empty where it does not name them all."""
    asks = question.asks.casefold()
    found = [asks.find(text.casefold()) for text in option_texts(question)]
    if min(found, default=-1) < 0 or len(set(found)) < len(found):
        return ()
    return tuple(sorted(range(len(found)), key=found.__getitem__))


def stories(codes: Iterable[str]) -> list[Question]:
    return [one for code in codes for one in asked(code, OneAnswer) if story_order(one)]


def right_places(questions: Iterable[Question]) -> Counter[tuple[int, int]]:
    """(how many the story names, the place of the right one from 0) → how often."""
    orders = [(story_order(one), keys_of(one)) for one in questions]
    return Counter((len(order), order.index(key)) for order, keys in orders for key in keys)


def story_gain(codes: Sequence[str], learnt_from: Iterable[str]) -> float:
    """The gain of picking the place in the story that is right most often in the banks that are learned from."""
    known, gains = right_places(stories(learnt_from)), []
    for one in stories(codes):
        order = story_order(one)
        place = max(range(len(order)), key=lambda at: known[len(order), at])
        gains.append((order[place] in keys_of(one)) - 1 / len(order))
    return math.fsum(gains) / len(gains) if gains else 0.0


def stop_first(question: Order) -> float:
    """How often an order is right that stops first, tells last, and leaves the rest to luck, above a blind try."""
    told = [2 if TELL.search(step) else 0 if STOP.search(step) else 1 for step in question.steps]
    orders = [one for one in permutations(range(len(told))) if [told[step] for step in one] == sorted(told)]
    return sum(is_right(question, one, {}) for one in orders) / len(orders) - float(by_guessing(question))


def stop_first_gain(codes: Iterable[str]) -> float:
    gains = [stop_first(one) for code in codes for one in asked(code, Order) if isinstance(one, Order)]
    return math.fsum(gains) / len(gains) if gains else 0.0


# ---- what to read ----------------------------------------------------------------------------------------------------


def report() -> Iterator[str]:
    """One line a bank, in hundredths above chance: each guesser on its `one` questions; the last line is the shelf."""
    yield f"{'':26}" + "".join(f"{name:>21}" for name in (*GUESSERS, "heard the answers"))
    for codes in (*([code] for code in CODES), CODES):
        gains = "".join(f"{100 * gain_of(name, codes, OneAnswer):21.0f}" for name in GUESSERS)
        yield f"{head(codes):26}{gains}{100 * heard_gain(codes):21.0f}"


def several_report() -> Iterator[str]:
    """The same on `several`: one pick, and after it the whole answer with as many as are right most often."""
    yield f"{'several: one pick / whole':26}" + "".join(f"{name:>21}" for name in GUESSERS)
    for codes in (*([code] for code in CODES), CODES):
        picks = [100 * gain_of(name, codes, AllThatApply) for name in GUESSERS]
        wholes = [100 * whole_gain(name, pick_usual, codes, AllThatApply) for name in GUESSERS]
        gains = "".join(f"{f'{pick:.0f} / {whole:.0f}':>21}" for pick, whole in zip(picks, wholes, strict=True))
        yield f"{head(codes):26}{gains}"


def readers_report() -> Iterator[str]:
    """The same for those who read the question or the rule, with how many stories and orders there are."""
    yield f"{'':26}" + "".join(f"{name:>26}" for name in (*READERS, "place in the story (of)", "stop first (orders)"))
    for codes in (*([code] for code in CODES), CODES):
        gains = "".join(f"{100 * reader_gain(name, codes, OneAnswer):26.0f}" for name in READERS)
        others = [code for code in CODES if code not in codes] or CODES
        told, orders = len(stories(codes)), sum(len(asked(code, Order)) for code in codes)
        places = f"{100 * story_gain(codes, others):.0f} ({told})" if told else "-"
        yield f"{head(codes):26}{gains}{places:>26}{f'{100 * stop_first_gain(codes):.0f} ({orders})':>26}"
    for (size, place), count in sorted(right_places(stories(CODES)).items()):
        yield f"Of the stories of {size}, the one named in place {place + 1} is right in {count}."


def head(codes: Sequence[str]) -> str:
    return codes[0] if len(codes) == 1 else "the whole shelf"


if __name__ == "__main__":
    print("\n".join([*report(), "", *several_report(), "", *readers_report()]))
