"""The rule of clearance: may this student use this machine at this moment, and if not, why and who acts next.

`evaluate` is total and pure. The same steps serve one cell, one class and one school:

1. `as_known` narrows the evidence to what was on record, and still good, at the moment.
2. `_judged` lists what is not met, in the order in which it is to be acted on, and when what is met runs out.
3. `_standing` reads the standing off the gaps; `wording` says them; `_ending` looks ahead.

The standing, from the first line that is true:
- on hold        a hold covers the machine: nothing else is looked at
- cleared        no gap
- lapsed         a sign-off stands, and its term, its days or the edition behind it have run out, or no teacher
                 accepts that edition's rules any more
- ready to show  the only gap is the demonstration
- in training    the student has begun this machine's own quiz, or holds a sign-off for it
- not started    none of that

"Cleared first" means cleared at that same moment: while the scroll saw is lapsed or on hold, a band saw that asks
for it is not cleared either.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from operator import attrgetter
from typing import NamedTuple

from machines.clearance.facts import (
    ClearanceResult,
    DocumentFact,
    Ending,
    EndingCause,
    Gap,
    GapCode,
    Ground,
    HoldFact,
    MachineRequirements,
    QuizPass,
    QuizRequirement,
    SignOffFact,
    Standing,
    StatusOnly,
    StudentRecord,
)
from machines.clearance.rules import wording
from shopsafe.school.calendar import end_of_day, local_day
from shopsafe.school.people.rules.documents import AGREEMENT, DocumentKind

FOREVER = datetime.max.replace(tzinfo=UTC)
NEVER = datetime.min.replace(tzinfo=UTC)

# Gaps that a sign-off closes: with no other gap, the student may show and the teacher may sign off.
CLOSED_BY_SIGN_OFF = frozenset(
    {GapCode.DEMONSTRATION, GapCode.TERM_OVER, GapCode.YEAR_OVER, GapCode.REFRESHER_DUE, GapCode.NOT_USED}
)
LAPSES = CLOSED_BY_SIGN_OFF - {GapCode.DEMONSTRATION} | {GapCode.QUIZ_CHANGED, GapCode.RULES_NOT_APPROVED}
# The gap that is left when one of a sign-off's own clocks has run out.
RUN_OUT = {
    EndingCause.TERM: GapCode.TERM_OVER,
    EndingCause.YEAR: GapCode.YEAR_OVER,
    EndingCause.REFRESH: GapCode.REFRESHER_DUE,
    EndingCause.UNUSED: GapCode.NOT_USED,
}


def evaluate(requirements: MachineRequirements, evidence: StudentRecord, at: datetime) -> ClearanceResult:
    """The answer for one machine and one student at the aware moment `at`. Never raises on well-typed facts."""
    return _answer(requirements, as_known(evidence, at), {})


def evaluate_all(
    asked: Iterable[MachineRequirements], evidence: StudentRecord, at: datetime
) -> dict[int, ClearanceResult]:
    """`evaluate` for several machines and one student, by the machine's key; what they share is worked out once."""
    known, memo = as_known(evidence, at), dict[int, Assessment]()
    return {requirements.machine: _answer(requirements, known, memo) for requirements in asked}


def standings(asked: Iterable[MachineRequirements], evidence: StudentRecord, at: datetime) -> dict[int, Standing]:
    """As `evaluate_all`, without the reasons: for a matrix."""
    known, memo = as_known(evidence, at), dict[int, Assessment]()
    return {r.machine: _standing(r, known, _judged(r, known, memo)) for r in asked}


def briefs(asked: Iterable[MachineRequirements], evidence: StudentRecord, at: datetime) -> dict[int, StatusOnly]:
    """As `evaluate_all`, without the words."""
    known, memo = as_known(evidence, at), dict[int, Assessment]()
    return {requirements.machine: _brief(requirements, known, memo) for requirements in asked}


def may_be_signed_off(answer: ClearanceResult) -> bool:
    """Whether a sign-off is all that is missing: ready to show, or lapsed in a way that showing again mends."""
    return bool(answer.reasons) and all(reason.code in CLOSED_BY_SIGN_OFF for reason in answer.reasons)


# --- step 1: the evidence as it stood ---------------------------------------------------------------------------


class DocumentInForce(NamedTuple):
    """Since when a document is on record, and when it counts no more."""

    recorded_at: datetime
    ending: Ending


