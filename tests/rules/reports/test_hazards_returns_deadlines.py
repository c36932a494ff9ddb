"""Hazard reports that keep a machine off, returns to service, and the dates of incident reports."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.reports.facts import GivenAnswer, HazardKind, LineAnswer, ReportEffect, ReturnFacts, ReturnRefusal
from machines.reports.rules.deadlines import incident_due, is_incident_overdue, keep_until
from machines.reports.rules.hazards import CHOICES, choices, effect_of
from machines.reports.rules.returns import reasons_against_return

# Hazards


@pytest.mark.parametrize(
    ("kind", "effect"),
    [
        (HazardKind.GUARD, ReportEffect.KEEP_OFF),
        (HazardKind.BROKEN, ReportEffect.KEEP_OFF),
        (HazardKind.ABRASIVE, ReportEffect.KEEP_OFF),
        (HazardKind.CORD, ReportEffect.KEEP_OFF),
        (HazardKind.SMOKE, ReportEffect.KEEP_OFF),
        (HazardKind.WILL_NOT_STOP, ReportEffect.KEEP_OFF),
        (HazardKind.INSPECTION, ReportEffect.KEEP_OFF),
        (HazardKind.WILL_NOT_START, ReportEffect.FLAG),
        (HazardKind.NOISE, ReportEffect.FLAG),
        (HazardKind.FLOOR, ReportEffect.FLAG),
        (HazardKind.BEHAVIOR, ReportEffect.FLAG),
        (HazardKind.OTHER, ReportEffect.FLAG),
    ],
)
def test_report_keeps_the_machine_off_or_only_flags_it(kind, effect):
    assert effect_of(kind, names_machine=True) is effect
    assert effect_of(kind, names_machine=False) is ReportEffect.FLAG


def test_every_hazard_is_offered_and_those_of_a_machine_only_at_one():
    assert set(CHOICES) == set(HazardKind)
    assert set(CHOICES) - set(choices(names_machine=True)) == {HazardKind.INSPECTION}
    assert set(HazardKind) - set(choices(names_machine=False)) == {
        HazardKind.INSPECTION,
        HazardKind.WILL_NOT_START,
        HazardKind.WILL_NOT_STOP,
    }


# Return to service

OUT_AT = datetime(2026, 11, 27, 16, 0, tzinfo=UTC)
YES, NO, NOT_APPLICABLE = LineAnswer.YES, LineAnswer.NO, LineAnswer.NOT_APPLICABLE
READY = ReturnFacts(
    tagged_out_by=1,
    tagged_out_name="Odile Ferrant",
    tagged_out_at=OUT_AT,
    by=1,
    lines={7: "The guard closes by itself.", 8: "The cord is whole."},
    answers=(GivenAnswer(7, YES), GivenAnswer(8, NOT_APPLICABLE)),
    answered_at=OUT_AT + timedelta(hours=1),
    finding="New guard fitted and tried.",
)


def refusals(facts: ReturnFacts) -> list[ReturnRefusal]:
    return [reason.code for reason in reasons_against_return(facts)]


def test_machine_returns_when_each_line_is_yes_or_does_not_apply():
    assert reasons_against_return(READY) == ()


@pytest.mark.parametrize(
    ("change", "code", "sentence"),
    [
        (
            {"answers": READY.answers[:1]},
            ReturnRefusal.NOT_ANSWERED,
            "“The cord is whole.” is not answered.",
        ),
        (
            {"answers": (GivenAnswer(7, YES), GivenAnswer(8, NO))},
            ReturnRefusal.ANSWERED_NO,
            "“The cord is whole.” is answered no. The machine stays out of service.",
        ),
        (
            {"answers": (*READY.answers, GivenAnswer(8, NO))},
            ReturnRefusal.ANSWERED_TWICE,
            "“The cord is whole.” is answered twice. Answer it once.",
        ),
        (
            {"answered_at": OUT_AT - timedelta(seconds=1)},
            ReturnRefusal.ANSWERED_EARLY,
            "The list was answered before the machine was tagged out. Answer it again.",
        ),
        ({"finding": "  "}, ReturnRefusal.NO_WORDS, "Say what was repaired and checked."),
        (
            {"by": 2},
            ReturnRefusal.NO_REASON,
            "Odile Ferrant tagged this machine out. Say why you return it instead.",
        ),
    ],
)
def test_machine_stays_out_and_the_reason_is_named(change, code, sentence):
    (reason,) = reasons_against_return(replace(READY, **change))
    assert (reason.code, reason.sentence) == (code, sentence)
    assert reason.line == (8 if "“" in sentence else None)


def test_second_teacher_returns_the_machine_with_a_reason():
    assert refusals(replace(READY, by=2, reason="She is away until Monday and agreed on the phone.")) == []


def test_machine_type_without_a_list_returns_by_words_alone():
    assert refusals(replace(READY, lines={}, answers=())) == []
    assert refusals(replace(READY, lines={}, answers=(), finding="")) == [ReturnRefusal.NO_WORDS]


def test_list_answered_at_the_moment_of_the_tag_out_counts():
    assert refusals(replace(READY, answered_at=OUT_AT)) == []


def test_answer_to_a_line_that_is_gone_counts_for_nothing():
    assert refusals(replace(READY, answers=(*READY.answers, GivenAnswer(99, NO)))) == []


@given(st.lists(st.builds(GivenAnswer, st.integers(1, 4), st.sampled_from(LineAnswer)), max_size=6))
def test_machine_never_returns_with_a_no_or_a_line_left_out(answers):
    lines = {key: f"Line {key}" for key in range(1, 4)}
    if not refusals(replace(READY, lines=lines, answers=tuple(answers))):
        for key in lines:
            (answer,) = (given_answer.answer for given_answer in answers if given_answer.line == key)
            assert answer is not NO


# Dates of an incident. The days of 2024-02-29 are worked out by hand from the two rules that deadlines.py names.


def test_incident_of_a_leap_day_is_due_and_kept_as_published():
    leap_day = date(2024, 2, 29)
    assert incident_due(leap_day) == date(2024, 3, 7)
    assert keep_until(leap_day) == date(2029, 12, 31)


@pytest.mark.parametrize(
    ("day", "due", "kept"),
    [
        (date(2026, 11, 30), date(2026, 12, 7), date(2031, 12, 31)),
        (date(2026, 12, 31), date(2027, 1, 7), date(2031, 12, 31)),
        (date(2027, 1, 1), date(2027, 1, 8), date(2032, 12, 31)),
    ],
)
def test_incident_dates_turn_with_the_calendar_year(day, due, kept):
    assert (incident_due(day), keep_until(day)) == (due, kept)


def test_school_sets_its_own_days_and_years():
    assert incident_due(date(2024, 2, 29), days=1) == date(2024, 3, 1)
    assert keep_until(date(2024, 2, 29), years=0) == date(2024, 12, 31)
    assert keep_until(date(9998, 1, 1), years=50) == date(9999, 12, 31)


@pytest.mark.parametrize(("today", "overdue"), [(date(2024, 3, 7), False), (date(2024, 3, 8), True)])
def test_incident_is_overdue_the_day_after_it_was_due(today, overdue):
    assert is_incident_overdue(date(2024, 2, 29), today) is overdue
    assert is_incident_overdue(date(2024, 2, 29), today, days=8) is False
