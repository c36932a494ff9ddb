"""Step 1 of the rule of clearance: what was on record about one student, and still good, at a moment.

`as_known` narrows a student's facts to it. For whole classes `machines/clearance/known_rows.py` makes the same straight
from rows, without the facts that only words need.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from machines.clearance.amounts import Tally
from machines.clearance.facts import (
    DocumentFact,
    Ending,
    EndingCause,
    HoldFact,
    MachineUse,
    QuizPass,
    SignOffFact,
    StudentRecord,
)
from shopsafe.school.calendar import FOREVER, NEVER
from shopsafe.school.people.rules.documents import AGREEMENT


class DocumentInForce(NamedTuple):
    """Since when a document is on record, and when it counts no more."""

    recorded_at: datetime
    ending: Ending


class SignedTimes(NamedTuple):
    """The sign-offs that answer for one machine, or one kind, taken together: the last of each moment."""

    at: datetime
    term_ends: datetime
    year_ends: datetime

    def with_more(self, other: "SignedTimes") -> "SignedTimes":
        return SignedTimes(
            max(self.at, other.at), max(self.term_ends, other.term_ends), max(self.year_ends, other.year_ends)
        )


class Proofs(NamedTuple):
    """The facts behind what is met, which words name: by bank the perfect attempt that counts longest, by machine and
    by kind the last sign-off."""

    passes: Mapping[int, QuizPass]
    signed_on: Mapping[int, SignOffFact]
    signed_kind: Mapping[int, SignOffFact]


NO_PROOFS = Proofs({}, {}, {})


@dataclass(frozen=True, slots=True)
class RecordAt:
    """What is on record about one student, narrowed to a moment. What ends never ends at FOREVER."""

    at: datetime
    zone: str
    passed: Mapping[int, datetime]  # bank → until when the perfect attempt counts that counts longest
    outdated: Collection[int]  # banks passed on editions that no longer count
    begun: Collection[int]  # banks with any attempt
    proved: Mapping[int, datetime]  # bank → the last perfect attempt or refresher, counting or not
    documents: Mapping[str, DocumentInForce]  # by the code of its kind
    signed_on: Mapping[int, SignedTimes]  # machine → sign-offs that stand
    signed_kind: Mapping[int, SignedTimes]
    used_on: Mapping[str, Mapping[int, Tally]]  # sort of records that amounts count → machine → those there are
    used_kind: Mapping[str, Mapping[int, Tally]]
    holds: Collection[HoldFact]  # those in force, the earliest first
    proofs: Proofs = NO_PROOFS


def as_known(evidence: StudentRecord, at: datetime) -> RecordAt:
    passes = [p for p in evidence.passes if _stands(p.at, p.gone_at, at)]
    best: dict[int, QuizPass] = {}
    for quiz_pass in sorted(passes, key=_pass_rank):
        if not quiz_pass.refresher and (quiz_pass.counts_until is None or at < quiz_pass.counts_until):
            best[quiz_pass.bank] = quiz_pass
    signed = [s for s in evidence.sign_offs if _stands(s.at, s.gone_at, at)]
    signed.sort(key=lambda sign_off: (sign_off.at, sign_off.ref))
    used_on, used_kind = tallies(use for use in evidence.uses if use.at <= at)
    return RecordAt(
        at=at,
        zone=evidence.zone,
        passed={bank: quiz_pass.counts_until or FOREVER for bank, quiz_pass in best.items()},
        outdated=frozenset(p.bank for p in passes if not p.refresher) - best.keys(),
        begun=frozenset([t.bank for t in evidence.tries if t.at <= at] + [p.bank for p in passes]),
        proved=_latest((p.bank, p.at) for p in passes),
        documents=documents_in_force(evidence.documents, at),
        signed_on=_together((s.machine, s) for s in signed),
        signed_kind=_together((s.kind, s) for s in signed),
        used_on=used_on,
        used_kind=used_kind,
        holds=holds_in_force(evidence.holds, at),
        proofs=Proofs(best, {s.machine: s for s in signed}, {s.kind: s for s in signed}),
    )


def documents_in_force(documents: Iterable[DocumentFact], at: datetime) -> dict[str, DocumentInForce]:
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


type Tallies = dict[str, dict[int, Tally]]


def tallies(uses: Iterable[MachineUse]) -> tuple[Tallies, Tallies]:
    """What is on record of each sort, by machine and by kind."""
    on: Tallies = {}
    kinds: Tallies = {}
    for use in uses:
        for taken, key in ((on, use.machine), (kinds, use.kind)):
            sort, tally = taken.setdefault(use.record, {}), Tally(use.at, use.amount)
            sort[key] = sort[key].with_more(tally) if key in sort else tally
    return on, kinds


def holds_in_force(holds: Iterable[HoldFact], at: datetime) -> list[HoldFact]:
    return sorted((hold for hold in holds if is_in_force(hold, at)), key=lambda hold: (hold.placed_at, hold.ref))


def is_in_force(hold: HoldFact, at: datetime) -> bool:
    """Whether the hold stops the student at that moment: placed, not lifted, its days not over."""
    return _stands(hold.placed_at, hold.lifted_at, at) and (hold.until is None or at < hold.until)


def _stands(since: datetime, gone_at: datetime | None, at: datetime) -> bool:
    return since <= at and (gone_at is None or at < gone_at)


def _pass_rank(quiz_pass: QuizPass) -> tuple[datetime, datetime, str]:
    return quiz_pass.counts_until or FOREVER, quiz_pass.at, quiz_pass.ref


def _together(pairs: Iterable[tuple[int, SignOffFact]]) -> dict[int, SignedTimes]:
    times: dict[int, SignedTimes] = {}
    for key, sign_off in pairs:
        these = SignedTimes(sign_off.at, sign_off.term_ends or FOREVER, sign_off.year_ends or FOREVER)
        times[key] = times[key].with_more(these) if key in times else these
    return times


def _latest(pairs: Iterable[tuple[int, datetime]]) -> dict[int, datetime]:
    latest: dict[int, datetime] = {}
    for key, at in pairs:
        latest[key] = max(at, latest.get(key, NEVER))
    return latest