@dataclass(frozen=True, slots=True)
class RecordAt:
    """One student's evidence narrowed to a moment."""

    at: datetime
    zone: str
    passes: list[QuizPass]  # those that stand, counting or not
    passed: dict[int, QuizPass]  # bank → the perfect attempt that counts longest
    outdated: frozenset[int]  # banks passed on editions that no longer count
    begun: frozenset[int]  # banks with any attempt
    documents: dict[str, DocumentInForce]  # by the code of its kind
    signed_on: dict[int, list[SignOffFact]]  # machine → sign-offs that stand
    signed_kind: dict[int, list[SignOffFact]]
    used_on: dict[int, datetime]  # machine → last use
    used_kind: dict[int, datetime]
    holds: tuple[HoldFact, ...]  # those in force, the earliest first


def as_known(evidence: StudentRecord, at: datetime) -> RecordAt:
    passes = [p for p in evidence.passes if p.at <= at and (p.gone_at is None or at < p.gone_at)]
    passed: dict[int, QuizPass] = {}
    for quiz_pass in passes:
        if quiz_pass.refresher or not (quiz_pass.counts_until is None or at < quiz_pass.counts_until):
            continue
        best = passed.get(quiz_pass.bank)
        if best is None or _pass_rank(quiz_pass) > _pass_rank(best):
            passed[quiz_pass.bank] = quiz_pass
    signed_on: dict[int, list[SignOffFact]] = {}
    signed_kind: dict[int, list[SignOffFact]] = {}
    for sign_off in evidence.sign_offs:
        if sign_off.at <= at and (sign_off.gone_at is None or at < sign_off.gone_at):
            signed_on.setdefault(sign_off.machine, []).append(sign_off)
            signed_kind.setdefault(sign_off.kind, []).append(sign_off)
    used = [u for u in evidence.uses if u.at <= at]
    return RecordAt(
        at=at,
        zone=evidence.zone,
        passes=passes,
        passed=passed,
        outdated=frozenset(p.bank for p in passes if not p.refresher) - passed.keys(),
        begun=frozenset([t.bank for t in evidence.tries if t.at <= at] + [p.bank for p in passes]),
        documents=_documents(evidence.documents, at),
        signed_on=signed_on,
        signed_kind=signed_kind,
        used_on=_latest((u.machine, u.at) for u in used),
        used_kind=_latest((u.kind, u.at) for u in used),
        holds=tuple(sorted((h for h in evidence.holds if is_in_force(h, at)), key=lambda h: (h.placed_at, h.ref))),
    )


def _documents(documents: Iterable[DocumentFact], at: datetime) -> dict[str, DocumentInForce]:
    """For each kind the document that counts at `at`, with those already recorded that follow it without a break."""
    in_force: dict[str, DocumentInForce] = {}
    for document in sorted(documents, key=lambda d: (d.begins, -d.ends.timestamp(), d.recorded_at)):
        before = in_force.get(document.kind)
        known = _stands(document.recorded_at, document.gone_at, at)
        if known and document.begins <= (before.ending.at if before else at) < document.ends:
            since = before.recorded_at if before else document.recorded_at
            in_force[document.kind] = DocumentInForce(since, _document_end(document))
    return in_force


def _document_end(document: DocumentFact) -> Ending:
    if document.kind == AGREEMENT.code:
        return Ending(document.ends, EndingCause.AGREEMENT)
    return Ending(document.ends, EndingCause.DOCUMENT, document=document.kind)


def is_in_force(hold: HoldFact, at: datetime) -> bool:
    """Whether the hold stops the student at that moment: placed, not lifted, its days not over."""
    return _stands(hold.placed_at, hold.lifted_at, at) and (hold.until is None or at < hold.until)


def _stands(since: datetime, gone_at: datetime | None, at: datetime) -> bool:
    return since <= at and (gone_at is None or at < gone_at)


def _pass_rank(quiz_pass: QuizPass) -> tuple[datetime, datetime, str]:
    return quiz_pass.counts_until or FOREVER, quiz_pass.at, quiz_pass.ref


def _latest(pairs: Iterable[tuple[int, datetime]]) -> dict[int, datetime]:
    latest: dict[int, datetime] = {}
    for key, at in pairs:
        latest[key] = max(at, latest.get(key, NEVER))
    return latest


