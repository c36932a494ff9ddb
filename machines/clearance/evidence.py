"""What is on record about students, as facts, for a whole set of them at once."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any

from machines.clearance import facts
from machines.clearance.amounts import STATEMENTS
from machines.clearance.rules.lifting import BY_STUDENT, HoldEnding, passed_since
from machines.models import Hold
from quizzes.banks.editions.queries import Publications
from quizzes.relearning.queries import attempted_rows
from shopsafe.conventions import written_day
from shopsafe.database.plain_rows import moment, plain_instances, plain_rows
from shopsafe.school.calendar import end_of_day, local_day, school_year, start_of_day
from shopsafe.school.models import School
from shopsafe.school.people.rules.documents import document_kind

# One row a sign-off that stood then.
SIGN_OFFS = """
SELECT signed.student_id, signed.machine_id, signed.kind_id, CAST(signed.at AS text), teacher.name,
       CAST(term.last_day AS text), signed.entry_id, NULL, NULL
  FROM machines_signoff signed
  LEFT JOIN school_person teacher ON teacher.id = signed.by_id LEFT JOIN school_term term ON term.id = signed.term_id
 WHERE signed.student_id IN ({ids}) AND signed.at <= %(at)s
   AND (signed.undone_at IS NULL OR signed.undone_at > %(at)s)
   AND (signed.withdrawn_at IS NULL OR signed.withdrawn_at > %(at)s)
"""


# One row a document that was recorded by then; of no machine, which tells it from a sign-off beside it.
DOCUMENTS = """
SELECT document.student_id, NULL, NULL, CAST(document.recorded_at AS text), document.kind,
       CAST(document.signed_on AS text), NULL, document.year, CAST(document.taken_back_at AS text)
  FROM school_safetyagreement document WHERE document.student_id IN ({ids}) AND document.recorded_at <= %(at)s
"""
RECORDED = f"{SIGN_OFFS} UNION ALL {DOCUMENTS}"


# One row a machine that a hold names, or one for a hold that names none; holds that were in force then.
HOLDS = """
SELECT hold.*, teacher.name AS teacher, bank.subject AS bank_subject, placed.machine_id AS machine
  FROM machines_hold hold
  LEFT JOIN school_person teacher ON teacher.id = hold.placed_by_id
  LEFT JOIN quizzes_bank bank ON bank.id = hold.bank_id
  LEFT JOIN machines_hold_machines placed ON placed.hold_id = hold.id
 WHERE hold.student_id IN ({ids}) AND hold.placed_at <= %(at)s
   AND (hold.lifted_at IS NULL OR hold.lifted_at > %(at)s)
 ORDER BY hold.placed_at, hold.id
