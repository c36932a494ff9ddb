"""What is stored about one student, table by table, and what would go with the student's record. Nothing here writes.

Every key to a person is listed here: a row that is the student's goes, any other key may only name staff. A test
holds this list against the models, so that no new table is forgotten.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from typing import Any

from django.db.models import Max, Model, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from machines.models import (
    HazardReport,
    Hold,
    IncidentAccount,
    IncidentVersion,
    NotYet,
    PhotoFile,
    ReportPhoto,
    Run,
    RunHelper,
    SignOff,
    WaitingStudent,
)
from machines.prints.queries import hanging_in
from machines.prints.sheets.wall import shop_snapshot
from quizzes.models import Answer, Attempt, Release, RuleRead
from shopsafe.database.backups import ErasedPerson
from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook import queries as logbook
from shopsafe.logbook.models import Entry, Listing, Subject
from shopsafe.logbook.rules import chain, subjects
from shopsafe.school.calendar import local_day
from shopsafe.school.models import AwayStudent, Enrollment, Keeping, Person, School, Section, Shop, StudentDocument
from shopsafe.school.retention import rules


@dataclass(frozen=True)
class OwnedRows:
    """Rows of one table that are about a student alone. `of` is the way from the row to the student."""

    model: type[Model]
    of: str
    counted: Callable[[int], str]  # "3 sign-offs"

    def rows(self, student: Person) -> QuerySet[Any]:
        # The latest first: a renewed sign-off goes before the one it renews.
        return self.model._default_manager.filter(**{self.of: student.pk}).order_by("-pk")


# In the order in which they can be taken away: what points at another row goes before it.
PARTS = (
    OwnedRows(
        RunHelper,
        "student",
        lambda count: counted("{count} time as a helper", "{count} times as a helper", count=count),
    ),
    OwnedRows(
        RunHelper,
        "run__student",
        lambda count: counted(
            "{count} helper at the student’s runs", "{count} helpers at the student’s runs", count=count
        ),
    ),
    OwnedRows(
        WaitingStudent,
        "student",
        lambda count: counted("{count} place on a waiting list", "{count} places on waiting lists", count=count),
    ),
    OwnedRows(Run, "student", lambda count: counted("{count} run", "{count} runs", count=count)),
    OwnedRows(
        NotYet,
        "student",
        lambda count: counted("{count} try without a sign-off", "{count} tries without a sign-off", count=count),
    ),
    OwnedRows(SignOff, "student", lambda count: counted("{count} sign-off", "{count} sign-offs", count=count)),
    OwnedRows(Hold, "student", lambda count: counted("{count} hold", "{count} holds", count=count)),
    OwnedRows(
        ReportPhoto,
        "report__by",
        lambda count: counted("{count} photo of a hazard report", "{count} photos of hazard reports", count=count),
    ),
    OwnedRows(
        HazardReport, "by", lambda count: counted("{count} hazard report", "{count} hazard reports", count=count)
    ),
    OwnedRows(
        IncidentAccount,
        "student",
        lambda count: counted("{count} account of an incident", "{count} accounts of incidents", count=count),
    ),
    OwnedRows(Release, "attempt__student", lambda count: counted("{count} release", "{count} releases", count=count)),
    OwnedRows(
        RuleRead,
        "attempt__student",
        lambda count: counted("{count} rule card read", "{count} rule cards read", count=count),
    ),
    OwnedRows(Answer, "attempt__student", lambda count: counted("{count} answer", "{count} answers", count=count)),
    OwnedRows(Attempt, "student", lambda count: counted("{count} attempt", "{count} attempts", count=count)),
    OwnedRows(
        StudentDocument,
        "student",
        lambda count: counted("{count} document handed in", "{count} documents handed in", count=count),
    ),
    OwnedRows(Enrollment, "student", lambda count: counted("{count} class", "{count} classes", count=count)),
    OwnedRows(AwayStudent, "student", lambda count: counted("{count} day away", "{count} days away", count=count)),
    OwnedRows(
        Keeping,
        "student",
        lambda count: counted(
            "{count} note that the record is kept", "{count} notes that the record is kept", count=count
        ),
    ),
)

# Rows that go with the person and are no part of the record: they only tell where someone signs in.
SIGNED_IN = {"school.Session": {"person"}, "school.KnownDevice": {"person"}, "school.WrongCodes": {"person"}}

# Keys that name who did something, or who teaches. Acts let no student do these, so none of them names a student.
GROWN_UPS = {
    "machines.ClassMachines": {"set_by"},
    "machines.EndOfRuns": {"by", "lifted_by"},
    "machines.FloorSettings": {"set_by"},
    "machines.DemonstrationTime": {"set_by"},
    "machines.HazardReport": {"ended_by"},
    "machines.Inspection": {"by", "tagged_out_by"},
    "machines.InspectionCalendar": {"made_by"},
    "machines.InspectionList": {"set_by"},
    "machines.ServiceRecord": {"by"},
    "machines.Hold": {"placed_by", "lifted_by"},
    "machines.NotYet": {"by", "undone_by"},
    "machines.PresenceConfirmation": {"by"},
    "machines.FollowUp": {"by", "done_by"},
    "machines.Incident": {"by"},
    "machines.IncidentPhoto": {"by"},
    "machines.IncidentVersion": {"by"},
    "machines.Print": {"printed_by", "taken_down_by"},
    "machines.PrintSet": {"asked_by"},
    "machines.Requirements": {"set_by"},
    "machines.Run": {"given_by", "checked_by", "ended_by"},
    "machines.RunHelper": {"by", "ended_by"},
    "machines.ShopOpening": {"opened_by", "closed_by"},
    "machines.SignOff": {"by", "undone_by", "withdrawn_by"},
    "machines.SupervisingGrant": {"substitute", "by", "withdrawn_by"},
    "machines.TagOut": {"by", "returned_by"},
    "machines.WaitingStudent": {"added_by", "left_by"},
    "quizzes.AddedCounts": {"by"},
    "quizzes.Acceptance": {"by", "taken_back_by"},
    "quizzes.Attempt": {"voided_by", "printed_by", "entered_by"},
    "quizzes.Bank": {"draft_changed_by"},
    "quizzes.BankUpload": {"by"},
    "quizzes.DraftChange": {"by"},
    "quizzes.StarterCorrection": {"decided_by"},
    "quizzes.Edition": {"published_by"},
    "quizzes.KeyCorrection": {"by"},
    "quizzes.Release": {"released_by"},
    "quizzes.Review": {"by", "withdrawn_by"},
    "school.HereToday": {"by"},
    "school.Keeping": {"by", "ended_by"},
    "school.RosterImport": {"by"},
    "school.StudentDocument": {"recorded_by", "taken_back_by"},
    "school.Section_teachers": {"person"},
    "school.SheetWords": {"set_by"},
    "school.Shop_teachers": {"person"},
}


@dataclass(frozen=True)
class ErasurePlan:
    """What goes with a student's record, what is only written again, and what keeps the record from going.

    parts       (how many, of what), as "3 sign-offs"
    entries     of the logbook, whose words go
    shared      those of them that name others too: written again without the student
    mentions    entries about others in whose free words the name stands: they stay, and are to be looked at
    prints      on a wall now, to be printed again
    """

    parts: tuple[tuple[int, str], ...]
    entries: tuple[int, ...]
    shared: tuple[int, ...]
    mentions: tuple[int, ...]
    prints: tuple[str, ...]
    stays: rules.EraseBlocker | None


@dataclass(frozen=True)
class Leaver:
    """A student who has left, the last day of the record by the school's rule, and whether it goes now."""

    student: Person
    record: rules.RecordDates
    keep_to: date | None
    due: bool