# --- step 2: what is not met ------------------------------------------------------------------------------------


class Assessment(NamedTuple):
    """What stands between one student and one machine, and what the answer about it is read off."""

    gaps: tuple[Gap, ...]  # the first to act on first; empty means cleared
    signed: Sequence[SignOffFact]  # the sign-offs that answer for this machine
    clocks: list[Ending]  # the moments at which they run out, past or to come, in the order they are told


# By the identity of the requirements, so that a machine which many ask for first is judged once.
type Memo = dict[int, Assessment]


def _judged(asked: MachineRequirements, known: RecordAt, memo: Memo) -> Assessment:
    done = memo.get(id(asked))
    if done is not None:
        return done
    signed = _signed(asked, known)
    clocks = _clocks(asked, signed, known) if signed else []
    gaps = () if _plainly_met(asked, signed, clocks, known) else tuple(_gaps(asked, signed, clocks, known, memo))
    memo[id(asked)] = judged = Assessment(gaps, signed, clocks)
    return judged


def _plainly_met(
    asked: MachineRequirements, signed: Sequence[SignOffFact], clocks: list[Ending], known: RecordAt
) -> bool:
    """Whether `_gaps` finds none, where that is seen at a glance: most cells of a class. False means nothing."""
    if not signed or known.holds or asked.first:
        return False
    for bank in asked.banks:
        if bank.bank not in known.passed:
            return False
    for kind in asked.documents:
        if kind.code not in known.documents:
            return False
    return all(clock.at > known.at for clock in clocks)


def _gaps(
    asked: MachineRequirements, signed: Sequence[SignOffFact], clocks: list[Ending], known: RecordAt, memo: Memo
) -> list[Gap]:
    gaps = [Gap(GapCode.HOLD, hold) for hold in known.holds if hold.machines is None or asked.machine in hold.machines]
    gaps += [Gap(_gap_code(kind), kind) for kind in asked.documents if kind.code not in known.documents]
    missing = [bank for bank in asked.banks if bank.bank not in known.passed]
    # The machine's own quiz comes after what is asked first, all others before.
    gaps += [_bank_gap(bank, known) for bank in missing if bank.bank != asked.own_bank]
    for first in asked.first:
        if all(_judged(other, known, memo).gaps for other in first.one_of):
            gaps.append(Gap(GapCode.OTHER_MACHINE, first))
    gaps += [_bank_gap(bank, known) for bank in missing if bank.bank == asked.own_bank]
    if not signed:
        gaps.append(Gap(GapCode.DEMONSTRATION))
    gaps += [Gap(RUN_OUT[clock.by]) for clock in clocks if clock.at <= known.at]
    return gaps


def _gap_code(kind: DocumentKind) -> GapCode:
    return GapCode.AGREEMENT if kind.code == AGREEMENT.code else GapCode.DOCUMENT


def _bank_gap(bank: QuizRequirement, known: RecordAt) -> Gap:
    if not bank.accepted:
        return Gap(GapCode.RULES_NOT_APPROVED, bank)
    return Gap(GapCode.QUIZ_CHANGED if bank.bank in known.outdated else GapCode.QUIZ, bank)


def _signed(asked: MachineRequirements, known: RecordAt) -> Sequence[SignOffFact]:
    if asked.demonstration == "kind":
        return known.signed_kind.get(asked.kind, ())
    return known.signed_on.get(asked.machine, ())


def _clocks(asked: MachineRequirements, signed: Sequence[SignOffFact], known: RecordAt) -> list[Ending]:
    clocks = []
    if asked.ends_with == "term":
        clocks.append(Ending(max([sign_off.term_ends or FOREVER for sign_off in signed]), EndingCause.TERM))
    elif asked.ends_with == "year":
        clocks.append(Ending(max([sign_off.year_ends or FOREVER for sign_off in signed]), EndingCause.YEAR))
    if asked.refresh_days is None and asked.unused_days is None:
        return clocks
    renewed = _renewed(asked, signed, known)
    if asked.refresh_days is not None:
        clocks.append(Ending(_days_on(renewed, asked.refresh_days, known), EndingCause.REFRESH))
    if asked.unused_days is not None:
        used = known.used_kind.get(asked.kind) if asked.demonstration == "kind" else known.used_on.get(asked.machine)
        clocks.append(Ending(_days_on(max(used or NEVER, renewed), asked.unused_days, known), EndingCause.UNUSED))
    return clocks


