"""Which rules did not land: how many students missed each on their first try, and what to do about it tomorrow."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from quizzes.facts import BankText, Rule
from quizzes.figures.rules.analysis.change import MissShare, missed
from quizzes.figures.rules.bars import Bar, bar
from shopsafe.language.messages import _, marked

ENOUGH = 8  # students who met a rule, before the share that missed it says anything
SHOWN = 5  # students; fewer are never shown as a group
WARM_UP_RULES = 3
WARM_UP_QUESTIONS = 5
CHECKED = (  # by their number
    "",
    marked("One rule is checked below."),
    marked("Two rules are checked below."),
    marked("Three rules are checked below."),
)
QUESTIONS = (  # by their number
    marked("No questions"),
    marked("One question"),
    marked("Two questions"),
    marked("Three questions"),
    marked("Four questions"),
    marked("Five questions"),
)
LANDED = 1  # missed by so many or fewer: the rule landed


@dataclass(frozen=True)
class FirstTry:
    """One student's first attempt at a bank."""

    student: int
    met: frozenset[str]  # rules
    missed: frozenset[str]


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """One rule, and how many of those who met it missed it the first time."""

    rule: Rule
    now: MissShare
    before: MissShare | None  # last term, if enough students met it then
    chosen: bool  # for the warm-up

    @property
    def bar(self) -> Bar | None:
        return bar(self.now.share, self.now.low, self.now.high, enough=self.now.enough)

    @property
    def before_words(self) -> str:
        if self.before is None or self.before.share is None:
            return ""
        return _("last term {number} in 10", number=round(self.before.share * 10))


@dataclass(frozen=True, kw_only=True)
class Reteaching:
    """The rules of a bank, those that most students missed first."""

    rows: tuple[RuleRow, ...]  # worth looking at
    landed: tuple[Rule, ...]
    tried: int  # students
    few: bool  # too few students to show as a group

    @property
    def chosen(self) -> tuple[Rule, ...]:
        return tuple(row.rule for row in self.rows if row.chosen)

    @property
    def most_missed(self) -> tuple[str, ...]:
        """Return the rules that half of the students or more missed, two at most, without the period at their end."""
        missed_by_most = (row.rule for row in self.rows if row.now.enough and (row.now.share or 0) >= 0.5)
        return tuple(rule.says.rstrip(".") for rule in missed_by_most)[:2]

    @property
    def checked_words(self) -> str:
        return _(CHECKED[len(self.chosen)]) if self.chosen else ""


def reteaching(
    text: BankText, counts: Mapping[str, tuple[int, int]], tried: int, before: Mapping[str, tuple[int, int]]
) -> Reteaching:
    """Return what to reteach. `counts` and `before` give rule → (met, missed), now and last term."""
    if tried < SHOWN:
        return Reteaching(rows=(), landed=(), tried=tried, few=True)
    rated = []
    for rule in text.live_rules:
        met, missing = counts.get(rule.code, (0, 0))
        if met:
            rated.append((rule, missed(missing, met, ENOUGH)))
    rated.sort(key=lambda pair: (-(pair[1].share or 0), -pair[1].missed))
    worth = [(rule, now) for rule, now in rated if now.missed > LANDED]
    chosen = [rule.code for rule, now in worth if now.enough][:WARM_UP_RULES]
    return Reteaching(
        rows=tuple(
            RuleRow(rule=rule, now=now, before=_before(before.get(rule.code)), chosen=rule.code in chosen)
            for rule, now in worth
        ),
        landed=tuple(rule for rule, now in rated if now.missed <= LANDED),
        tried=tried,
        few=False,
    )


def _before(counts: tuple[int, int] | None) -> MissShare | None:
    if counts is None or counts[0] < ENOUGH:
        return None
    return missed(counts[1], counts[0], ENOUGH)


def met_and_missed(tries: Iterable[FirstTry]) -> dict[str, tuple[int, int]]:
    """Return rule → (students who met it, students who missed it)."""
    counts: dict[str, tuple[int, int]] = {}
    for first_try in tries:
        for rule in first_try.met:
            met, missing = counts.get(rule, (0, 0))
            counts[rule] = (met + 1, missing + (rule in first_try.missed))
    return counts


# ---- the warm-up -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class WarmUpQuestion:
    """A sentence with a blank. It comes from the rule's card, so no question of the quiz is given away."""

    rule: Rule
    text: str
    answers: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Pairing:
    """Who sits together: a student who missed rules, with one who got them right."""

    learner: int
    helper: int | None  # None if no one is free who knows these rules
    rules: tuple[Rule, ...]


@dataclass(frozen=True, kw_only=True)
class WarmUp:
    poster: tuple[Rule, ...]
    questions: tuple[WarmUpQuestion, ...]
    pairs: tuple[Pairing, ...]

    @property
    def questions_words(self) -> str:
        return _(QUESTIONS[len(self.questions)])


def warm_up(text: BankText, codes: Sequence[str], tries: Sequence[FirstTry], worth: Sequence[str] = ()) -> WarmUp:
    """Return a warm-up on the rules in `codes`; `worth` are rules to fill up the questions with, most missed first."""
    rules = [text.rule_by_code[code] for code in codes if code in text.rule_by_code]
    extra_rules = [text.rule_by_code[code] for code in worth if code in text.rule_by_code and code not in codes]
    with_blank = [rule for rule in (*rules, *extra_rules) if rule.recall]
    return WarmUp(
        poster=tuple(rules[:WARM_UP_RULES]),
        questions=tuple(_question(rule) for rule in with_blank[:WARM_UP_QUESTIONS]),
        pairs=pairings(tries, [rule.code for rule in rules], text),
    )


def _question(rule: Rule) -> WarmUpQuestion:
    assert rule.recall is not None  # noqa: S101  for the type checker: only rules with a blank get here
    return WarmUpQuestion(rule=rule, text=rule.recall.text, answers=rule.recall.key)


def pairings(tries: Sequence[FirstTry], codes: Collection[str], text: BankText) -> tuple[Pairing, ...]:
    """Pair each student who missed some of these rules with one who got them right, those who missed most first.

    Each helper helps one student. A helper who met all the missed rules and missed none comes first.
    """
    asked_for = set(codes)
    learners = sorted((t for t in tries if t.missed & asked_for), key=lambda t: (-len(t.missed & asked_for), t.student))
    free = [t for t in tries if not t.missed & asked_for]
    pairs = []
    for learner in learners:
        rules = learner.missed & asked_for
        knows = max(free, key=lambda t: (len(rules & t.met), -len(t.missed), -t.student), default=None)
        helper = knows if knows and rules & knows.met else None
        if helper:
            free.remove(helper)
        shown = tuple(rule for rule in text.rules if rule.code in rules)
        pairs.append(Pairing(learner=learner.student, helper=helper.student if helper else None, rules=shown))
    return tuple(pairs)
