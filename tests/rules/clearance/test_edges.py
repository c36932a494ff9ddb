"""The rule of clearance at its edges: which of two records counts, what comes first, and each word of an answer."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from machines.clearance.facts import (
    AttemptStart,
    ClearanceResult,
    ClearedFirst,
    DocumentFact,
    Ending,
    Ground,
    HoldFact,
    MachineRequirements,
    NextActor,
    QuizPass,
    QuizRequirement,
    Reason,
    SignOffFact,
    Standing,
    StatusOnly,
    StudentRecord,
)
from machines.clearance.rules.evaluation import briefs, evaluate, evaluate_all, standings
from tests.rules.clearance.saws import (
    BAND_SAW,
    CLEARED,
    DAY,
    GENERAL,
    NOON,
    READY,
    SAW,
    SECOND,
    SIGNED,
    TERM_ENDS,
    YEAR,
    ZONE,
    asked_days,
    scroll,
    with_saw,
)

EVERYWHERE = HoldFact(NOON, by="Ms Ferrant")


# --- the answer as a whole --------------------------------------------------------------------------------------

GROUNDS = (
    Ground("agreement", "The safety agreement for this school year is in.", YEAR.recorded_at),
    Ground("bank", "General shop safety quiz: every answer right.", NOON - 9 * DAY),
    Ground("bank", "Band saw quiz: every answer right.", NOON - 5 * DAY),
    Ground("demonstration", "Shown at the machine and signed off by Ms Ferrant.", NOON - 3 * DAY),
)
SHOW = "Every answer was right. Next, show your teacher at the machine. You may not use it yet."
SHOWS = "Every answer was right. The student shows a teacher at the machine. Not cleared yet."
SIGN = Reason("demonstration.missing", NextActor.TEACHER, SHOW, "sign-off", "20", staff=SHOWS)
TERM_OVER = "The term is over. Show your teacher at the machine again."
OVER = Reason(
    "lapsed.term",
    NextActor.TEACHER,
    TERM_OVER,
    "sign-off",
    "20",
    staff="The term is over. The student shows a teacher at the machine again.",
)
OLD = "The Band saw quiz has changed. Take the new one."
CHANGED = "The Band saw quiz has changed. The student takes the new one."


@pytest.mark.parametrize(
    ("evidence", "at", "answer"),
    [
        (CLEARED, NOON, ClearanceResult(Standing.CLEARED, (), GROUNDS, Ending(TERM_ENDS, "term"))),
        (READY, NOON, ClearanceResult(Standing.READY, (SIGN,), GROUNDS[:3])),
        (
            CLEARED,
            TERM_ENDS,
            ClearanceResult(Standing.LAPSED, (OVER,), GROUNDS),
        ),
        (
            with_saw(counts_until=NOON),
            NOON,
            ClearanceResult(
                Standing.LAPSED,
                (Reason("bank.lapsed", NextActor.STUDENT, OLD, "quiz", "2", staff=CHANGED),),
                (*GROUNDS[:2], GROUNDS[3]),
            ),
        ),
    ],
)
def test_every_word_of_an_answer(evidence: StudentRecord, at: datetime, answer: ClearanceResult) -> None:
    assert evaluate(BAND_SAW, evidence, at) == answer
    assert evaluate_all([BAND_SAW], evidence, at) == {20: answer}
    assert standings([BAND_SAW], evidence, at) == {20: answer.standing}


@pytest.mark.parametrize(
    ("evidence", "at", "brief"),
    [
        (CLEARED, NOON, StatusOnly(Standing.CLEARED, False, Ending(TERM_ENDS, "term"))),
        (CLEARED, TERM_ENDS, StatusOnly(Standing.LAPSED, True)),
        (READY, NOON, StatusOnly(Standing.READY, True)),
        (replace(READY, holds=(EVERYWHERE,)), NOON, StatusOnly(Standing.ON_HOLD, False)),
        (replace(CLEARED, holds=(EVERYWHERE,)), NOON, StatusOnly(Standing.ON_HOLD, False)),
        (replace(READY, passes=READY.passes[:1]), NOON, StatusOnly(Standing.NOT_STARTED, False)),
        (StudentRecord(ZONE, tries=(AttemptStart(SAW, NOON),)), NOON, StatusOnly(Standing.TRAINING, False)),
    ],
)
def test_a_brief_says_whether_a_sign_off_is_all_that_is_missing(
    evidence: StudentRecord, at: datetime, brief: StatusOnly
) -> None:
    assert briefs([BAND_SAW], evidence, at) == {20: brief}


def test_all_reasons_come_in_the_order_in_which_they_are_acted_on() -> None:
    first = ClearedFirst("scroll saw", ())
    asked = replace(BAND_SAW, banks=(*reversed(BAND_SAW.banks), QuizRequirement(7, "Glue")), first=(first,))
    answer = evaluate(asked, StudentRecord(ZONE, holds=(EVERYWHERE,)), NOON)
    assert [(reason.code, reason.about) for reason in answer.reasons] == [
        ("hold", ""),
        ("agreement.missing", "agreement"),
        ("bank.missing", "1"),
        ("bank.missing", "7"),
        ("first.missing", ""),
        ("bank.missing", "2"),
        ("demonstration.missing", "20"),
    ]
    assert answer.reasons[4].sentence == "First: scroll saw."


def test_every_expired_clock_is_listed_in_order() -> None:
    asked = replace(BAND_SAW, amounts=asked_days(refresh=30, unused=20), documents=())
    codes = [reason.code for reason in evaluate(asked, CLEARED, TERM_ENDS).reasons]
    assert codes == ["lapsed.term", "lapsed.refresh", "lapsed.unused"]
    year = evaluate(replace(asked, ends_with="year"), CLEARED, YEAR.ends).reasons
    assert [reason.code for reason in year] == ["lapsed.year", "lapsed.refresh", "lapsed.unused"]


# --- which of two records counts --------------------------------------------------------------------------------


def ground(evidence: StudentRecord, code: str, asked: MachineRequirements = BAND_SAW) -> Ground:
    return [met_ground for met_ground in evaluate(asked, evidence, NOON).grounds if met_ground.code == code][-1]


@pytest.mark.parametrize(
    ("other", "counts"),
    [
        (QuizPass(SAW, NOON - DAY, ref="later"), "later"),
        (QuizPass(SAW, NOON - 8 * DAY, ref="sooner"), "this"),
        (QuizPass(SAW, NOON - 5 * DAY, ref="that"), "this"),  # at the same moment: the one entered later
        (QuizPass(SAW, NOON - DAY, counts_until=NOON + DAY, ref="ends"), "this"),
        (QuizPass(SAW, NOON - DAY, counts_until=NOON, ref="over"), "this"),
        (QuizPass(SAW, NOON - DAY, refresher=True, ref="refresher"), "this"),
        (QuizPass(SAW, NOON - DAY, gone_at=NOON, ref="gone"), "this"),
    ],
)
def test_the_pass_that_counts_longest_then_the_latest_is_the_ground(other: QuizPass, counts: str) -> None:
    general, saw = CLEARED.passes
    mine = saw._replace(ref="this")
    for passes in ((general, mine, other), (general, other, mine)):
        assert ground(replace(CLEARED, passes=passes), "bank").ref == counts


@pytest.mark.parametrize(
    ("other", "counts"),
    [
        (SIGNED._replace(at=NOON - DAY, ref="later"), "later"),
        (SIGNED._replace(at=NOON - 4 * DAY, ref="sooner"), "this"),
        (SIGNED._replace(ref="that"), "this"),
        (SIGNED._replace(machine=21, at=NOON - DAY, ref="next to it"), "this"),
    ],
)
def test_the_latest_sign_off_is_the_ground(other: SignOffFact, counts: str) -> None:
    for signed in ((SIGNED._replace(ref="this"), other), (other, SIGNED._replace(ref="this"))):
        assert ground(replace(CLEARED, sign_offs=signed), "demonstration").ref == counts


def test_a_sign_off_that_lasts_longest_is_the_one_that_ends() -> None:
    longer = SIGNED._replace(at=NOON - 4 * DAY, term_ends=TERM_ENDS + DAY, year_ends=YEAR.ends + DAY)
    both = replace(CLEARED, sign_offs=(SIGNED, longer), documents=(replace(YEAR, ends=YEAR.ends + 2 * DAY),))
    assert evaluate(BAND_SAW, both, NOON).ending == Ending(TERM_ENDS + DAY, "term")
    assert evaluate(replace(BAND_SAW, ends_with="year"), both, NOON).ending == Ending(YEAR.ends + DAY, "year")
    endless = replace(both, sign_offs=(SIGNED, longer._replace(term_ends=None, year_ends=None)))
    for ends_with in ("term", "year"):
        asked = replace(BAND_SAW, ends_with=ends_with, documents=())
        assert (evaluate(asked, endless, NOON).ending, evaluate(asked, endless, YEAR.ends).cleared) == (None, True)


# --- agreements -------------------------------------------------------------------------------------------------

NEXT_YEAR = DocumentFact(NOON - DAY, YEAR.ends, YEAR.ends + 365 * DAY)
FOR_EVER = replace(BAND_SAW, ends_with="never")


@pytest.mark.parametrize(
    ("agreements", "ends"),
    [
        ((YEAR,), YEAR.ends),
        ((NEXT_YEAR, YEAR), NEXT_YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, begins=YEAR.ends + SECOND)), YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, begins=YEAR.ends - SECOND)), NEXT_YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, gone_at=NOON)), YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, gone_at=NOON + SECOND)), NEXT_YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, recorded_at=NOON)), NEXT_YEAR.ends),
        ((YEAR, replace(NEXT_YEAR, recorded_at=NOON + SECOND)), YEAR.ends),
        ((replace(YEAR, ends=NOON + DAY), YEAR), YEAR.ends),
        ((replace(YEAR, begins=NOON),), YEAR.ends),
    ],
)
def test_an_agreement_lasts_as_long_as_the_years_follow_each_other(
    agreements: tuple[DocumentFact, ...], ends: datetime
) -> None:
    assert evaluate(FOR_EVER, replace(CLEARED, documents=agreements), NOON).ending == Ending(ends, "agreement")


@pytest.mark.parametrize(
    ("agreements", "recorded_at"),
    [
        ((NEXT_YEAR, YEAR), YEAR.recorded_at),
        ((replace(YEAR, recorded_at=NOON - 2 * DAY), YEAR), YEAR.recorded_at),
        ((YEAR, replace(YEAR, recorded_at=NOON - 2 * DAY)), YEAR.recorded_at),
        ((replace(YEAR, ends=NOON + DAY, recorded_at=NOON - 60 * DAY), YEAR), YEAR.recorded_at),
    ],
)
def test_the_ground_is_when_this_years_agreement_was_first_recorded(
    agreements: tuple[DocumentFact, ...], recorded_at: datetime
) -> None:
    assert ground(replace(CLEARED, documents=agreements), "agreement").at == recorded_at


def test_an_agreement_that_no_one_asks_for_is_neither_ground_nor_end() -> None:
    answer = evaluate(replace(FOR_EVER, documents=()), CLEARED, NOON)
    assert (answer.grounds, answer.ending) == (GROUNDS[1:], None)


# --- begun ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("own_bank", "known", "standing"),
    [
        (SAW, {"tries": (AttemptStart(GENERAL, NOON),)}, Standing.NOT_STARTED),
        (SAW, {"passes": (QuizPass(SAW, NOON),)}, Standing.TRAINING),
        (SAW, {"passes": (QuizPass(SAW, NOON, gone_at=NOON),)}, Standing.NOT_STARTED),
        (SAW, {"passes": (QuizPass(SAW, NOON, refresher=True),)}, Standing.TRAINING),
        (SAW, {"sign_offs": (SIGNED,)}, Standing.TRAINING),
        (None, {"tries": (AttemptStart(GENERAL, NOON),)}, Standing.TRAINING),
        (None, {"tries": (AttemptStart(7, NOON),)}, Standing.NOT_STARTED),
        (7, {"tries": (AttemptStart(SAW, NOON),)}, Standing.NOT_STARTED),
    ],
)
def test_training_starts_with_the_own_quiz_or_any_required_quiz(
    own_bank: int | None, known: dict[str, Any], standing: Standing
) -> None:
    assert evaluate(replace(BAND_SAW, own_bank=own_bank), StudentRecord(ZONE, **known), NOON).standing is standing


# --- judged once ------------------------------------------------------------------------------------------------


class Counted(tuple[QuizRequirement, ...]):
    """Banks that count how often someone goes through them."""

    times = 0

    def __iter__(self) -> Iterator[QuizRequirement]:
        Counted.times += 1
        return super().__iter__()


@pytest.mark.parametrize("ask", [standings, briefs])
def test_a_machine_that_many_ask_for_first_is_judged_once(ask: Any) -> None:
    shared = scroll(10, banks=Counted())
    many = [replace(BAND_SAW, machine=n, first=(ClearedFirst("scroll saw", (shared,)),)) for n in range(30, 40)]
    Counted.times = 0
    ask([*many, shared], READY, NOON)
    assert Counted.times == 1
