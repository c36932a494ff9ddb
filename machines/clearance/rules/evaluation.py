"""The rule of clearance: may this student use this machine at this moment, and if not, why and who acts next.

`evaluate` is total and pure. The same steps serve one cell, one class and one school:

1. `as_known` (known.py) narrows the evidence to what was on record, and still good, at the moment.
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

from collections.abc import Iterable, Iterator
from datetime import datetime
from operator import attrgetter
from typing import NamedTuple

from machines.clearance.amounts import AMOUNTS, AmountRecord, AskedAmount
from machines.clearance.facts import (
    ClearanceResult,
    Ending,
    EndingCause,
    Gap,
    GapCode,
    Ground,
    MachineRequirements,
    QuizRequirement,
    Standing,
    StatusOnly,
    StudentRecord,
)
from machines.clearance.rules import wording
from machines.clearance.rules.known import RecordAt, SignedTimes, as_known
from shopsafe.school.calendar import FOREVER, NEVER
from shopsafe.school.people.rules.documents import AGREEMENT, DocumentKind

# Gaps that a sign-off closes: with no other gap, the student may show and the teacher may sign off.
CLOSED_BY_SIGN_OFF = frozenset(
    [GapCode.DEMONSTRATION, GapCode.TERM_OVER, GapCode.YEAR_OVER]
    + [kind.gap for kind in AMOUNTS.values() if kind.renewed]
)
LAPSES = CLOSED_BY_SIGN_OFF - {GapCode.DEMONSTRATION} | {GapCode.QUIZ_CHANGED, GapCode.RULES_NOT_APPROVED}


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
    return standings_by(asked, as_known(evidence, at))


def standings_by(asked: Iterable[MachineRequirements], known: RecordAt) -> dict[int, Standing]:
    memo = dict[int, Assessment]()
    asked = list(asked)
    met = _plainly_met(asked, known)
    return {
        r.machine: Standing.CLEARED if r.machine in met else _standing(r, known, _judged(r, known, memo)) for r in asked
    }


def briefs(asked: Iterable[MachineRequirements], evidence: StudentRecord, at: datetime) -> dict[int, StatusOnly]:
    """As `evaluate_all`, without the words."""
    return briefs_by(asked, as_known(evidence, at))


def briefs_by(asked: Iterable[MachineRequirements], known: RecordAt) -> dict[int, StatusOnly]:
    memo = dict[int, Assessment]()
    # Most cells of one student end alike: with the term, and with the same documents.
    alike: dict[tuple[datetime, str, frozenset[str]], StatusOnly] = {}
    endless = all(until is FOREVER for until in known.passed.values())
    asked = list(asked)
    met = _plainly_met(asked, known)
    answers = {}
    for r in asked:
        if endless and r.machine in met:
            key = (met[r.machine].term_ends, r.ends_with, r.document_codes)
            answers[r.machine] = alike.get(key) or alike.setdefault(key, _brief(r, known, memo))
        else:
            answers[r.machine] = _brief(r, known, memo)
    return answers


def may_be_signed_off(answer: ClearanceResult) -> bool:
    """Whether a sign-off is all that is missing: ready to show, or lapsed in a way that showing again fixes."""
    return bool(answer.reasons) and all(reason.code in CLOSED_BY_SIGN_OFF for reason in answer.reasons)


# --- step 2: what is not met ------------------------------------------------------------------------------------


class Assessment(NamedTuple):
    """What stands between one student and one machine, and what the answer about it is read off."""

    gaps: tuple[Gap, ...]  # the first to act on first; empty means cleared
    signed: SignedTimes | None  # the sign-offs that answer for this machine
    clocks: list["Clock"]  # what runs out, in display order


class Clock(NamedTuple):
    """When something runs out, past or to come, and the gap that is left then."""

    ending: Ending
    gap: Gap


# By the identity of the requirements, so that a machine which many ask for first is judged once.
type Memo = dict[int, Assessment]


def _judged(asked: MachineRequirements, known: RecordAt, memo: Memo) -> Assessment:
    done = memo.get(id(asked))
    if done is not None:
        return done
    signed = _signed(asked, known)
    clocks = [*_clocks_of_sign_off(asked, signed), *_clocks_of_amounts(asked, signed, known)]
    memo[id(asked)] = judged = Assessment(tuple(_gaps(asked, signed, clocks, known, memo)), signed, clocks)
    return judged


def _plainly_met(asked: Iterable[MachineRequirements], known: RecordAt) -> dict[int, SignedTimes]:
    """Machine → its sign-offs, where `_gaps` finds no gap and that is seen at a glance: most cells of a class. Of a
    machine that is not among them this says nothing."""
    if known.holds:
        return {}
    at, signed_on, documents, passed = known.at, known.signed_on, known.documents.keys(), frozenset(known.passed)
    met = {}
    for r in asked:
        if r.is_plain and r.machine in signed_on and r.bank_keys <= passed and r.document_codes <= documents:
            signed = signed_on[r.machine]
            if signed.term_ends > at:
                met[r.machine] = signed
    return met


def _gaps(
    asked: MachineRequirements, signed: SignedTimes | None, clocks: list[Clock], known: RecordAt, memo: Memo
) -> list[Gap]:
    gaps = [Gap(GapCode.HOLD, hold) for hold in known.holds if hold.machines is None or asked.machine in hold.machines]
    for kind in asked.documents:
        if kind.code not in known.documents:
            gaps.append(Gap(_gap_code(kind), kind))
    # The machine's own quiz comes after what is asked first, all others before.
    own: list[Gap] = []
    for bank in asked.banks:
        if bank.bank not in known.passed:
            (own if bank.bank == asked.own_bank else gaps).append(_bank_gap(bank, known))
    for first in asked.first:
        if all(_judged(other, known, memo).gaps for other in first.one_of):
            gaps.append(Gap(GapCode.OTHER_MACHINE, first))
    gaps += own
    run_out = [clock.gap for clock in clocks if clock.ending.at <= known.at]
    # What no sign-off closes comes before it.
    gaps += [gap for gap in run_out if gap.code not in CLOSED_BY_SIGN_OFF]
    if signed is None:
        gaps.append(Gap(GapCode.DEMONSTRATION))
    return gaps + [gap for gap in run_out if gap.code in CLOSED_BY_SIGN_OFF]


def _gap_code(kind: DocumentKind) -> GapCode:
    return GapCode.AGREEMENT if kind.code == AGREEMENT.code else GapCode.DOCUMENT


def _bank_gap(bank: QuizRequirement, known: RecordAt) -> Gap:
    if not bank.accepted:
        return Gap(GapCode.RULES_NOT_APPROVED, bank)
    return Gap(GapCode.QUIZ_CHANGED if bank.bank in known.outdated else GapCode.QUIZ, bank)


def _signed(asked: MachineRequirements, known: RecordAt) -> SignedTimes | None:
    if asked.demonstration == "kind":
        return known.signed_kind.get(asked.kind)
    return known.signed_on.get(asked.machine)


def _clocks_of_sign_off(asked: MachineRequirements, signed: SignedTimes | None) -> list[Clock]:
    if signed is None or asked.ends_with == "never":
        return []
    if asked.ends_with == "term":
        return [Clock(Ending(signed.term_ends, EndingCause.TERM), Gap(GapCode.TERM_OVER))]
    return [Clock(Ending(signed.year_ends, EndingCause.YEAR), Gap(GapCode.YEAR_OVER))]


def _clocks_of_amounts(asked: MachineRequirements, signed: SignedTimes | None, known: RecordAt) -> Iterator[Clock]:
    on_kind = asked.demonstration == "kind"
    for amount in asked.amounts:
        kind = amount.kind
        tallies = (known.used_kind if on_kind else known.used_on).get(kind.counts, {})
        record = AmountRecord(
            zone=known.zone,
            signed_at=signed.at if signed else None,
            proved_at=known.proved.get(asked.own_bank or 0, NEVER),
            tally=tallies.get(asked.kind if on_kind else asked.machine),
        )
        ending = Ending(kind.until(amount.number, record), kind.ending, amount=kind.column)
        yield Clock(ending, Gap(kind.gap, amount))


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
    if judged.signed or _is_begun(asked, known):
        return Standing.TRAINING
    return Standing.NOT_STARTED


def _is_begun(asked: MachineRequirements, known: RecordAt) -> bool:
    """Whether there is an attempt that begins this machine: at its own quiz. General safety alone begins none."""
    if asked.own_bank is not None:
        return asked.own_bank in known.begun
    return not asked.bank_keys.isdisjoint(known.begun)


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
    proofs = known.proofs
    met += [wording.bank_met(bank, proofs.passes[bank.bank]) for bank in asked.banks if bank.bank in known.passed]
    for first in asked.first:
        if any(not _judged(other, known, memo).gaps for other in first.one_of):
            met.append(wording.prerequisite_met(first))
    for ending, gap in _judged(asked, known, memo).clocks:
        if isinstance(gap.what, AskedAmount) and gap.what.kind.met and ending.at > known.at:
            met.append(wording.amount_met(gap.what, gap.what.kind.met))
    on_kind = asked.demonstration == "kind"
    if sign_off := proofs.signed_kind.get(asked.kind) if on_kind else proofs.signed_on.get(asked.machine):
        met.append(wording.demonstration_met(sign_off))
    return tuple(met)


def _ending(asked: MachineRequirements, known: RecordAt, memo: Memo) -> Ending | None:
    """The first thing that will end a clearance if nothing happens; None where nothing will."""
    ends = [clock.ending for clock in _judged(asked, known, memo).clocks]
    ends += [known.documents[kind.code].ending for kind in asked.documents]
    for bank in asked.banks:
        until = known.passed[bank.bank]
        if until < FOREVER:
            ends.append(Ending(until, EndingCause.EDITION, bank.bank))
    for first in asked.first:
        cleared = [other for other in first.one_of if not _judged(other, known, memo).gaps]
        ends.append(Ending(max(_until(other, known, memo) for other in cleared), EndingCause.FIRST))
    soonest = min(ends, key=attrgetter("at"), default=None)
    return soonest if soonest is not None and soonest.at < FOREVER else None


def _until(asked: MachineRequirements, known: RecordAt, memo: Memo) -> datetime:
    ending = _ending(asked, known, memo)
    return ending.at if ending else FOREVER
