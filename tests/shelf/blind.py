"""Blind rounds: questions for readers who have seen neither banks nor rules, and how far they get.

python -m tests.shelf.blind write DIRECTORY [SEED]    the files for three rounds, and keys.json apart from them
python -m tests.shelf.blind score KEYS ANSWERS...     the table; each file of answers is named as the file it answers
python -m tests.shelf.blind agree KEYS ONE OTHER      two readers who know the rules: with the key, and each other

A reader writes a line an item: its number, and the letters that are right ("12 b", "13 ace"; an order from first to
last, "14 cadb"; a match letter for each left item in turn, "15 bdac").
"""

import json
import math
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from string import ascii_lowercase

from quizzes.facts import AllThatApply, OneAnswer, Order, Pair, Question, option_texts
from quizzes.guessing.chances import by_guessing
from tests.shelf.banks import CODES, bank_of

ROUNDS = 3
SEED = 2026
OPTIONS: tuple[type[Question], ...] = (OneAnswer, OneAnswer, AllThatApply, AllThatApply)  # of each bank
STEMS: tuple[type[Question], ...] = (*OPTIONS, Order)
AGREEMENT: tuple[type[Question], ...] = (OneAnswer, AllThatApply, AllThatApply, Order)
HOW = {
    "one": "one letter is right",
    "several": "one letter or more are right, maybe all",
    "order": "write all letters from first to last",
    "pair": "write one letter for each left item, from the top",
}
HEADS = {
    "options": "Answers to questions of school shop quizzes. The questions are left out. Mark what you think is right.",
    "stems": "Questions of school shop quizzes. You have read no rules of this shop. Mark what you think is right.",
    "agreement": "Questions of school shop quizzes, each under its rule. Mark what the rule makes right.",
}


@dataclass(frozen=True)
class Item:
    """One question of a file, its answers in the order in which they are there."""

    bank: str
    question: Question
    places: tuple[int, ...]

    @property
    def right(self) -> str:
        """The letters of the key."""
        letters = dict(zip(self.places, ascii_lowercase, strict=False))
        match self.question:
            case OneAnswer():
                return letters[0]
            case AllThatApply(right=right):
                return "".join(sorted(letters[place] for place in range(len(right))))
            case Order(steps=steps):
                return "".join(letters[place] for place in range(len(steps)))
            case Pair(pairs=pairs):
                return "".join(letters[place] for place in range(len(pairs)))
        raise TypeError(f"no letters for {self.question!r}")

    def lines(self, number: int, shows: str) -> Iterator[str]:
        bank = bank_of(self.bank)
        rule = bank.rule_by_code[self.question.rule]
        yield f"{number}. ({HOW[self.question.kind]})" + ("" if shows == "options" else f" {bank.subject}")
        if shows == "agreement":
            yield f"   Rule: {rule.says} {rule.why}"
        if shows != "options":
            yield f"   {self.question.asks}"
        if isinstance(self.question, Pair):
            yield from (f"   - {left}" for left, _ in self.question.pairs)
        texts = option_texts(self.question)
        yield from (f"   {letter}) {texts[place]}" for letter, place in zip(ascii_lowercase, self.places, strict=False))


# ---- the samples -----------------------------------------------------------------------------------------------------


def samples(seed: int = SEED) -> dict[str, list[Item]]:
    """Name of the file → its items. No question is in two files of the rounds, nor two with the same answers in
    one file: the second would tell of the first."""
    dice, used = random.Random(seed), set[tuple[str, str]]()
    files: dict[str, list[Item]] = {}
    for number in range(1, ROUNDS + 1):
        for shows, kinds in (("options", OPTIONS), ("stems", STEMS)):
            files[f"round{number}-{shows}"] = _sample(kinds, used, dice)
    files["agreement"] = _sample(AGREEMENT, set(), dice)
    return files


def _sample(kinds: Sequence[type[Question]], used: set[tuple[str, str]], dice: random.Random) -> list[Item]:
    items = []
    for code in CODES:
        answers: set[frozenset[str]] = set()
        for kind in kinds:
            pool = [
                question
                for question in bank_of(code).live_questions
                if isinstance(question, kind)
                and (code, question.code) not in used
                and frozenset(option_texts(question)) not in answers
            ]
            if pool:
                question = dice.choice(pool)
                used.add((code, question.code))
                answers.add(frozenset(option_texts(question)))
                items.append(Item(code, question, _shuffled(question, dice)))
    dice.shuffle(items)
    return items


def _shuffled(question: Question, dice: random.Random) -> tuple[int, ...]:
    places = list(range(len(option_texts(question))))
    dice.shuffle(places)
    return tuple(places)


