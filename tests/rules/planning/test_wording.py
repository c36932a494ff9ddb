"""The sentences of the plan and the rota, in the singular, the plural and with long and short names."""

import pytest

from machines.planning.facts import ProblemCode
from machines.planning.rules import wording

LIMIT = "The search reached its time limit. "


@pytest.mark.parametrize(
    ("proof", "words"),
    [
        (wording.plan_proof(True, None, 9), "No other plan gives more students a new machine."),
        (wording.plan_proof(False, 0.1, 1), LIMIT + "At most one more student could get a new machine."),
        (wording.plan_proof(False, 0.1, 13), LIMIT + "At most 13 more students could get a new machine."),
        (
            wording.plan_proof(False, 0.0, 0),
            LIMIT + "No more students can get a new machine, but another choice of students may be fairer.",
        ),
        (
            wording.rota_proof(True, None, 9),
            "No other rotation fills more turns or shares machine time more fairly.",
        ),
        (wording.rota_proof(False, None, 1), LIMIT + "At most one more turn could be filled."),
        (wording.rota_proof(False, None, 2), LIMIT + "At most two more turns could be filled."),
    ],
)
def test_proof_says_how_much_could_be_missing(proof, words):
    assert proof.words == words
    assert not proof.proven or (proof.gap, proof.more) == (0, 0)


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