def _renewed(asked: MachineRequirements, signed: Sequence[SignOffFact], known: RecordAt) -> datetime:
    """When the student last proved it: by sign-off, perfect attempt or refresher."""
    quizzes = [quiz_pass.at for quiz_pass in known.passes if quiz_pass.bank == asked.own_bank]
    return max([*quizzes, *(sign_off.at for sign_off in signed)])


def _days_on(since: datetime, days: int, known: RecordAt) -> datetime:
    """The end of the school day that is `days` days after the day of `since`."""
    try:
        return end_of_day(local_day(since, known.zone) + timedelta(days=days), known.zone)
    except OverflowError:
        return FOREVER


# --- step 3: the standing, its reasons, its end -----------------------------------------------------------------


def _standing(asked: MachineRequirements, known: RecordAt, judged: Assessment) -> Standing:
    if not judged.gaps:
        return Standing.CLEARED
    codes = {gap.code for gap in judged.gaps}
    if GapCode.HOLD in codes:
        return Standing.ON_HOLD
    if judged.signed and codes & LAPSES:
        return Standing.LAPSED
    if codes == {GapCode.DEMONSTRATION}:
        return Standing.READY
    if judged.signed or known.begun & _own_banks(asked):
        return Standing.TRAINING
    return Standing.NOT_STARTED


def _own_banks(asked: MachineRequirements) -> set[int]:
    """The banks whose attempts mean that this machine was begun; general safety alone begins no machine."""
    return {asked.own_bank} if asked.own_bank is not None else {bank.bank for bank in asked.banks}


def _answer(asked: MachineRequirements, known: RecordAt, memo: Memo) -> ClearanceResult:
    judged = _judged(asked, known, memo)
    return ClearanceResult(
        standing=_standing(asked, known, judged),
        reasons=wording.reasons(asked, judged.gaps),
        grounds=_grounds(asked, known, memo),
        ending=None if judged.gaps else _ending(asked, known, memo),
    )


def _brief(asked: MachineRequirements, known: RecordAt, memo: Memo) -> StatusOnly:
    judged = _judged(asked, known, memo)
    if not judged.gaps:
        return StatusOnly(Standing.CLEARED, False, _ending(asked, known, memo))
    due = all(gap.code in CLOSED_BY_SIGN_OFF for gap in judged.gaps)
    return StatusOnly(_standing(asked, known, judged), due)


def _grounds(asked: MachineRequirements, known: RecordAt, memo: Memo) -> tuple[Ground, ...]:
    """What is met, in the order it is asked for."""
    met = []
    met += [
        wording.document_met(kind, known.documents[kind.code].recorded_at)
        for kind in asked.documents
        if kind.code in known.documents
    ]
    met += [wording.bank_met(bank, known.passed[bank.bank]) for bank in asked.banks if bank.bank in known.passed]
    for first in asked.first:
        if any(not _judged(other, known, memo).gaps for other in first.one_of):
            met.append(wording.prerequisite_met(first))
    if signed := _signed(asked, known):
        met.append(wording.demonstration_met(max(signed, key=lambda sign_off: (sign_off.at, sign_off.ref))))
    return tuple(met)


def _ending(asked: MachineRequirements, known: RecordAt, memo: Memo) -> Ending | None:
    """The first thing that will end a clearance if nothing happens; None where nothing will."""
    ends = list(_judged(asked, known, memo).clocks)
    ends += [known.documents[kind.code].ending for kind in asked.documents]
    for bank in asked.banks:
        until = known.passed[bank.bank].counts_until
        if until is not None:
            ends.append(Ending(until, EndingCause.EDITION, bank.bank))
    for first in asked.first:
        cleared = [other for other in first.one_of if not _judged(other, known, memo).gaps]
        ends.append(Ending(max(_until(other, known, memo) for other in cleared), EndingCause.FIRST))
    soonest = min(ends, key=attrgetter("at"), default=None)
    return soonest if soonest is not None and soonest.at < FOREVER else None


def _until(asked: MachineRequirements, known: RecordAt, memo: Memo) -> datetime:
    ending = _ending(asked, known, memo)
    return ending.at if ending else FOREVER