def write(directory: Path, seed: int = SEED) -> None:
    directory.mkdir(parents=True, exist_ok=True)
    keys = {}
    for name, items in samples(seed).items():
        shows = name.rpartition("-")[2]
        texts = ["\n".join(item.lines(number, shows)) for number, item in enumerate(items, 1)]
        (directory / f"{name}.txt").write_text("\n\n".join([HEADS[shows], *texts]) + "\n", encoding="utf-8")
        keys[name] = [
            {
                "bank": item.bank,
                "code": item.question.code,
                "kind": item.question.kind,
                "right": item.right,
                "chance": float(by_guessing(item.question)),
                "swaps": [list(group) for group in getattr(item.question, "may_swap", ())],
            }
            for item in items
        ]
    (directory / "keys.json").write_text(json.dumps(keys, indent=1), encoding="utf-8")


# ---- the answers -----------------------------------------------------------------------------------------------------


def read_answers(text: str) -> dict[int, str]:
    """Number → letters; a line that is no answer is left out."""
    answers = {}
    for line in text.splitlines():
        number, _, letters = line.strip().replace(".", " ").replace(":", " ").partition(" ")
        if number.isdecimal():
            answers[int(number)] = "".join(letter for letter in letters.casefold() if letter in ascii_lowercase)
    return answers


def is_right(key: Mapping[str, object], letters: str) -> bool:
    """As the quiz grades: all letters, and for an order the same order but for what may change places."""
    right = str(key["right"])
    if key["kind"] in ("one", "several"):
        return set(letters) == set(right)
    if len(letters) != len(right):
        return False
    expected, given = list(right), list(letters)
    for group in key["swaps"]:  # type: ignore[attr-defined]
        places = [place - 1 for place in group]
        for row in (expected, given):
            for place, letter in zip(places, sorted(row[place] for place in places), strict=True):
                row[place] = letter
    return expected == given


def score(keys: Mapping[str, list[dict[str, object]]], files: Sequence[Path]) -> Iterator[str]:
    """The table: file and kind, how many were right of how many, what a blind try gives, and how sure that is."""
    yield f"{'file':22}{'kind':9}{'right':>6}{'of':>5}{'share':>7}{'95 % sure':>14}{'chance':>8}"
    totals: dict[tuple[str, str], list[tuple[bool, float]]] = defaultdict(list)
    for path in files:
        answers = read_answers(path.read_text(encoding="utf-8"))
        shows = path.stem.rpartition("-")[2]
        rows: dict[str, list[tuple[bool, float]]] = defaultdict(list)
        for number, key in enumerate(keys[path.stem], 1):
            row = (is_right(key, answers.get(number, "")), float(str(key["chance"])))
            rows[str(key["kind"])].append(row)
            totals[shows, str(key["kind"])].append(row)
            totals[shows, "all"].append(row)
        for kind, results in sorted(rows.items()):
            yield _row(path.stem, kind, results)
    for (shows, kind), results in sorted(totals.items()):
        yield _row(f"all {shows}", kind, results)


def _row(name: str, kind: str, results: Sequence[tuple[bool, float]]) -> str:
    right, count = sum(hit for hit, _ in results), len(results)
    low, high = wilson(right, count)
    chance = math.fsum(chance for _, chance in results) / count
    sure = f"{low:.0%}-{high:.0%}"
    return f"{name:22}{kind:9}{right:6}{count:5}{right / count:7.0%}{sure:>14}{chance:8.0%}"


def wilson(right: int, count: int, z: float = 1.96) -> tuple[float, float]:
    """The interval of a share (Wilson 1927)."""
    share, spread = right / count, z * z / count
    middle = share + spread / 2
    half = z * math.sqrt(share * (1 - share) / count + spread / (4 * count))
    return (middle - half) / (1 + spread), (middle + half) / (1 + spread)


def agree(keys: Sequence[Mapping[str, object]], first: Mapping[int, str], second: Mapping[int, str]) -> Iterator[str]:
    """How often two readers who know the rules give the key, and the same answer; then every question where not."""
    counts: Counter[str] = Counter()
    odd = []
    for number, key in enumerate(keys, 1):
        given = first.get(number, ""), second.get(number, "")
        hits = [is_right(key, letters) for letters in given]
        counts.update({"first": hits[0], "second": hits[1], "both": all(hits), "either": any(hits)})
        if not all(hits):
            odd.append(f"{number:4} {key['bank']} {key['code']}: key {key['right']}, readers {given[0]} and {given[1]}")
    for name in ("first", "second", "both", "either"):
        yield f"{name:7} gave the key in {counts[name]:4} of {len(keys)} ({counts[name] / len(keys):.0%})"
    yield from odd


def main(words: Sequence[str]) -> None:
    match words:
        case ["write", directory]:
            write(Path(directory))
        case ["write", directory, seed] if seed.isdecimal():
            write(Path(directory), int(seed))
        case ["score", keys, *files] if files:
            print("\n".join(score(json.loads(Path(keys).read_text(encoding="utf-8")), [Path(name) for name in files])))
        case ["agree", keys, first, second]:
            items = json.loads(Path(keys).read_text(encoding="utf-8"))["agreement"]
            readers = [read_answers(Path(name).read_text(encoding="utf-8")) for name in (first, second)]
            print("\n".join(agree(items, *readers)))
        case _:
            sys.exit(__doc__)


if __name__ == "__main__":
    main(sys.argv[1:])
