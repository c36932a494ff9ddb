"""Draws a form from a bank: what must be asked, then the most rules, then what this student has seen least. Seeded.

In order of weight, wherever the bank allows it:
1. after a miss: two unseen questions on each missed rule, and none of the questions that were missed;
2. every must-ask rule, by another question than one on a number that the shop or the machine decides;
3. as many different rules as fit;
4. questions that stood on the fewest of the student's forms;
5. questions that are on the fewest forms that others began in the hour before: neighbors share few (overlap.py);
6. kinds mixed.
A refresher asks the must-ask rules, and as many others as make it REFRESHER_LEAST questions.
What the bank can't give is said in `shortfalls`. A form is never made easier to hide it: where the blueprint's number
is too small for 1 and 2, the form grows. The greedy choice below is the optimum, since each question tests one rule.
"""

import random
from collections import Counter
from collections.abc import Iterable, Sequence

from quizzes.facts import (
    BankText,
    FormQuestion,
    History,
    Question,
    QuestionSet,
    Rule,
    Shortfall,
    ShownOption,
    option_texts,
    pair_left_texts,
)
from shopsafe.language.messages import _, counted

REFRESHER_LEAST = 3
NEVER = (0, 0)  # met by the student, and by others in the hour before
FRESH = 2  # unseen questions on each missed rule after a miss
ID_BITS = 40


def assemble(bank: BankText, history: History, rng: random.Random, *, refresher: bool = False) -> QuestionSet:
    """One form for one student. The same bank, history and seed of `rng` give the same form again."""
    chosen = Choice(bank, history, rng, refresher_asks(bank) if refresher else bank.blueprint.ask)
    chosen.take_needed()
    chosen.cover_rules()
    chosen.fill()
    questions = chosen.questions
    rng.shuffle(questions)
    return QuestionSet(
        lines=tuple(form_question(question, rng) for question in questions), shortfalls=tuple(chosen.shortfalls)
    )


def refresher_asks(bank: BankText) -> int:
    """How many questions a refresher asks: one on each must-ask rule, and never fewer than REFRESHER_LEAST."""
    return max(min(bank.blueprint.ask, REFRESHER_LEAST), sum(rule.must_ask for rule in bank.live_rules))


class Choice:
    """The questions of one form while they are being chosen."""

    def __init__(self, bank: BankText, history: History, rng: random.Random, ask: int):
        self.bank, self.history, self.rng, self.ask = bank, history, rng, ask
        self.questions: list[Question] = []
        self.shortfalls: list[Shortfall] = []
        self.kinds: Counter[str] = Counter()
        # Question → how often the student has met it, and how many of the others in the hour before, where it was met.
        self.met = {
            code: (history.seen.get(code, 0), history.nearby.get(code, 0))
            for code in history.seen.keys() | history.nearby.keys()
        }
        self.fresh: dict[str, list[Question]] = {rule.code: [] for rule in bank.live_rules}
        self.again: dict[str, list[Question]] = {rule.code: [] for rule in bank.live_rules}
        for question in bank.live_questions:
            pool = self.again if question.code in history.missed_questions else self.fresh
            pool[question.rule].append(question)
        self.rules = list(bank.live_rules)
        rng.shuffle(self.rules)

    def take(self, candidates: Iterable[Question]) -> Question:
        """Onto the form: the candidate met least, of the kind used least so far, by lot among equals."""
        ranked: list[Question] = []
        best = ((0, 0), 0)
        met, kinds = self.met, self.kinds
        for question in candidates:
            rank = (met.get(question.code, NEVER), kinds.get(question.kind, 0))
            if not ranked or rank < best:
                ranked, best = [question], rank
            elif rank == best:
                ranked.append(question)
        question = ranked[self.rng.randrange(len(ranked))]
        pool = self.fresh if question in self.fresh[question.rule] else self.again
        pool[question.rule].remove(question)
        self.questions.append(question)
        self.kinds[question.kind] += 1
        return question

    def take_needed(self) -> None:
        """What may not be left out, however few questions the blueprint asks."""
        missed = set(self.history.missed_rules)
        for rule in self.rules:
            need = FRESH if rule.code in missed else int(rule.must_ask)
            if need:
                self._take_rule(rule, need)

    def _take_rule(self, rule: Rule, need: int) -> None:
        taken = [self.take(self._first_choice(rule)) for _ in range(min(need, len(self.fresh[rule.code])))]
        if not taken and self.again[rule.code]:
            # Not asking the rule at all would let a student pass without it: the missed question stands again.
            taken = [self.take(self.again[rule.code])]
            self.shortfalls.append(_repeats(rule))
        elif not taken:
            self.shortfalls.append(_untested(rule))
        unseen = sum(self.met.get(question.code, NEVER)[0] == 0 for question in taken)
        if need == FRESH and unseen < FRESH and taken:
            self.shortfalls.append(_stale(rule, FRESH - unseen))

    def _first_choice(self, rule: Rule) -> list[Question]:
        """Not a number that the shop or the machine decides, as long as the rule has another question."""
        pool = self.fresh[rule.code]
        fixed = [question for question in pool if not self.bank.leaves_to_the_shop(question)]
        return fixed or pool

    def cover_rules(self) -> None:
        """One question on each rule not asked yet, those with the question met least first."""
        covered = {question.rule for question in self.questions}
        open_rules = [rule for rule in self.rules if rule.code not in covered and self.fresh[rule.code]]
        if self.met:
            open_rules.sort(key=self._turn)
        for rule in open_rules[: self.room]:
            self.take(self.fresh[rule.code])

    def _turn(self, rule: Rule) -> tuple[int, int, int]:
        """Which rule comes first. Among equals beside others' forms: the one with more questions left at this level,
        so that those who come later find unused ones on every rule."""
        met = [self.met.get(question.code, NEVER) for question in self.fresh[rule.code]]
        least = min(met)
        return (*least, -met.count(least) if self.history.nearby else 0)

    @property
    def room(self) -> int:
        return max(0, self.ask - len(self.questions))

    def fill(self) -> None:
        left = [question for rule in self.rules for question in self.fresh[rule.code]]
        for _turn in range(min(self.room, len(left))):
            left.remove(self.take(left))
        if self.room:
            self.shortfalls.append(_too_few(self.room))


