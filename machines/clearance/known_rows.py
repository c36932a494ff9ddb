"""What the rule of clearance knows of many students at a moment, straight from rows: for a whole class or school.

The same as `as_known` makes of `evidence_of`, without what only words need: a school has thirty thousand cells, and
making facts costs more than judging by them.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from machines.clearance.evidence import SchoolDays, document_fact, uses_of
from machines.clearance.facts import DocumentFact, HoldFact, MachineUse
from machines.clearance.loading import SchoolRequirements
from machines.clearance.rules.known import (
    RecordAt,
    SignedTimes,
    Tallies,
    documents_in_force,
    holds_in_force,
    tallies,
)
from quizzes.relearning.attempt_sets import StudentAttempts, attempt_sets
from shopsafe.database.plain_rows import moment, plain_rows
from shopsafe.school.calendar import FOREVER, NEVER, end_of_day
from shopsafe.school.models import School

# One row a sign-off that stood then. Where no one asks when it was made, a null.
SIGN_OFFS = """
SELECT signed.student_id, signed.machine_id, signed.kind_id, signed.term_id, {made}
  FROM machines_signoff signed
 WHERE signed.student_id IN ({ids}) AND signed.at <= %(at)s
   AND (signed.undone_at IS NULL OR signed.undone_at > %(at)s)
   AND (signed.withdrawn_at IS NULL OR signed.withdrawn_at > %(at)s)
"""
MADE = "CAST(signed.at AS text)"

# One row a document that was recorded by then; one a machine that a hold names, or one for a hold that names none, of
# the holds that were in force then; and one a term of the school. All are few, and are asked for at once: documents are
# of a student, holds have a key, and terms are of no student.
DOCUMENTS = """
SELECT document.student_id, NULL, document.kind, document.year, CAST(document.signed_on AS text),
       CAST(document.recorded_at AS text), CAST(document.taken_back_at AS text), NULL, NULL
  FROM school_safetyagreement document WHERE document.student_id IN ({ids}) AND document.recorded_at <= %(at)s
"""
HOLDS = """
SELECT hold.student_id, hold.id, NULL, NULL, CAST(hold.last_day AS text), CAST(hold.placed_at AS text), NULL,
       hold.everywhere, placed.machine_id
  FROM machines_hold hold LEFT JOIN machines_hold_machines placed ON placed.hold_id = hold.id
 WHERE hold.student_id IN ({ids}) AND hold.placed_at <= %(at)s
   AND (hold.lifted_at IS NULL OR hold.lifted_at > %(at)s)
"""
TERMS = """
SELECT NULL, term.id, NULL, NULL, CAST(term.last_day AS text), NULL, NULL, NULL, NULL
  FROM school_term term WHERE term.school_id = {school}
"""
RECORDED = f"{DOCUMENTS} UNION ALL {HOLDS} UNION ALL {TERMS}"

type Times = dict[int, SignedTimes]
NO_ATTEMPTS = StudentAttempts()


def records_at(
    student_ids: Collection[int], school: School, asks: SchoolRequirements, at: datetime
) -> dict[int, RecordAt]:
    """What is known at `at` of each of these students of one school. Three queries, however many they are, and one
    more where an amount counts records."""
    ids, days = list(student_ids), SchoolDays(school)
    attempts = attempt_sets(ids, at, asks.publications, proved=asks.count_days)
    documents, holds, term_ends = _recorded(ids, school.pk, days, at)
    signed_on, signed_kind = _signed(ids, term_ends, days, at, made=asks.count_days, on_kinds=asks.count_kinds)
    used = _used(ids, at, asks.counted)
    return {
        pk: RecordAt(
            at=at,
            zone=school.time_zone,
            passed=(mine := attempts.get(pk, NO_ATTEMPTS)).passed,
            outdated=mine.outdated,
            begun=mine.begun,
            proved=mine.proved,
            documents=documents_in_force(documents[pk], at) if pk in documents else {},
            signed_on=signed_on.get(pk, {}),
            signed_kind=signed_kind.get(pk, {}),
            used_on=used[pk][0] if pk in used else {},
            used_kind=used[pk][1] if pk in used else {},
            holds=holds_in_force(holds[pk], at) if pk in holds else (),
        )
        for pk in ids
    }


def _signed(
    ids: list[int], term_ends: Mapping[int, datetime], days: SchoolDays, at: datetime, *, made: bool, on_kinds: bool
) -> tuple[dict[int, Times], dict[int, Times]]:
    """By student, the sign-offs on each machine and, if `on_kinds`, on each kind. If no one asks when they were `made`,
    they say NEVER: a reader who asks after all finds them run out."""
    on: dict[int, Times] = defaultdict(dict)
    kinds: dict[int, Times] = defaultdict(dict)
    in_term: dict[int | None, SignedTimes] = {pk: SignedTimes(NEVER, end, NEVER) for pk, end in term_ends.items()}
    in_term[None] = SignedTimes(NEVER, FOREVER, NEVER)
    rows = plain_rows(SIGN_OFFS.replace("{made}", MADE if made else "NULL"), ids, at)
    for student, machine, kind, term, stored in rows:
        times = in_term[term]
        if made:
            when = moment(stored)
            times = SignedTimes(when, times.term_ends, days.year_end(when))
        on_machine = on[student]
        before = on_machine.get(machine)
        on_machine[machine] = times if before is None else before.with_more(times)
        if on_kinds:
            before = kinds[student].get(kind)
            kinds[student][kind] = times if before is None else before.with_more(times)
    return on, kinds


def _recorded(
    ids: list[int], school: int, days: SchoolDays, at: datetime
) -> tuple[dict[int, list[DocumentFact]], dict[int, list[HoldFact]], dict[int, datetime]]:
    """Documents; holds as the rule needs them: whom they stop where, and from when until when; and term → its end."""
    documents: dict[int, list[DocumentFact]] = defaultdict(list)
    machines: dict[int, set[int]] = defaultdict(set)
    rows: dict[int, tuple[Any, ...]] = {}
    term_ends: dict[int, datetime] = {}
    statement = RECORDED.replace("{school}", str(school))
    for student, key, kind, year, day, since, gone_at, everywhere, machine in plain_rows(statement, ids, at):
        if student is None:
            term_ends[key] = end_of_day(date.fromisoformat(day), days.zone)
        elif key is None:
            documents[student].append(document_fact(days, kind, year, day, since, gone_at))
        else:
            rows[key] = (student, everywhere, since, day)
            machines[key] |= {machine} - {None}
    return documents, _holds(rows, machines, days), term_ends


def _holds(
    rows: Mapping[int, tuple[Any, ...]], machines: Mapping[int, set[int]], days: SchoolDays
) -> dict[int, list[HoldFact]]:
    by_student: dict[int, list[HoldFact]] = defaultdict(list)
    for hold, (student, everywhere, placed_at, last_day) in rows.items():
        by_student[student].append(
            HoldFact(
                placed_at=moment(placed_at),
                machines=None if everywhere else frozenset(machines[hold]),
                until=end_of_day(date.fromisoformat(last_day), days.zone) if last_day else None,
                ref=str(hold),
            )
        )
    return by_student


def _used(ids: list[int], at: datetime, counted: Collection[str]) -> dict[int, tuple[Tallies, Tallies]]:
    """By student, what amounts count at each machine and at each kind."""
    by_student: dict[int, list[MachineUse]] = defaultdict(list)
    for student, use in uses_of(ids, at, counted):
        by_student[student].append(use)
    return {student: tallies(uses) for student, uses in by_student.items()}