def erasure_plan(student: Person, at: datetime) -> ErasurePlan:
    named = logbook.subject_entries(subjects.person(student.pk))
    mentioning = partial(logbook.mentioning, school=student.school_id, beside=named.seqs)
    counts = [(part.rows(student).count(), part) for part in PARTS]
    return ErasurePlan(
        parts=tuple((count, part.counted(count)) for count, part in counts if count),
        entries=tuple(named.seqs),
        shared=named.shared,
        mentions=tuple(sorted({seq for name in names_of(student) for seq in mentioning(name)})),
        prints=tuple(prints_naming(student, at)),
        stays=erase_blocker(student, at),
    )


def names_of(student: Person) -> tuple[str, ...]:
    """The student's name, and those that were corrected: what is written of others may still say any of them."""
    named = Subject.objects.filter(key=subjects.person(student.pk)).values("entry")
    rows = Listing.objects.filter(school=student.school_id, kind="student.name_corrected", entry__in=named)
    payloads = rows.order_by("entry").values_list("entry__body__payload", flat=True)
    before = [json.loads(bytes(payload))["before"]["name"] for payload in payloads]
    return tuple(dict.fromkeys([student.name, *before]))


def prints_naming(student: Person, at: datetime) -> Iterator[str]:
    """The codes of the sheets on a wall now that name the student: charts of the student's classes, and cards."""
    shops = Shop.objects.filter(sections__enrollments__student=student).select_related("school").distinct()
    classes = set(student.enrollments.values_list("section", flat=True))
    for shop in shops.order_by("pk"):
        for posted_print in hanging_in(shop_snapshot(shop, at)):
            on_it = any(cell[0] == student.pk for cell in posted_print.printed.shows["cleared"])
            if on_it or (
                posted_print.printed.sheet == posted_print.printed.SheetKind.WALL_CHART
                and classes & set(posted_print.sections)
            ):
                yield posted_print.printed.code


