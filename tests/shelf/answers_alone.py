"""How far the answers alone can lead: what a reader gets right at most who knows every key, but sees no question.

`python -m tests.shelf.answers_alone` prints it bank by bank.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from quizzes.facts import AllThatApply, OneAnswer, Question, option_texts
from tests.shelf.banks import CODES, bank_of, keys_of


def key_of(question: Question) -> frozenset[str]:
    """The texts of the right answers."""
    texts = option_texts(question)
    return frozenset(texts[place] for place in keys_of(question))


def most_right(questions: Iterable[Question]) -> tuple[int, int]:
    """(right at most, asked): no reader of the answers alone gets more right, however much that reader knows.

    Questions with the same answers look alike to such a reader. The best that can be done is to give all of them the
    key that is right most often among them.
    """
    keys: dict[frozenset[str], Counter[frozenset[str]]] = {}
    for question in questions:
        keys.setdefault(frozenset(option_texts(question)), Counter())[key_of(question)] += 1
    return sum(max(times.values()) for times in keys.values()), sum(times.total() for times in keys.values())


def most_right_of(codes: Iterable[str], kind: type[Question]) -> tuple[int, int]:
    """The same over the questions of one kind; two banks that use the same answers count apart."""
    counts = [
        most_right(question for question in bank_of(code).live_questions if isinstance(question, kind))
        for code in codes
    ]
    return sum(right for right, _ in counts), sum(count for _, count in counts)


def report() -> Iterator[str]:
    yield f"{'answers alone, at most':26}{'one':>12}{'several':>12}"
    for codes in (*([code] for code in CODES), CODES):
        shares = [most_right_of(codes, kind) for kind in (OneAnswer, AllThatApply)]
        name = codes[0] if len(codes) == 1 else "the whole shelf"
        yield f"{name:26}" + "".join(f"{right / count:12.0%}" for right, count in shares)


if __name__ == "__main__":
    print("\n".join(report()))
