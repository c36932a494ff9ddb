"""A run starts only if nothing speaks against it, and each thing that does is named."""

import itertools
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.floor.facts import (
    HelperNow,
    MachineNow,
    Presence,
    ShopHour,
    StartFacts,
    StartRefusal,
    StudentNow,
)
from machines.floor.rules.starts import SENTENCES, may_start, reasons_against_giving, reasons_against_start

AT = datetime(2026, 11, 9, 16, 42, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
SHOP = ShopHour(9, AT - 10 * MINUTE, "Odile Ferrant", Presence(AT - 5 * MINUTE, "Odile Ferrant"))
SAW = MachineNow(3, "table saw 3", helpers=1)
JORY = StudentNow(1, "Jory K.", cleared=True)
GUS = HelperNow(2, "Gus P.", may_help=True)
GOOD = StartFacts(SHOP, SAW, JORY, (GUS,), given_at=AT - 2 * MINUTE, checked_at=AT - MINUTE)

FLAWS = {
    StartRefusal.TAGGED_OUT: {"machine": replace(SAW, tagged_out="The guard is cracked.")},
    StartRefusal.KEPT_OFF: {"machine": replace(SAW, kept_off="The teacher looks first.")},
    StartRefusal.IN_USE: {"machine": replace(SAW, user="Inga V.", user_key=7)},
    StartRefusal.SHOP_CLOSED: {"shop": None},
    StartRefusal.PRESENCE_OVER: {"shop": replace(SHOP, presence=Presence(AT - 15 * MINUTE, "Odile Ferrant"))},
    StartRefusal.CLOCK_CHANGED: {"shop": replace(SHOP, presence=Presence(AT + MINUTE, "Odile Ferrant"))},
    StartRefusal.RUNS_ENDED: {"shop": replace(SHOP, runs_ended_at=AT - MINUTE)},
    StartRefusal.ON_HOLD: {"student": replace(JORY, cleared=False, on_hold="Threw scraps.")},
    StartRefusal.NOT_CLEARED: {"student": replace(JORY, cleared=False, why_not="Show your teacher first.")},
    StartRefusal.NOT_HERE: {"student": replace(JORY, here=False)},
    StartRefusal.ELSEWHERE: {"student": replace(JORY, busy_at="band saw 2")},
    StartRefusal.NOT_CHECKED: {"checked_at": None},
    StartRefusal.NO_HELPER: {"helpers": ()},
}
HELPER_FLAWS = {
    StartRefusal.HELPER_NOT_CLEARED: replace(GUS, may_help=False),
    StartRefusal.HELPER_ON_HOLD: replace(GUS, on_hold="Talk to the teacher."),
    StartRefusal.HELPER_ELSEWHERE: replace(GUS, busy_at="band saw 2"),
    StartRefusal.HELPER_NOT_HERE: replace(GUS, here=False),
}


def codes(facts: StartFacts) -> set[StartRefusal]:
    return {reason.code for reason in reasons_against_start(facts, AT)}


def test_run_starts_when_nothing_speaks_against_it():
    assert reasons_against_start(GOOD, AT) == ()
    assert may_start(GOOD, AT)


@pytest.mark.parametrize(("code", "change"), FLAWS.items())
def test_each_flaw_alone_is_the_one_reason_against_a_start(code, change):
    (reason,) = reasons_against_start(replace(GOOD, **change), AT)
    assert reason.code is code
    assert "{" not in reason.sentence
    assert not may_start(replace(GOOD, **change), AT)


@pytest.mark.parametrize(("code", "helper"), HELPER_FLAWS.items())
def test_helper_with_a_flaw_is_named_and_does_not_count(code, helper):
    assert codes(replace(GOOD, helpers=(helper,))) == {code, StartRefusal.NO_HELPER}
    # A second helper does the job, and the flaw of the first is still named.
    assert codes(replace(GOOD, helpers=(helper, replace(GUS, key=4)))) == {code}


@pytest.mark.parametrize(
    ("code", "sentence", "about"),
    [
        (StartRefusal.KEPT_OFF, "Keep off table saw 3: The teacher looks first.", None),
        (StartRefusal.NOT_CLEARED, "Jory K. is not cleared on table saw 3. Show your teacher first.", JORY.key),
        (StartRefusal.ELSEWHERE, "Jory K. is at band saw 2. End that run first.", JORY.key),
        (StartRefusal.NO_HELPER, "Table saw 3 needs a helper.", None),
        (StartRefusal.PRESENCE_OVER, "No teacher has confirmed being here. Press “I’m here” first.", None),
    ],
)
def test_reason_names_machine_student_and_cause(code, sentence, about):
    (reason,) = reasons_against_start(replace(GOOD, **FLAWS[code]), AT)
    assert (reason.sentence, reason.about) == (sentence, about)


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        (StartRefusal.HELPER_ON_HOLD, "Gus P. is on hold and may not help. Talk to the teacher."),
        (StartRefusal.HELPER_ELSEWHERE, "Gus P. is at band saw 2 and can’t help here."),
        (StartRefusal.HELPER_NOT_CLEARED, "Gus P. may not help at table saw 3."),
    ],
)
def test_reason_names_helper_and_cause(code, sentence):
    reasons = reasons_against_start(replace(GOOD, helpers=(HELPER_FLAWS[code],)), AT)
    assert [(reason.sentence, reason.about) for reason in reasons] == [
        (sentence, GUS.key),
        ("Table saw 3 needs a helper.", None),
    ]