def current_keeping(student: Person) -> Keeping | None:
    """The office's word that this record stays, while it stands."""
    return Keeping.objects.filter(student=student, ended_at=None).select_related("by").first()


def erased_people() -> set[ErasedPerson]:
    """Who was erased, as the logbook says."""
    rows = Listing.objects.filter(kind=chain.ERASED).values_list("school", "entry__body__payload")
    erasures = [(school, json.loads(bytes(payload))) for school, payload in rows if payload is not None]
    return {
        erased_person_of(content["person_key"], school, content["seqs"][0])
        for school, content in erasures
        if "person_key" in content
    }


def erased_as(person: int, school: School) -> int | None:
    """The entry that says that the record of the school's student with this number is erased, if one does."""
    rows = Listing.objects.filter(kind=chain.ERASED, school=school.pk).order_by("-entry")
    erasures = [
        (seq, payload) for seq, payload in rows.values_list("entry", "entry__body__payload") if payload is not None
    ]
    return next((seq for seq, payload in erasures if json.loads(bytes(payload)).get("person_key") == person), None)


def erased_person_of(person: int, school: int, seq: int) -> ErasedPerson:
    return ErasedPerson(person, school, seq, bytes(Entry.objects.get(pk=seq).hash).hex())


def was_erased_here(erased_person: ErasedPerson) -> bool:
    """Whether this database is one in which that person was erased, or is to be."""
    return Entry.objects.filter(pk=erased_person.seq, hash=bytes.fromhex(erased_person.hash)).exists()


def holds_anything() -> bool:
    """Whether this database is more than tables."""
    return Entry.objects.exists() or School.objects.exists()


def rule_of(school: School) -> rules.RetentionRule:
    return rules.RetentionRule(school.keep_years, school.keep_years_injury)


REPORT_WAITS = marked("A report by this student keeps a machine off. A teacher looks at it first.")


def erase_blocker(student: Person, at: datetime) -> rules.EraseBlocker | None:
    """What keeps this student's record, no matter who wants it erased: also a report that still keeps a machine off."""
    if HazardReport.objects.filter(by=student, ended_at=None, effect=HazardReport.Effect.KEEP_OFF).exists():
        return rules.EraseBlocker("report", _(REPORT_WAITS))
    record = records_of(Person.objects.filter(pk=student.pk), student.school)[student.pk]
    return rules.erase_blocker(record, rule_of(student.school), local_day(at, student.school.time_zone))


# What the class page itself writes of a student: no record of safety.
OF_THE_CLASS = (Enrollment, AwayStudent)


