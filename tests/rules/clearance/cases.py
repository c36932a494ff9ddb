"""Strategies for clearance: small worlds in which everything meets everything, and moments close to boundaries."""

import itertools
from datetime import UTC, date, datetime, timedelta
from functools import cache

from hypothesis import strategies as st

from machines.clearance.facts import (
    AttemptStart,
    ClearedFirst,
    DocumentFact,
    HoldFact,
    MachineRequirements,
    MachineUse,
    QuizPass,
    QuizRequirement,
    SignOffFact,
    StudentRecord,
)
from shopsafe.school.calendar import end_of_day
from shopsafe.school.people.rules.documents import AGREEMENT
from tests.rules.clearance.documents import FIT_RECORD
from tests.rules.clearance.saws import asked_days

ZONES = ["America/Chicago", "Europe/London", "Asia/Kathmandu", "Pacific/Apia", "UTC"]
BANKS, MACHINES = [1, 2, 3], [10, 11, 20]  # machine 10 and 11 are of kind 1, machine 20 of kind 2
# Days with something about them: daylight saving begins and ends, 29 February, the turn of a school year.
DAYS = [date(2024, 2, 27), date(2024, 2, 28), date(2024, 2, 29), date(2024, 3, 1), date(2024, 3, 9), date(2024, 3, 10),
        date(2024, 3, 11), date(2024, 7, 31), date(2024, 8, 1), date(2024, 11, 2), date(2024, 11, 3)]  # fmt: skip
NUDGES = [timedelta(0), timedelta(seconds=-1), timedelta(seconds=1), timedelta(hours=-9), timedelta(minutes=-30)]

NONE_FIRST: st.SearchStrategy[tuple[ClearedFirst, ...]] = st.just(())


@cache  # building a strategy costs more than drawing from it
def moments(zone: str) -> st.SearchStrategy[datetime]:
    return st.builds(lambda day, nudge: end_of_day(day, zone) + nudge, st.sampled_from(DAYS), st.sampled_from(NUDGES))


@cache
def later(zone: str) -> st.SearchStrategy[datetime | None]:
    return st.none() | moments(zone)


@cache
def evidence(zone: str) -> st.SearchStrategy[StudentRecord]:
    """Records with keys of their own, so that no two are alike."""
    bank, machine, at, maybe = st.sampled_from(BANKS), st.sampled_from(MACHINES), moments(zone), later(zone)
    kinds = st.sampled_from([AGREEMENT.code, FIT_RECORD.code])
    of = st.lists

    def numbered(facts: list) -> tuple:
        return tuple(make(str(number)) for number, make in enumerate(facts))

    passes = of(st.builds(lambda b, a, u, g, r: lambda ref: QuizPass(b, a, u, g, r, ref), bank, at, maybe, maybe, st.booleans()), max_size=6)  # fmt: skip  # noqa: E501
    signed = of(st.builds(lambda m, a, t, y, g: lambda ref: SignOffFact(m, m // 10, a, "Ms F", t, y, g, ref), machine, at, maybe, maybe, maybe), max_size=5)  # fmt: skip  # noqa: E501
    holds = of(st.builds(lambda a, m, u, g: lambda ref: HoldFact(a, m, "", "", "Ms F", u, g, ref), at, st.none() | st.frozensets(machine, min_size=1), maybe, maybe), max_size=2)  # fmt: skip  # noqa: E501
    year = st.sampled_from(years(zone))
    documents = st.builds(lambda year, a, g, kind: DocumentFact(a, *year, g, kind), year, at, maybe, kinds)
    return st.builds(
        StudentRecord,
        st.just(zone),
        passes.map(numbered),
        of(st.builds(AttemptStart, bank, at), max_size=3).map(tuple),
        of(documents, max_size=3).map(tuple),
        signed.map(numbered),
        of(st.builds(lambda m, a: MachineUse(m, m // 10, a), machine, at), max_size=3).map(tuple),
        holds.map(numbered),
    )


@cache
def years(zone: str) -> list[tuple[datetime, datetime]]:
    turns = [end_of_day(date(year, 7, 31), zone) for year in (2022, 2023, 2024, 2025)]
    return list(itertools.pairwise(turns))


@cache
def one(
    machine: int, firsts: st.SearchStrategy[tuple[ClearedFirst, ...]] = NONE_FIRST
) -> st.SearchStrategy[MachineRequirements]:
    days = st.none() | st.integers(0, 12) | st.just(365)
    asked = st.lists(st.sampled_from(BANKS), unique=True, max_size=2)
    return st.builds(
        MachineRequirements,
        st.just(machine),
        st.just(machine // 10),
        st.just(f"machine {machine}"),
        st.builds(
            lambda banks, unread: tuple(QuizRequirement(bank, f"bank {bank}", bank not in unread) for bank in banks),
            asked,
            st.sampled_from([(), (), (1,), (2, 3)]),
        ),
        st.none() | st.sampled_from(BANKS),
        firsts,
        st.sampled_from([(AGREEMENT,), (), (FIT_RECORD,), (AGREEMENT, FIT_RECORD)]),
        st.sampled_from(["machine", "kind"]),
        st.sampled_from(["term", "year", "never"]),
        st.builds(lambda refresh, unused: asked_days(refresh=refresh, unused=unused), days, days),
    )


@cache
def requirements() -> st.SearchStrategy[MachineRequirements]:
    """Machine 20, which may ask for machine 10 or 11 first, or for something there is none of."""
    first = st.lists(st.sampled_from([10, 11]).flatmap(one), max_size=2).map(
        lambda rs: ClearedFirst("kind 1", tuple(rs))
    )
    return one(20, st.lists(first, max_size=2).map(tuple))


@st.composite
def worlds(draw: st.DrawFn) -> tuple[MachineRequirements, StudentRecord, datetime]:
    zone = draw(st.sampled_from(ZONES))
    return draw(requirements()), draw(evidence(zone)), draw(moments(zone))


@st.composite
def cleared_worlds(draw: st.DrawFn) -> tuple[MachineRequirements, StudentRecord, datetime]:
    """Worlds in which everything that is asked has just been met, whatever else is on record."""
    asked, known, at = draw(worlds())
    every = (asked, *(other for first in asked.first for other in first.one_of))
    banks = {bank.bank for r in every for bank in r.banks}
    start, end = next((a, b) for a, b in years(known.zone) if a <= at < b)
    soon = at - timedelta(seconds=draw(st.integers(0, 90_000)))
    ends = at + timedelta(days=draw(st.integers(1, 200)))
    met = StudentRecord(
        known.zone,
        tuple(QuizPass(bank, soon, draw(st.none() | st.just(ends)), ref=f"p{bank}") for bank in banks) + known.passes,
        known.tries,
        (DocumentFact(start, start, end), DocumentFact(start, start, end, kind=FIT_RECORD.code), *known.documents),
        tuple(SignOffFact(r.machine, r.kind, at, "Ms F", ends, end, ref=f"s{n}") for n, r in enumerate(every))
        + known.sign_offs,
        known.uses,
    )
    return asked, met, at


FAR = datetime(2030, 1, 1, tzinfo=UTC)