"""


def evidence_of(
    student_ids: Collection[int],
    school: School,
    at: datetime,
    *,
    counted: Collection[str],
    published: Publications | None = None,
) -> dict[int, facts.StudentRecord]:
    """What is on record at `at` about each of these students of one school. Four queries, however many they are, or
    three where the editions of the school are at hand, as `published`. One more where amounts count records: those
    `counted`."""
    ids = list(student_ids)
    days = SchoolDays(school)
    passes, tries = _attempts(ids, at, published)
    signed, documents = _recorded(ids, days, at)
    holds = _by_student(
        (row.student_id, _hold(row, machines, days, at, passes.get(row.student_id, ())))
        for row, machines in _holds(ids, at)
    )
    used = _by_student(uses_of(ids, at, counted))
    return {
        pk: facts.StudentRecord(
            zone=school.time_zone,
            passes=tuple(passes.get(pk, ())),
            tries=tuple(tries.get(pk, ())),
            documents=tuple(documents.get(pk, ())),
            sign_offs=tuple(signed.get(pk, ())),
            holds=tuple(holds.get(pk, ())),
            uses=tuple(used.get(pk, ())),
        )
        for pk in ids
    }


def _by_student[F](pairs: Iterable[tuple[int, F]]) -> dict[int, list[F]]:
    facts_by_student: dict[int, list[F]] = defaultdict(list)
    for student, fact in pairs:
        facts_by_student[student].append(fact)
    return facts_by_student


class SchoolDays:
    """Ends of days, terms and years at one school, each worked out once."""

    def __init__(self, school: School) -> None:
        self.zone, self.first_month = school.time_zone, school.year_first_month
        self.ends: dict[date, datetime] = {}
        self.years: dict[int, tuple[datetime, datetime]] = {}

    def end(self, day: date | None) -> datetime | None:
        if day is None:
            return None
        if day not in self.ends:
            self.ends[day] = end_of_day(day, self.zone)
        return self.ends[day]

    def year(self, start: int) -> tuple[datetime, datetime]:
        if start not in self.years:
            first, after = (start_of_day(date(year, self.first_month, 1), self.zone) for year in (start, start + 1))
            self.years[start] = (first, after)
        return self.years[start]

    def counting(self, kind: str, year: int, dated: date) -> tuple[datetime, datetime]:
        """From when until when a document of this kind and date counts."""
        last_day = document_kind(kind).last_day(dated)
        if last_day is None:
            return self.year(year)
        return start_of_day(dated, self.zone), end_of_day(last_day, self.zone)

    def year_end(self, at: datetime) -> datetime:
        """The end of the school year that holds `at`."""
        for first, after in self.years.values():
            if first <= at < after:
                return after
        return self.year(school_year(local_day(at, self.zone), self.first_month))[1]


def _entry(seq: int | None) -> str:
    """How a fact names the entry of the logbook behind it."""
    return "" if seq is None else str(seq)


def document_fact(
    days: SchoolDays, kind: str, year: int, dated: str, recorded_at: str, gone_at: str | None
) -> facts.DocumentFact:
    """From what a row says of a document."""
    counting = days.counting(kind, year, date.fromisoformat(dated))
    return facts.DocumentFact(moment(recorded_at), *counting, moment(gone_at) if gone_at else None, kind)


def _attempts(
    ids: list[int], at: datetime, published: Publications | None
) -> tuple[dict[int, list[facts.QuizPass]], dict[int, list[facts.AttemptStart]]]:
    rows = attempted_rows(ids, at, published)
    passes: dict[int, list[facts.QuizPass]] = defaultdict(list)
    for student, bank, number, handed_in, entry, refresher, _ in rows.perfect:
        until = rows.ends[bank, number]
        passes[student].append(facts.QuizPass(bank, moment(handed_in), until, None, bool(refresher), _entry(entry)))
    tries = {bank: facts.AttemptStart(bank, at) for bank in {bank for _, bank in rows.begun}}
    return passes, _by_student((student, tries[bank]) for student, bank in rows.begun)


def _recorded(
    ids: list[int], days: SchoolDays, at: datetime
) -> tuple[dict[int, list[facts.SignOffFact]], dict[int, list[facts.DocumentFact]]]:
    """By student, the sign-offs that stood at `at` and the documents recorded by then, also withdrawn ones."""
    sign_offs: dict[int, list[facts.SignOffFact]] = defaultdict(list)
    documents: dict[int, list[facts.DocumentFact]] = defaultdict(list)
    term_ends: dict[str | None, datetime | None] = {None: None}
    for student, machine, kind, stored, name, day, entry, year, withdrawn_at in plain_rows(RECORDED, ids, at):
        if machine is None:
            documents[student].append(document_fact(days, name, year, day, stored, withdrawn_at))
            continue
        if day not in term_ends:
            term_ends[day] = days.end(date.fromisoformat(day))
        when = moment(stored)
        signed = facts.SignOffFact(machine, kind, when, name, term_ends[day], days.year_end(when), None, _entry(entry))
        sign_offs[student].append(signed)
    return sign_offs, documents


def uses_of(ids: list[int], at: datetime, counted: Collection[str]) -> Iterable[tuple[int, facts.MachineUse]]:
    """What amounts count, of each sort that is `counted`; no query where none is."""
    if not counted:
        return
    statement = " UNION ALL ".join(STATEMENTS[sort] for sort in sorted(counted))
    for sort, student, machine, kind, last, amount in plain_rows(statement, ids, at):
        yield student, facts.MachineUse(machine, kind, moment(last), sort, amount)


def _holds(ids: list[int], at: datetime) -> Iterable[tuple[Any, frozenset[int]]]:
    """Holds with the name of who placed them and the subject of their bank, and the machines they are about."""
    on: dict[int, set[int]] = defaultdict(set)
    holds = {}
    for row in plain_instances(Hold, HOLDS, ids, at):
        holds[row.pk] = row
        on[row.pk] |= {row.machine} - {None}
    return [(hold, frozenset(on[pk])) for pk, hold in holds.items()]


def _hold(row: Any, machines: frozenset[int], days: SchoolDays, at: datetime, passes: Iterable[Any]) -> facts.HoldFact:
    return facts.HoldFact(
        placed_at=row.placed_at,
        machines=None if row.everywhere else machines,
        why=row.why,
        lifts=row.what_lifts_it,
        by=row.teacher,
        until=days.end(row.last_day),
        lifted_at=row.lifted_at,
        ref=str(row.pk),
        way=_way_told(row),
        done=_way(
            row, row.bank_subject or "", [quiz_pass for quiz_pass in passes if quiz_pass.bank == row.bank_id]
        ).done(at),
        last_day=written_day(row.last_day),
    )


def _way_told(row: Any) -> facts.HoldWay:
    """What lifts the hold. One that asks for rules or a quiz and names no bank is lifted by a talk."""
    way = facts.HoldWay(row.lifts)
    return way if row.bank_id or way not in BY_STUDENT else facts.HoldWay.TALK


def way_of(row: Hold, passes: Iterable[facts.QuizPass]) -> HoldEnding:
    """How this hold is lifted, with what the student has done. `passes` are the student's at the hold's bank."""
    return _way(row, row.bank.subject if row.bank else "", passes)


def _way(row: Any, subject: str, passes: Iterable[facts.QuizPass]) -> HoldEnding:
    return HoldEnding(
        lifts=facts.HoldWay(row.lifts),
        bank=row.bank_id,
        subject=subject,
        rules=tuple(row.rules),
        learned=row.learned_at,
        passed=passed_since(row.placed_at, [(quiz_pass.at, quiz_pass.refresher) for quiz_pass in passes]),
    )