def test_two_helpers_are_two_students():
    two = replace(GOOD, machine=replace(SAW, helpers=2), helpers=(GUS, replace(GUS, key=4)))
    assert may_start(two, AT)


def test_check_at_the_moment_of_giving_counts():
    assert may_start(replace(GOOD, checked_at=GOOD.given_at), AT)


def test_every_refusal_has_a_sentence_and_a_case():
    assert set(SENTENCES) == set(StartRefusal) == FLAWS.keys() | HELPER_FLAWS.keys()


def test_reasons_name_every_flaw_with_the_machine_first():
    facts = replace(GOOD, shop=None, **FLAWS[StartRefusal.TAGGED_OUT], **FLAWS[StartRefusal.ON_HOLD], checked_at=None)
    assert [reason.sentence for reason in reasons_against_start(facts, AT)] == [
        "Table saw 3 is tagged out: The guard is cracked.",
        "The shop is closed. A teacher must open it first.",
        "Jory K. is on hold. Threw scraps.",
        "The pre-use check of table saw 3 is not done.",
    ]


def test_second_of_two_starts_reads_who_has_the_machine():
    (reason,) = reasons_against_start(replace(GOOD, **FLAWS[StartRefusal.IN_USE]), AT)
    assert reason.sentence == "Inga V. is at table saw 3. One student works at each machine."
    assert reason.about == 7


def test_student_who_was_given_the_machine_may_start_it():
    assert may_start(replace(GOOD, machine=replace(SAW, user="Jory K.", user_key=JORY.key)), AT)


def test_check_of_an_earlier_run_does_not_count():
    assert codes(replace(GOOD, checked_at=AT - 3 * MINUTE)) == {StartRefusal.NOT_CHECKED}
    assert codes(replace(GOOD, given_at=None)) == {StartRefusal.NOT_CHECKED}


def test_giving_a_machine_does_not_ask_for_the_check_yet():
    assert reasons_against_giving(replace(GOOD, given_at=None, checked_at=None), AT) == ()
    assert reasons_against_giving(replace(GOOD, shop=None), AT) != ()


def test_student_cannot_help_the_own_run_and_a_helper_counts_once():
    own = HelperNow(JORY.key, JORY.name, may_help=True)
    assert codes(replace(GOOD, helpers=(own,))) == {StartRefusal.NO_HELPER}
    two = replace(GOOD, machine=replace(SAW, helpers=2), helpers=(GUS, GUS))
    (reason,) = reasons_against_start(two, AT)
    assert reason.sentence == "Table saw 3 needs 2 helpers."


def test_shop_that_keeps_no_attendance_can_start_runs():
    assert JORY.here is None
    assert may_start(replace(GOOD, student=replace(JORY, here=True)), AT)


@given(st.sets(st.sampled_from(sorted(FLAWS))))
def test_several_flaws_give_all_their_reasons(flaws):
    merged: dict = {}
    for code in flaws:
        for field, value in FLAWS[code].items():
            if field in merged and value is not None and merged[field] is not None:
                changed = {name: getattr(value, name) for name in value.__dataclass_fields__ if getattr(value, name) != getattr(getattr(GOOD, field), name)}  # fmt: skip  # noqa: E501
                value = replace(merged[field], **changed)
            merged[field] = value if field not in merged or value is not None else None
    found_codes = codes(replace(GOOD, **merged))
    shop = {StartRefusal.SHOP_CLOSED, StartRefusal.PRESENCE_OVER, StartRefusal.CLOCK_CHANGED, StartRefusal.RUNS_ENDED}
    student = {StartRefusal.ON_HOLD, StartRefusal.NOT_CLEARED}  # a hold is said instead of the clearance it breaks
    for group in (shop, student):
        assert bool(found_codes & group) == bool(flaws & group)
    assert found_codes - shop - student == flaws - shop - student


def test_no_pair_of_flaws_cancels_out():
    for (_, change), (_, other) in itertools.combinations(FLAWS.items(), 2):
        if not change.keys() & other.keys():
            assert not may_start(replace(GOOD, **change, **other), AT)
