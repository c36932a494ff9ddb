"""The sentences of the plan and the rota, in the singular, the plural and with long and short names."""

import pytest

from machines.planning.facts import ProblemCode
from machines.planning.rules import wording

LIMIT = "The search reached its time limit. "
BEST_PLAN = "No other plan gives more students a new machine."
BEST_ROTA = "No other rotation fills more turns or shares machine time more fairly."


@pytest.mark.parametrize(
    ("proof", "words"),
    [
        (wording.plan_proof(True, True, 0.5, 9), BEST_PLAN),
        (wording.plan_proof(True, False, 0.5, 9), f"{BEST_PLAN} Time ran out for choosing the best among equals."),
        (wording.plan_proof(False, True, 0.1, 1), LIMIT + "At most one more student could get a new machine."),
        (wording.plan_proof(False, True, 0.1, 13), LIMIT + "At most 13 more students could get a new machine."),
        (wording.plan_proof(False, True, 0.1, 0), LIMIT + "No more students can get a new machine."),
        (wording.rota_proof(True, True, 0.5, 9), BEST_ROTA),
        (wording.rota_proof(True, False, 0.5, 9), f"{BEST_ROTA} Time ran out for choosing the best among equals."),
        (wording.rota_proof(False, False, None, 1), LIMIT + "At most one more turn could be filled."),
        (wording.rota_proof(False, False, None, 2), LIMIT + "At most two more turns could be filled."),
        (
            wording.rota_proof(False, True, 0.1, 0),
            LIMIT + "No more turns are possible, but a fairer sharing may be.",
        ),
    ],
)
def test_proof_says_how_much_could_be_missing(proof, words):
    assert proof.words == words
    assert proof.proven == (words in (BEST_PLAN, BEST_ROTA))
    assert (proof.gap == 0) == ("search" not in words)
    assert not proof.more or "At most" in words


@pytest.mark.parametrize(
    ("people", "sentence"),
    [
        (["Efe S."], "Helped by Efe S."),
        (["Efe S.", "Gus P."], "Helped by Efe S. and Gus P."),
        (["Efe S.", "Gus P.", "Inga Varga"], "Helped by Efe S., Gus P. and Inga Varga."),
    ],
)
def test_names_are_joined_and_end_with_one_period(people, sentence):
    assert wording.helped_by(people) == sentence


@pytest.mark.parametrize(
    ("count", "sentence"),
    [
        (0, "Then no one is waiting for band saw 3."),
        (1, "One more student, and no one is waiting for band saw 3."),
        (2, "Two more students, and no one is waiting for band saw 3."),
        (14, "14 more students, and no one is waiting for band saw 3."),
    ],
)
def test_students_still_waiting_are_counted(count, sentence):
    assert wording.still_waiting("band saw 3", count) == sentence


def test_every_problem_has_a_sentence_without_gaps():
    parts = dict.fromkeys(("student", "place", "why", "slot", "first", "helpers", "count", "most"), "x")
    for code in ProblemCode:
        assert "{" not in wording.problem(code, **parts)
    assert wording.problem(ProblemCode.NOT_CLEARED, student="Efe S.", place="band saw 3", why="") == (
        "Efe S. is not cleared on band saw 3."
    )
