"""Speed of drawing a form beside its floor: 20 of 400 questions by `random.sample`, one stratum a rule.

    python -m tests.bench.forms [--rounds 15]

Prints one JSON object: a first form, and one after a miss with a history of every question. Floor and real thing take
turns (A B B A), in one process and without a database. `ms` is one form. The floor knows no must-ask rules, no history,
no kinds and no order of options. Beside them: the bank check of the same 400 questions, once.
"""

import argparse
import json
import random
import sys
import time
from dataclasses import replace
from typing import Any

from quizzes.banks.rules.checks import check
from quizzes.facts import BankText, History
from quizzes.questions.assembly import assemble
from tests.bench.logbook import ratio, times
from tests.factories.bank_texts import plain_bank

RULES, EACH, ASK = 40, 10, 20
FORMS = 200
WORDS = "saw guard blade table wood hand eye stop wheel door sweep glove hair sleeve fence clamp chuck drill belt key"


def bank_of_400() -> BankText:
    """Forty rules of ten questions in two kinds, ten of them must-ask, no two questions alike."""
    rng, bank = random.Random(400), plain_bank(RULES, EACH, ask=ASK, must=10, kinds=2)
    words = WORDS.split()
    asked = tuple(replace(question, asks=" ".join(rng.sample(words, 9)) + "?") for question in bank.questions)
    return replace(bank, questions=asked)


def floor(strata: list[list[str]], rng: random.Random) -> list[str]:
    return [rng.sample(stratum, 1)[0] for stratum in rng.sample(strata, ASK)]


def measured(rounds: int) -> dict[str, Any]:
    bank, rng = bank_of_400(), random.Random(1)
    strata = [[question.code for question in bank.questions if question.rule == rule.code] for rule in bank.rules]
    seen = {question.code: rng.randrange(1, 4) for question in bank.questions if rng.random() < 0.5}
    missed = History(seen=seen, missed_rules=("r0", "r1", "r2"), missed_questions=frozenset({"r0-q0", "r1-q0"}))
    assert len(assemble(bank, History(), rng).lines) == len(floor(strata, rng)) == ASK
    figures: dict[str, Any] = {}
    for name, history in (("first form", History()), ("after a miss", missed)):
        timing = ratio(
            times(FORMS, lambda: floor(strata, rng)),
            times(FORMS, lambda history=history: assemble(bank, history, rng)),
            rounds,
        )
        figures[f"{name}, {ASK} of {RULES * EACH}"] = timing | {"ms": round(timing["real_s"] / FORMS * 1000, 3)}
    check(bank)  # reads the pronouncing dictionary, once a process
    start = time.perf_counter()
    check(bank)
    return figures | {f"bank check of {RULES * EACH}": {"s": round(time.perf_counter() - start, 3)}}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=15)
    json.dump(measured(parser.parse_args().rounds), sys.stdout, indent=2)


if __name__ == "__main__":
    main()
