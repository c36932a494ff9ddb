"""The short check after the cards: one question on each missed rule. It counts for nothing."""

import random
from collections.abc import Collection, Mapping

from quizzes.facts import BankText, Question
from quizzes.questions.assembly import FRESH


def check_question(
    bank: BankText, rule: str, asked: Collection[str], seen: Mapping[str, int], rng: random.Random
) -> Question:
    """A question on the rule that the student has not seen, as long as the next form keeps its unseen ones.

    Where the bank has none to spare, one that the quiz asked on the rule, by lot: whichever of them was missed.
    """
    of_rule = [question for question in bank.live_questions if question.rule == rule]
    unseen = [question for question in of_rule if not seen.get(question.code)]
    pool = unseen if len(unseen) > FRESH else [question for question in of_rule if question.code in asked]
    fixed = [question for question in pool if not bank.leaves_to_the_shop(question)]
    return rng.choice(fixed or pool)
