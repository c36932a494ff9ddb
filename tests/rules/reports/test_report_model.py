"""The kinds and effects that are stored are those of the rules, in the same words."""

from machines.models import HazardReport
from machines.reports.facts import HazardKind, ReportEffect
from machines.reports.rules.hazards import CHOICES


def test_stored_kinds_are_those_of_the_rule_in_its_order() -> None:
    assert [(kind.value, words) for kind, words in CHOICES.items()] == list(HazardReport.Kind.choices)
    assert set(HazardReport.Kind.values) == {kind.value for kind in HazardKind}


def test_stored_effects_are_those_of_the_rule() -> None:
    assert set(HazardReport.Effect.values) == {effect.value for effect in ReportEffect}
