"""How many questions two students share who take the same quiz within the hour: the fewest that the bank allows.

Every form asks each must-ask rule, and as many other rules as fit. If `n` students take the quiz, a question that
is on x of their forms is shared by x(x − 1)/2 pairs of students, so the forms share least where the questions are
used most evenly. The rules part the questions, the must-ask rule's first choice lies inside its rule, and x(x − 1)/2
grows by x with each use: giving every next use to the least used question that may still take it reaches the exact
minimum (a separable convex function over a laminar family; scipy is asked for it too, in `test_overlap.py`).
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from quizzes.facts import BankText, Question

STUDENTS = (2, 10, 20, 30)


@dataclass(frozen=True)
class Overlap:
    """Of `questions` on each form, two of so many students share `shared` on average, at the least."""

    students: int
    questions: int
    shared: float


def overlaps(bank: BankText, students: Iterable[int] = STUDENTS) -> tuple[Overlap, ...]:
    """For students at their first try: what they have met before decides more than what their neighbors got."""
    return tuple(Overlap(count, _size(bank), least_shared(bank, count)) for count in students)


def least_shared(bank: BankText, students: int) -> float:
    """The least mean number of questions that two of so many forms have in common."""
    used = least_use(bank, students)
    pairs = students * (students - 1) // 2
    return sum(times * (times - 1) // 2 for times in used.values()) / pairs if pairs else 0.0


def shared(forms: Sequence[Iterable[str]]) -> float:
    """The mean number of questions that two of these forms have in common."""
    pairs = [len(set(first) & set(second)) for first, second in combinations(forms, 2)]
    return sum(pairs) / len(pairs) if pairs else 0.0


def least_use(bank: BankText, students: int) -> Counter[str]:
    """Question code → on how many of so many first forms it stands, where they share least."""
    use = _Use(bank, students)
    must = {rule.code for rule in bank.live_rules if rule.must_ask}
    for rule in sorted(must & set(use.pools)):
        fixed = [question for question in use.pools[rule] if not bank.leaves_to_the_shop(question)]
        use.give(students, fixed or use.pools[rule])
    others = [rule for rule in use.pools if rule not in must]
    room = max(0, bank.blueprint.ask - len(must & set(use.pools)))
    if room < len(others):
        use.most_of_a_rule = students
        use.give(students * room, [question for rule in others for question in use.pools[rule]])
        return use.times
    for rule in others:
        use.give(students, use.pools[rule])
    left = min(room - len(others), len(bank.live_questions) - len(use.pools))
    use.give(students * left, [question for pool in use.pools.values() for question in pool])
    return use.times


class _Use:
    """How often each question is used, while uses are given out."""

    def __init__(self, bank: BankText, students: int):
        self.students = students
        self.times: Counter[str] = Counter({question.code: 0 for question in bank.live_questions})
        self.of_rule: Counter[str] = Counter()
        self.most_of_a_rule = 0  # 0: as often as there are questions to ask
        self.pools: dict[str, list[Question]] = {}
        for question in bank.live_questions:
            self.pools.setdefault(question.rule, []).append(question)

    def give(self, uses: int, among: Sequence[Question]) -> None:
        for _ in range(uses):
            free = [question for question in among if self._may_take(question)]
            least = min(free, key=lambda question: self.times[question.code])
            self.times[least.code] += 1
            self.of_rule[least.rule] += 1

    def _may_take(self, question: Question) -> bool:
        full = self.most_of_a_rule and self.of_rule[question.rule] >= self.most_of_a_rule
        return self.times[question.code] < self.students and not full


def _size(bank: BankText) -> int:
    """How many questions a first form asks."""
    asked = {question.rule for question in bank.live_questions}
    must = sum(rule.must_ask and rule.code in asked for rule in bank.live_rules)
    return min(len(bank.live_questions), max(bank.blueprint.ask, must))
