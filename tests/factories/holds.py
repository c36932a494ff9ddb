"""Holds for tests: placed by the act, so that they are as a teacher would place them."""

from uuid import uuid4

from django.utils import timezone

from machines.holds.acts import place_hold
from machines.models import Hold
from tests.cast import Cast
from tests.factories.banks import bank_text, published


def held_to_learn(cast: Cast) -> Hold:
    """The student's every machine, until two rules are learned again."""
    bank, at = published(cast.teacher, bank_text(code="lathe", subject="Wood lathe")), timezone.now()
    return place_hold(
        student=cast.student,
        machines=None,
        reason="misuse",
        lifts="rules",
        bank=bank,
        rules=["r0", "r1"],
        by=cast.teacher,
        tap=uuid4(),
        at=at,
    )