def form_question(question: Question, rng: random.Random) -> FormQuestion:
    """One question as a line of a form: its options in an order of their own."""
    return FormQuestion(
        code=question.code,
        rule=question.rule,
        kind=question.kind,
        options=_shuffled(option_texts(question), rng),
        lefts=_shuffled(pair_left_texts(question), rng),
    )


def _shuffled(texts: Sequence[str], rng: random.Random) -> tuple[ShownOption, ...]:
    """Every option once, in an order and under ids that say nothing of its place in the bank.

    Shuffled from the order of the alphabet: with another option right, the same seed shows the very same page.
    """
    places = sorted(range(len(texts)), key=texts.__getitem__)
    rng.shuffle(places)
    ids: dict[str, int] = {}
    while len(ids) < len(texts):
        ids.setdefault(f"{rng.getrandbits(ID_BITS):0{ID_BITS // 4}x}", len(ids))
    return tuple(ShownOption(id=name, place=places[number]) for name, number in ids.items())


# ---- what the bank can't give -------------------------------------------------------------------------------------


def lacking(bank: BankText) -> tuple[Shortfall, ...]:
    """What the bank lacks for its blueprint, for any student: known before the first form is drawn."""
    count = Counter(question.rule for question in bank.live_questions)
    shortfalls = [_untested(rule) for rule in bank.live_rules if rule.must_ask and not count[rule.code]]
    shortfalls += [
        _no_second_form(rule, 1 + FRESH - count[rule.code])
        for rule in bank.live_rules
        if 0 < count[rule.code] < 1 + FRESH
    ]
    short = bank.blueprint.ask - len(bank.live_questions)
    if short > 0:
        shortfalls.append(_too_few(short))
    must = sum(rule.must_ask for rule in bank.live_rules)
    if must > bank.blueprint.ask:
        shortfalls.append(_too_small(must, bank.blueprint.ask))
    return tuple(shortfalls)


def _untested(rule: Rule) -> Shortfall:
    sentence = _("No question tests “{rule}” Write one.", rule=rule.says)
    return Shortfall(code="untested", rule=rule.code, lacks=1, sentence=sentence)


def _repeats(rule: Rule) -> Shortfall:
    sentence = _("“{rule}” has no question but the missed one, so it is asked again. Write two more.", rule=rule.says)
    return Shortfall(code="repeats", rule=rule.code, lacks=FRESH, sentence=sentence)


def _stale(rule: Rule, lacks: int) -> Shortfall:
    sentence = _(
        "“{rule}” lacks {questions} that this student has not seen. Write more.",
        rule=rule.says,
        questions=_count(lacks),
    )
    return Shortfall(code="stale", rule=rule.code, lacks=lacks, sentence=sentence)


def _no_second_form(rule: Rule, lacks: int) -> Shortfall:
    sentence = _(
        "“{rule}” lacks {questions} for a fresh form after a miss. It needs {needed}.",
        rule=rule.says,
        questions=_count(lacks),
        needed=1 + FRESH,
    )
    return Shortfall(code="few", rule=rule.code, lacks=lacks, sentence=sentence)


def _too_few(lacks: int) -> Shortfall:
    sentence = _("The quiz asks {questions} more than there are. Write more, or ask fewer.", questions=_count(lacks))
    return Shortfall(code="too-few", rule="", lacks=lacks, sentence=sentence)


def _too_small(must: int, ask: int) -> Shortfall:
    sentence = _(
        "{must} rules must be asked and the quiz asks {ask}. It will ask {must}. Raise the number.", must=must, ask=ask
    )
    return Shortfall(code="too-small", rule="", lacks=must - ask, sentence=sentence)


def _count(number: int) -> str:
    return counted("{count} question", "{count} questions", count=number)
