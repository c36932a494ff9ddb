"""When a clearance ends: the days since the last proof or use, and which of several ends comes first."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from machines.clearance.facts import (
    ClearedFirst,
    Ending,
    Ground,
    MachineRequirements,
    MachineUse,
    QuizPass,
    SignOffFact,
    Standing,
    StatusOnly,
    StudentRecord,
)
from machines.clearance.rules.evaluation import briefs, evaluate
from shopsafe.school.calendar import end_of_day
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


def end(*day: int) -> datetime:
    return end_of_day(date(*day), ZONE)


def due(*day: int) -> Ending:
    return Ending(end(*day), "refresh", amount="refresh_days")


def unused(*day: int) -> Ending:
    return Ending(end(*day), "unused", amount="unused_days")


# --- days -------------------------------------------------------------------------------------------------------

SIGNED_DAY = date(2026, 10, 9)
BY_DAYS = replace(BAND_SAW, ends_with="never", documents=())


@pytest.mark.parametrize(
    ("says", "evidence", "ends"),
    [
        ({"amounts": asked_days(refresh=5)}, CLEARED, due(2026, 10, 14)),
        ({"amounts": asked_days(unused=5)}, CLEARED, unused(2026, 10, 14)),
        ({"amounts": asked_days(refresh=5, unused=4)}, CLEARED, unused(2026, 10, 13)),
        ({"amounts": asked_days(refresh=5, unused=5)}, CLEARED, due(2026, 10, 14)),
        ({"amounts": asked_days(refresh=5)}, with_saw(at=NOON - DAY), due(2026, 10, 16)),
        ({"amounts": asked_days(refresh=5), "own_bank": None}, with_saw(at=NOON - DAY), due(2026, 10, 14)),
        ({"amounts": asked_days(refresh=5), "own_bank": 9}, with_saw(at=NOON - DAY), due(2026, 10, 14)),
        ({"amounts": asked_days(refresh=5)}, replace(CLEARED, uses=(MachineUse(20, 2, NOON),)), due(2026, 10, 14)),
        ({"amounts": asked_days(unused=5)}, replace(CLEARED, uses=(MachineUse(20, 2, NOON),)), unused(2026, 10, 17)),
        (
            {"amounts": asked_days(unused=5)},
            replace(CLEARED, uses=(MachineUse(20, 2, NOON + SECOND),)),
            unused(2026, 10, 14),
        ),
        ({"amounts": asked_days(unused=5)}, replace(CLEARED, uses=(MachineUse(20, 3, NOON),)), unused(2026, 10, 17)),
        (
            {"amounts": asked_days(unused=5)},
            replace(CLEARED, uses=(MachineUse(20, 2, NOON), MachineUse(20, 2, NOON - 2 * DAY))),
            unused(2026, 10, 17),
        ),
        (
            {"amounts": asked_days(unused=5)},
            replace(CLEARED, uses=(MachineUse(20, 2, NOON - 9 * DAY),)),
            unused(2026, 10, 14),
        ),
        (
            {"amounts": asked_days(unused=5), "demonstration": "kind"},
            replace(CLEARED, uses=(MachineUse(20, 3, NOON), MachineUse(21, 2, NOON - DAY))),
            unused(2026, 10, 16),
        ),
        ({"amounts": asked_days(refresh=10**9, unused=5)}, CLEARED, unused(2026, 10, 14)),
        ({"amounts": asked_days(unused=10**9)}, CLEARED, None),
    ],
)
def test_the_days_count_from_the_last_proof_or_use(
    says: dict[str, Any], evidence: StudentRecord, ends: Ending | None
) -> None:
    assert evaluate(replace(BY_DAYS, **says), evidence, NOON).ending == ends


@pytest.mark.parametrize("code", ["refresh", "unused"])
def test_clearance_ends_at_the_announced_second(code: str) -> None:
    asked = replace(BY_DAYS, amounts=asked_days(**{code: 5}))
    assert evaluate(asked, CLEARED, end(2026, 10, 14) - SECOND).cleared
    (reason,) = evaluate(asked, CLEARED, end(2026, 10, 14)).reasons
    cause = {
        "refresh": "5 days have passed since the last quiz, refresher or sign-off.",
        "unused": "Not used for 5 days.",
    }[code]
    assert (reason.code, reason.sentence) == (f"lapsed.{code}", f"{cause} A short refresher brings it back.")


def test_clocks_do_not_run_without_a_demonstration() -> None:
    asked = replace(BAND_SAW, amounts=asked_days(refresh=1, unused=1))
    assert [reason.code for reason in evaluate(asked, READY, YEAR.ends - SECOND).reasons] == ["demonstration.missing"]


# --- what ends first --------------------------------------------------------------------------------------------


SOON = NOON + 2 * DAY


def signed_on(machine: int, ends: datetime | None) -> SignOffFact:
    return SignOffFact(machine, 1, NOON - 6 * DAY, "Ms Ferrant", ends)


@pytest.mark.parametrize(
    ("first", "sign_offs", "ends"),
    [
        ((scroll(10),), (signed_on(10, NOON + DAY),), Ending(NOON + DAY, "first")),
        # Of two that will do, the one that lasts longer; one that is not cleared will not do.
        ((scroll(10), scroll(11)), (signed_on(10, NOON + DAY), signed_on(11, SOON)), Ending(SOON, "first")),
        ((scroll(10), scroll(11)), (signed_on(11, NOON + DAY),), Ending(NOON + DAY, "first")),
        ((scroll(10), scroll(11)), (signed_on(10, NOON), signed_on(11, NOON + DAY)), Ending(NOON + DAY, "first")),
        ((scroll(10),), (signed_on(10, None),), Ending(TERM_ENDS, "term")),
        ((scroll(10), scroll(11)), (signed_on(10, NOON + DAY), signed_on(11, None)), Ending(TERM_ENDS, "term")),
        ((scroll(10),), (signed_on(10, TERM_ENDS),), Ending(TERM_ENDS, "term")),
    ],
)  # fmt: skip
def test_a_machine_asked_first_ends_what_rests_on_it(
    first: tuple[MachineRequirements, ...], sign_offs: tuple[SignOffFact, ...], ends: Ending
) -> None:
    asked = replace(BAND_SAW, first=(ClearedFirst("scroll saw", first),))
    known = replace(CLEARED, sign_offs=(SIGNED, *sign_offs))
    assert evaluate(asked, known, NOON).ending == ends
    assert evaluate(asked, known, NOON).grounds[3] == Ground("first", "Cleared on scroll saw.")
    assert briefs([asked], known, NOON) == {20: StatusOnly(Standing.CLEARED, False, ends)}


def test_each_machine_asked_first_is_a_reason_or_a_ground_of_its_own() -> None:
    asked = replace(BAND_SAW, first=(ClearedFirst("scroll saw", (scroll(10),)), ClearedFirst("sander", (scroll(12),))))
    known = replace(CLEARED, sign_offs=(SIGNED, signed_on(12, None)))
    answer = evaluate(asked, known, NOON)
    assert [reason.sentence for reason in answer.reasons] == ["First: scroll saw."]
    assert [met_ground.sentence for met_ground in answer.grounds if met_ground.code == "first"] == [
        "Cleared on sander."
    ]


@pytest.mark.parametrize(
    ("until", "ends"),
    [
        (NOON + SECOND, Ending(NOON + SECOND, "edition", SAW)),
        (TERM_ENDS - SECOND, Ending(TERM_ENDS - SECOND, "edition", SAW)),
        (TERM_ENDS, Ending(TERM_ENDS, "term")),
        (None, Ending(TERM_ENDS, "term")),
    ],
)
def test_an_edition_ends_a_clearance_if_nothing_ends_it_before(until: datetime | None, ends: Ending) -> None:
    assert evaluate(BAND_SAW, with_saw(counts_until=until), NOON).ending == ends


def test_edition_ends_a_clearance_only_for_required_rule_sets() -> None:
    general, saw = CLEARED.passes
    known = replace(CLEARED, passes=(general._replace(counts_until=NOON + DAY), saw, QuizPass(7, NOON, NOON + SECOND)))
    assert evaluate(BAND_SAW, known, NOON).ending == Ending(NOON + DAY, "edition", GENERAL)


def test_clearance_in_another_time_zone_ends_at_local_midnight() -> None:
    elsewhere = replace(CLEARED, zone="Asia/Kathmandu")
    asked = replace(BY_DAYS, amounts=asked_days(refresh=1))
    assert evaluate(asked, elsewhere, NOON - 3 * DAY).ending == Ending(
        datetime(2026, 10, 10, 18, 15, tzinfo=UTC), "refresh", amount="refresh_days"
    )
