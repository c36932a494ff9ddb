"""The rule of clearance by cases: each standing, each reason, and each boundary a second before and after."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from machines.clearance.facts import (
    AttemptStart,
    ClearedFirst,
    Ending,
    MachineRequirements,
    MachineUse,
    NextActor,
    QuizPass,
    QuizRequirement,
    SignOffFact,
    Standing,
    StudentRecord,
)
from machines.clearance.rules.evaluation import evaluate, evaluate_all, may_be_signed_off, standings
from shopsafe.school.calendar import end_of_day
from tests.rules.clearance.saws import (
    BAND_SAW,
    CLEARED,
    GENERAL,
    HOLD,
    NOON,
    READY,
    SAW,
    SECOND,
    SIGNED,
    TERM_ENDS,
    YEAR,
    ZONE,
    asked_days,
)


def codes(evidence: StudentRecord, at: datetime = NOON, asked: MachineRequirements = BAND_SAW) -> list[str]:
    return [reason.code for reason in evaluate(asked, evidence, at).reasons]


def standing(evidence: StudentRecord, at: datetime = NOON, asked: MachineRequirements = BAND_SAW) -> Standing:
    return evaluate(asked, evidence, at).standing


# --- the standings ----------------------------------------------------------------------------------------------


def test_everything_met_is_cleared_and_says_on_what_it_rests():
    answer = evaluate(BAND_SAW, CLEARED, NOON)
    assert answer.standing is Standing.CLEARED
    assert answer.reasons == ()
    assert [ground.code for ground in answer.grounds] == ["agreement", "bank", "bank", "demonstration"]
    assert answer.ending == Ending(TERM_ENDS, "term")


def test_teacher_acts_next_when_only_the_demonstration_is_missing():
    (reason,) = evaluate(BAND_SAW, READY, NOON).reasons
    assert standing(READY) is Standing.READY
    assert (reason.code, reason.who, reason.link, reason.about) == (
        "demonstration.missing", NextActor.TEACHER, "sign-off", "20",
    )  # fmt: skip
    assert reason.sentence.startswith("Every answer was right.")


def test_nothing_on_record_is_not_started_with_every_reason_in_order():
    assert standing(StudentRecord(ZONE)) is Standing.NOT_STARTED
    assert codes(StudentRecord(ZONE)) == ["agreement.missing", "bank.missing", "bank.missing", "demonstration.missing"]


def test_training_starts_with_a_try_at_the_machines_own_quiz():
    general = StudentRecord(ZONE, passes=(QuizPass(GENERAL, NOON),))
    assert standing(general) is Standing.NOT_STARTED
    assert standing(replace(general, tries=(AttemptStart(SAW, NOON),))) is Standing.TRAINING
    assert standing(replace(general, tries=(AttemptStart(SAW, NOON + SECOND),))) is Standing.NOT_STARTED


def test_the_guardian_acts_on_a_missing_agreement():
    (reason,) = evaluate(BAND_SAW, replace(CLEARED, documents=()), NOON).reasons
    assert (reason.code, reason.who) == ("agreement.missing", NextActor.GUARDIAN)
    assert standing(replace(CLEARED, documents=())) is Standing.TRAINING


def test_an_agreement_that_was_taken_back_counts_until_then():
    withdrawn = replace(CLEARED, documents=(replace(YEAR, gone_at=NOON),))
    assert standing(withdrawn, NOON - timedelta(seconds=1)) is Standing.CLEARED
    assert codes(withdrawn) == ["agreement.missing"]


def test_a_shop_that_asks_for_no_agreement_gets_none():
    assert standing(replace(CLEARED, documents=()), asked=replace(BAND_SAW, documents=())) is Standing.CLEARED


def test_machine_without_requirements_still_asks_for_a_demonstration():
    bare = MachineRequirements(machine=7, kind=7, name="vise", documents=())
    (reason,) = evaluate(bare, StudentRecord(ZONE), NOON).reasons
    assert standing(StudentRecord(ZONE), asked=bare) is Standing.READY
    assert "answer" not in reason.sentence


# --- demonstrations ---------------------------------------------------------------------------------------------


def test_sign_off_on_another_machine_counts_only_by_type():
    next_to_it = replace(READY, sign_offs=(SIGNED._replace(machine=21),))
    assert standing(next_to_it) is Standing.READY
    assert standing(next_to_it, asked=replace(BAND_SAW, demonstration="kind")) is Standing.CLEARED


@pytest.mark.parametrize("at", [SIGNED.at, NOON - SECOND])
def test_undone_or_withdrawn_sign_off_counts_until_its_end(at: datetime):
    withdrawn = replace(READY, sign_offs=(SIGNED._replace(gone_at=NOON),))
    assert standing(withdrawn, at) is Standing.CLEARED
    assert standing(withdrawn, NOON) is Standing.READY


def test_a_sign_off_counts_from_its_own_second():
    assert standing(CLEARED, SIGNED.at) is Standing.CLEARED
    assert standing(CLEARED, SIGNED.at - SECOND) is Standing.READY


# --- passes and editions ----------------------------------------------------------------------------------------


def test_a_voided_pass_counts_until_it_was_voided():
    saw = CLEARED.passes[1]._replace(gone_at=NOON)
    voided = replace(CLEARED, passes=(CLEARED.passes[0], saw))
    assert standing(voided, NOON - SECOND) is Standing.CLEARED
    assert codes(voided) == ["bank.missing"]


def test_clearance_expires_when_its_edition_stops_counting():
    saw = CLEARED.passes[1]._replace(counts_until=NOON)
    old = replace(CLEARED, passes=(CLEARED.passes[0], saw))
    assert evaluate(BAND_SAW, old, NOON - SECOND).ending == Ending(NOON, "edition", SAW)
    assert standing(old, NOON - SECOND) is Standing.CLEARED
    assert standing(old, NOON) is Standing.LAPSED
    assert codes(old) == ["bank.lapsed"]


def test_outdated_pass_without_a_sign_off_means_training():
    saw = READY.passes[1]._replace(counts_until=NOON)
    assert standing(replace(READY, passes=(READY.passes[0], saw))) is Standing.TRAINING


def test_the_pass_that_counts_longest_is_the_one_that_counts():
    ending = CLEARED.passes[1]._replace(counts_until=NOON + timedelta(days=2), at=NOON - SECOND)
    both = replace(CLEARED, passes=(*CLEARED.passes, ending))
    assert evaluate(BAND_SAW, both, NOON).ending == Ending(TERM_ENDS, "term")


def test_refresher_does_not_replace_the_quiz():
    refresher = CLEARED.passes[1]._replace(refresher=True)
    assert codes(replace(CLEARED, passes=(CLEARED.passes[0], refresher))) == ["bank.missing"]


# --- lapses -----------------------------------------------------------------------------------------------------


def test_the_end_of_the_term_is_the_end_of_its_last_school_day():
    last_second = datetime(2027, 1, 15, 23, 59, 59, tzinfo=ZoneInfo(ZONE))
    assert standing(CLEARED, last_second) is Standing.CLEARED
    assert standing(CLEARED, last_second + SECOND) is Standing.LAPSED
    assert codes(CLEARED, last_second + SECOND) == ["lapsed.term"]


@pytest.mark.parametrize(
    ("ends_with", "after_the_term"), [("term", "expired"), ("year", "cleared"), ("never", "cleared")]
)
def test_a_shop_may_let_a_sign_off_last_the_year_or_longer(ends_with: str, after_the_term: str):
    asked = replace(BAND_SAW, ends_with=ends_with)
    assert standing(CLEARED, TERM_ENDS, asked) == after_the_term


def test_clearance_without_an_end_has_no_ending():
    asked = replace(BAND_SAW, ends_with="never", documents=())
    assert evaluate(asked, CLEARED, NOON).ending is None


def test_a_later_sign_off_in_the_next_term_renews():
    again = SIGNED._replace(at=TERM_ENDS + timedelta(days=5), term_ends=end_of_day(date(2027, 6, 4), ZONE))
    both = replace(CLEARED, sign_offs=(again, SIGNED))
    assert standing(both, TERM_ENDS + timedelta(days=5) - SECOND) is Standing.LAPSED
    assert standing(both, TERM_ENDS + timedelta(days=5)) is Standing.CLEARED


@pytest.mark.parametrize(
    ("signed_day", "days", "last_day"),
    [
        (date(2026, 10, 9), 30, date(2026, 11, 8)),  # over the end of daylight saving on 1 November
        (date(2027, 3, 1), 20, date(2027, 3, 21)),  # over its beginning on 14 March
        (date(2027, 10, 1), 151, date(2028, 2, 29)),
        (date(2028, 2, 29), 365, date(2029, 2, 28)),
        (date(2026, 10, 9), 0, date(2026, 10, 9)),
    ],
)
def test_refreshers_fall_due_at_the_end_of_the_nth_school_day(signed_day: date, days: int, last_day: date):
    signed_at = datetime.combine(signed_day, datetime.min.time(), ZoneInfo(ZONE)) + timedelta(hours=13)
    evidence = StudentRecord(ZONE, sign_offs=(SignOffFact(20, 2, signed_at, "Ms Ferrant"),))
    asked = MachineRequirements(20, 2, "band saw 2", own_bank=SAW, documents=(), amounts=asked_days(refresh=days))
    end = datetime.combine(last_day, datetime.max.time(), ZoneInfo(ZONE)).replace(microsecond=0)
    assert standing(evidence, end, asked) is Standing.CLEARED
    assert standing(evidence, end + SECOND, asked) is Standing.LAPSED
    assert evaluate(asked, evidence, end).ending == Ending(
        end.astimezone(UTC) + SECOND, "refresh", amount="refresh_days"
    )


def test_a_perfect_refresher_renews_from_its_own_second():
    asked = replace(BAND_SAW, amounts=asked_days(refresh=30), ends_with="never")
    due = end_of_day(date(2026, 11, 8), ZONE)
    renewed = replace(CLEARED, passes=(*CLEARED.passes, QuizPass(SAW, due + timedelta(days=1), refresher=True)))
    (reason,) = evaluate(asked, renewed, due).reasons
    assert (reason.code, reason.who, reason.link, reason.about) == (
        "lapsed.refresh",
        NextActor.STUDENT,
        "refresher",
        "2",
    )
    assert standing(renewed, due + timedelta(days=1)) is Standing.CLEARED


def test_a_refresher_of_another_bank_renews_nothing():
    asked = replace(BAND_SAW, amounts=asked_days(refresh=30))
    due = end_of_day(date(2026, 11, 8), ZONE)
    other = replace(CLEARED, passes=(*CLEARED.passes, QuizPass(GENERAL, due, refresher=True)))
    assert standing(other, due, asked) is Standing.LAPSED


def test_use_of_another_machine_keeps_a_clearance_only_by_type():
    asked = replace(BAND_SAW, amounts=asked_days(unused=10))
    at = end_of_day(date(2026, 10, 19), ZONE)
    assert codes(CLEARED, at, asked) == ["lapsed.unused"]
    on_it = replace(CLEARED, uses=(MachineUse(20, 2, NOON),))
    next_to_it = replace(CLEARED, uses=(MachineUse(21, 2, NOON),))
    assert standing(on_it, at, asked) is Standing.CLEARED
    assert standing(next_to_it, at, asked) is Standing.LAPSED
    assert standing(next_to_it, at, replace(asked, demonstration="kind")) is Standing.CLEARED


def test_a_kind_without_a_bank_is_brought_back_by_the_teacher():
    asked = MachineRequirements(20, 2, "band saw 2", documents=(), amounts=asked_days(unused=10))
    (reason,) = evaluate(asked, replace(CLEARED, passes=()), end_of_day(date(2026, 10, 19), ZONE)).reasons
    assert (reason.who, reason.link) == (NextActor.TEACHER, "sign-off")


def test_days_beyond_the_calendar_never_end():
    asked = replace(BAND_SAW, amounts=asked_days(refresh=10**9), ends_with="never", documents=())
    assert evaluate(asked, CLEARED, NOON).ending is None


# --- agreements -------------------------------------------------------------------------------------------------


def test_agreement_counts_from_its_recording_to_the_end_of_its_year():
    asked = replace(BAND_SAW, ends_with="never")
    assert standing(CLEARED, YEAR.ends - SECOND, asked) is Standing.CLEARED
    assert codes(CLEARED, YEAR.ends, asked) == ["agreement.missing"]
    early = replace(YEAR, recorded_at=datetime(2026, 6, 1, tzinfo=UTC))
    assert "agreement.missing" in codes(replace(CLEARED, documents=(early,)), early.begins - SECOND)
    assert "agreement.missing" not in codes(replace(CLEARED, documents=(early,)), early.begins)
    assert "agreement.missing" in codes(CLEARED, YEAR.recorded_at - SECOND)


# --- other machines first ---------------------------------------------------------------------------------------

SCROLL_SAWS = tuple(MachineRequirements(m, 1, f"scroll saw {m}", own_bank=9, documents=()) for m in (10, 11))
FIRST = replace(BAND_SAW, first=(ClearedFirst("scroll saw", SCROLL_SAWS),))
SCROLL_SIGNED = SignOffFact(11, 1, NOON - timedelta(days=6), "Ms Ferrant", TERM_ENDS)


def test_a_kind_asked_first_is_met_by_any_one_machine_of_it():
    assert codes(CLEARED, asked=FIRST) == ["first.missing"]
    on_one = replace(CLEARED, sign_offs=(SIGNED, SCROLL_SIGNED))
    assert standing(on_one, asked=FIRST) is Standing.CLEARED
    assert "Cleared on scroll saw." in [ground.sentence for ground in evaluate(FIRST, on_one, NOON).grounds]


def test_held_or_expired_first_machine_blocks_the_next_machine():
    on_one = replace(CLEARED, sign_offs=(SIGNED, SCROLL_SIGNED))
    held = replace(on_one, holds=(replace(HOLD, machines=frozenset({11})),))
    assert codes(held, asked=FIRST) == ["first.missing"]
    soon = replace(on_one, sign_offs=(SIGNED, SCROLL_SIGNED._replace(term_ends=NOON)))
    assert standing(soon, NOON - SECOND, FIRST) is Standing.CLEARED
    assert evaluate(FIRST, soon, NOON - SECOND).ending == Ending(NOON, "first")
    assert codes(soon, NOON, FIRST) == ["first.missing"]


def test_prerequisite_without_a_machine_cannot_be_met():
    assert codes(CLEARED, asked=replace(BAND_SAW, first=(ClearedFirst("jointer", ()),))) == ["first.missing"]


# --- who may be signed off --------------------------------------------------------------------------------------


def test_sign_off_is_allowed_only_when_ready_or_expired_by_time():
    assert may_be_signed_off(evaluate(BAND_SAW, READY, NOON))
    assert may_be_signed_off(evaluate(BAND_SAW, CLEARED, TERM_ENDS))
    assert not may_be_signed_off(evaluate(BAND_SAW, CLEARED, NOON))
    assert not may_be_signed_off(evaluate(BAND_SAW, replace(READY, holds=(HOLD,)), NOON))
    assert not may_be_signed_off(evaluate(BAND_SAW, replace(READY, documents=()), NOON))
    assert not may_be_signed_off(evaluate(FIRST, READY, NOON))


def test_many_machines_at_once_get_the_answers_they_get_alone():
    asked = (BAND_SAW, FIRST, *SCROLL_SAWS)
    machines = {r.machine: r for r in asked}
    alone = {machine: evaluate(r, CLEARED, NOON) for machine, r in machines.items()}
    assert evaluate_all(machines.values(), CLEARED, NOON) == alone
    assert standings(machines.values(), CLEARED, NOON) == {m: answer.standing for m, answer in alone.items()}


# --- rules that no teacher accepts ------------------------------------------------------------------------------

UNREAD = replace(
    BAND_SAW, banks=(QuizRequirement(GENERAL, "General shop safety"), QuizRequirement(SAW, "Band saw", False))
)


def test_a_bank_no_teacher_accepts_is_the_teachers_to_act_on():
    reason = evaluate(UNREAD, StudentRecord(ZONE), NOON).reasons[2]
    assert (reason.code, reason.who, reason.link, reason.about) == (
        "bank.not-accepted",
        NextActor.TEACHER,
        "accept",
        "2",
    )
    assert "practice only" in reason.sentence


def test_no_one_is_ready_or_cleared_by_a_bank_no_teacher_accepts():
    general = replace(READY, passes=READY.passes[:1])
    assert standing(general, asked=UNREAD) is Standing.NOT_STARTED
    assert not may_be_signed_off(evaluate(UNREAD, general, NOON))
    assert standing(replace(general, sign_offs=(SIGNED,)), asked=UNREAD) is Standing.LAPSED


def test_a_pass_that_counts_on_an_earlier_edition_is_enough():
    assert standing(CLEARED, asked=UNREAD) is Standing.CLEARED