def removal_blocker(student: Person, section: Section) -> rules.EraseBlocker | None:
    """What keeps a student of this class from being removed as entered by mistake; None while nothing is on record."""
    if student.enrollments.exclude(section=section).exists():
        sentence = _(
            "{student} is or was in another class too. Take the student out of this class instead.",
            student=student.name,
        )
        return rules.EraseBlocker("remove.other-class", sentence)
    counts = [(part.rows(student).count(), part) for part in PARTS if part.model not in OF_THE_CLASS]
    recorded = ", ".join(part.counted(count) for count, part in counts if count)
    if not recorded:
        return None
    return rules.EraseBlocker(
        "remove.recorded",
        _("On record: {recorded}. Take the student out of the class instead: the record stays.", recorded=recorded),
    )


def records_of(students: QuerySet[Person], school: School) -> dict[int, rules.RecordDates]:
    """What the rule of retention asks of each of these students of one school. Three queries."""
    rows = students.filter(role=Person.Role.STUDENT)
    last = Max(Coalesce("enrollments__until_day", "enrollments__section__term__last_day"))
    left: dict[int, date | None] = dict(rows.annotate(left=last).order_by().values_list("pk", "left"))
    kept = dict(Keeping.objects.filter(student__in=rows, ended_at=None).values_list("student", "reason"))
    injured = injuries_of(rows, school)
    return {pk: rules.RecordDates(day, injured.get(pk), kept.get(pk, "")) for pk, day in left.items()}


def leavers(school: School, at: datetime, who: str = "") -> list[Leaver]:
    """The students of a school who have left, those whose record goes first at the head. Four queries."""
    today, rule = local_day(at, school.time_zone), rule_of(school)
    students = Person.objects.filter(school=school, role=Person.Role.STUDENT, name__icontains=who)
    records = records_of(students, school)
    all_leavers = [
        Leaver(student, record, rules.keep_until(record, rule), rules.is_due(record, rule, today))
        for student in students
        if (record := records[student.pk]).left_on is None or record.left_on < today
    ]
    return sorted(
        all_leavers,
        key=lambda leaver: (leaver.keep_to or date.max, leaver.record.left_on or date.max, leaver.student.sort_key),
    )


def last_day_today(school: School, at: datetime) -> int:
    """How many students of a school have their last day in any class today: from tomorrow they have left."""
    today = local_day(at, school.time_zone)
    records = records_of(Person.objects.filter(school=school), school)
    return sum(record.left_on == today for record in records.values())


def due_for_erasure(school: School, at: datetime) -> list[Leaver]:
    """Those whose record goes by the school's rule now."""
    return [leaver for leaver in leavers(school, at) if leaver.due]


def injuries_of(students: QuerySet[Person], school: School) -> dict[int, date]:
    """The day of each student's latest injury: a report says that the student was hurt, or a hold was placed while an
    injury was looked into."""
    held = Hold.objects.filter(student__in=students, reason=Hold.Reason.INJURY)
    latest: dict[int, datetime] = {}
    for pk, at in [*held.values_list("student", "placed_at"), *_reported_injuries(students)]:
        latest[pk] = max(at, latest.get(pk, at))
    return {pk: local_day(at, school.time_zone) for pk, at in latest.items()}


def _reported_injuries(students: QuerySet[Person]) -> Iterator[tuple[int, datetime]]:
    """(student, moment) of every injury that the latest version of a report tells of."""
    numbers = IncidentVersion.objects.filter(incident=OuterRef("version__incident")).order_by("-number")
    rows = IncidentAccount.objects.filter(student__in=students, part=IncidentAccount.Part.CONCERNED)
    unknown = Q(hurt="") & Q(version__sort="incident")  # no one has written yet whether it hurt: it counts as hurt
    hurt = unknown | ~Q(hurt__in=["", "no one"])
    rows = rows.filter(hurt, version__number=Subquery(numbers.values("number")[:1]))
    yield from rows.values_list("student", "version__happened_at")


def photo_files_of(student: Person) -> QuerySet[PhotoFile]:
    """The photos of every report that concerns the student or names the student as a witness: they may show them."""
    reports = IncidentAccount.objects.filter(student=student.pk).values("version__incident")
    return PhotoFile.objects.filter(photo__incident__in=reports)
