"""What a change of requirements is said to do."""

import pytest

from machines.clearance.facts import Standing
from machines.setting_up.rules.effects import Effect, effect_lines

CLEARED, READY, TRAINING = Standing.CLEARED, Standing.READY, Standing.TRAINING


@pytest.mark.parametrize(
    ("before", "after", "code"),
    [
        (CLEARED, READY, "lost"),
        (CLEARED, Standing.LAPSED, "lost"),
        (READY, CLEARED, "cleared"),
        (Standing.LAPSED, CLEARED, "cleared"),
        (TRAINING, READY, "ready"),
        (READY, TRAINING, "back"),
        (TRAINING, Standing.NOT_STARTED, ""),
        (CLEARED, CLEARED, ""),
    ],
)
def test_each_change_has_its_line(before: Standing, after: Standing, code: str):
    assert Effect(1, 1, before, after).code == code


def test_students_are_counted_once_and_losses_come_first():
    effects = [Effect(s, m, TRAINING, READY) for s in range(12) for m in (1, 2)]
    effects += [Effect(s, 1, READY, CLEARED) for s in (20, 21, 22)] + [Effect(30, 1, CLEARED, TRAINING)]
    assert [line.sentence for line in effect_lines(effects)] == [
        "1 student loses a clearance",
        "3 students are cleared",
        "12 students become ready for sign-off",
    ]
    assert effect_lines([Effect(1, 1, TRAINING, TRAINING)]) == ()
