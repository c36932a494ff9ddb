"""People: students, teachers, substitutes, the office; their classes and documents."""

from collections import Counter
from collections.abc import Collection, Sequence
from datetime import date, timedelta
from itertools import batched
from string import digits
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext_lazy

from shopsafe.school.models.places import School, Section
from shopsafe.school.naming.rules import names
from shopsafe.school.reading import accommodations as rules

ASKED_AT_ONCE = 5_000  # keys in one statement: an engine takes no more than some ten thousand values


class PersonManager(BaseUserManager["Person"]):
    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(sign_in_key=names.sign_in_key(username or ""))

    def enter(self, *, school: School, role: str, name: str, code: str | None = None, **more: Any) -> "Person":
        """A new person under a sign-in name no one has yet: the name itself, or the name and a number.

        `code` is the sign-in code or password, kept only as a hash; without one no one can sign in as this person.
        """
        person = Person(school=school, role=role, name=name, **more)
        person.sign_in_as(self.free_name(name))
        person.set_password(code)
        person.save(force_insert=True)
        return person

    def enter_all(self, people: Sequence["Person"]) -> list["Person"]:
        """`enter` for many who have no code yet, in two or three statements."""
        for person, sign_in_name in zip(people, self.free_names([person.name for person in people]), strict=True):
            person.sign_in_as(sign_in_name)
            person.set_password(None)
        return self.bulk_create(people)

    def free_name(self, name: str, *, besides: int = 0) -> str:
        """The name, or the name and a number, under which no one signs in; what `besides` has counts as free."""
        return self.free_names([name], besides=besides)[0]

    def free_names(self, names_read: Sequence[str], *, besides: int = 0) -> list[str]:
        """The same for people who come at once, each name another. Asked are the keys that could be given: by the
        index, where everyone whose key begins so would be a scan of the people of all schools."""
        bases = [_base(name) for name in names_read]
        by_stem = Counter(_stem(base) for base in bases)  # "Sam" and "Sam 2" may get in each other's way
        taken: set[str] = set()
        pending, asked = set(bases), 0
        while pending:
            numbers = range(asked + 1, asked * 8 + 9)
            for keys in batched((_numbered(base, n) for base in pending for n in numbers), ASKED_AT_ONCE):
                rows = self.filter(sign_in_key__in=keys).exclude(pk=besides)
                taken |= set(rows.values_list("sign_in_key", flat=True))
            asked = numbers[-1]
            pending = {base for base in pending if len(_free(base, asked, taken)) < by_stem[_stem(base)]}
        given = []
        for name in names_read:
            number = _free(_base(name), asked, taken)[0]
            taken.add(_numbered(_base(name), number))
            given.append(name if number == 1 else f"{name} {number}")
        return given


def _base(name: str) -> str:
    return names.sign_in_key(name) or "person"


def _stem(base: str) -> str:
    return base.rstrip(digits)


def _numbered(base: str, number: int) -> str:
    return base if number == 1 else f"{base}{number}"


def _free(base: str, asked: int, taken: Collection[str]) -> list[int]:
    return [number for number in range(1, asked + 1) if _numbered(base, number) not in taken]


class Person(AbstractBaseUser):
    """Anyone who signs in. `password` holds the hash of a student's sign-in code or of a staff member's password."""

    class Role(models.TextChoices):
        STUDENT = "student", gettext_lazy("Student")
        TEACHER = "teacher", gettext_lazy("Teacher")
        SUBSTITUTE = "substitute", gettext_lazy("Substitute")
        OFFICE = "office", gettext_lazy("Office")

    school = models.ForeignKey(School, models.PROTECT, related_name="people")
    role = models.CharField(max_length=10, choices=Role)
    name = models.CharField("full name, as it was read", max_length=120)
    given_name = models.CharField(max_length=80, blank=True)
    family_name = models.CharField(max_length=80, blank=True)
    local_id = models.CharField("the school's own number", max_length=40, blank=True)
    sign_in_name = models.CharField(max_length=140)
    sign_in_key = models.CharField(max_length=140, unique=True, editable=False)
    is_active = models.BooleanField(default=True, db_default=True)
    misses = models.PositiveIntegerField(
        "wrong codes on devices that the person had not signed in on", default=0, db_default=0
    )
    locked_at = models.DateTimeField(null=True, blank=True)
    accommodations = models.JSONField("what a teacher gave to read and answer with", default=dict, blank=True)

    USERNAME_FIELD = "sign_in_key"
    REQUIRED_FIELDS = ["school", "role", "name"]
    objects = PersonManager()

    class Meta:
        verbose_name_plural = "people"
        ordering = ["name", "pk"]  # as displayed; people_in_order also disregards case and accents
        constraints = [
            models.UniqueConstraint(
                fields=["school", "local_id"],
                condition=~Q(local_id=""),
                name="local_id_once_a_school",
                violation_error_message=gettext_lazy("Someone at this school has that number already."),
            ),
            models.CheckConstraint(
                name="person_has_a_role",
                condition=Q(role__in=["student", "teacher", "substitute", "office"]),
                violation_error_message=gettext_lazy("Choose a role."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def sign_in_as(self, sign_in_name: str) -> None:
        self.sign_in_name, self.sign_in_key = sign_in_name, names.sign_in_key(sign_in_name)

    @property
    def short_name(self) -> str:
        return names.short_name(self.name, self.given_name, self.family_name)

    @property
    def sort_key(self) -> str:
        return names.sort_key(self.name)

    @property
    def given(self) -> rules.Accommodations:
        return rules.read(self.accommodations)

    @property
    def idle_end(self) -> timedelta:
        """The time without use after which this person is signed out."""
        school = self.school
        return timedelta(minutes=school.idle_minutes_student if self.is_student else school.idle_minutes_staff)

    def get_session_auth_hash(self) -> str:
        """What a session must still agree with: a new password or another role ends it."""
        return salted_hmac("shopsafe.session", f"{self.role} {self.password}", algorithm="sha256").hexdigest()

    @property
    def is_student(self) -> bool:
        return self.role == self.Role.STUDENT

    @property
    def is_teacher(self) -> bool:
        return self.role == self.Role.TEACHER

    @property
    def is_substitute(self) -> bool:
        return self.role == self.Role.SUBSTITUTE

    @property
    def is_office(self) -> bool:
        return self.role == self.Role.OFFICE

    def as_record(self) -> dict[str, Any]:
        """How the logbook names this person."""
        return {"id": self.pk, "name": self.name}


def not_over(day: date, enrollment: str = "") -> Q:
    """Enrollments whose last day is not before `day`. `enrollment` is the way to them, such as "enrollments__"."""
    return Q(**{f"{enrollment}until_day": None}) | Q(**{f"{enrollment}until_day__gte": day})


class Enrollment(models.Model):
    """A student in a class, from one day and, once ended, until another (the last day that counts)."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    section = models.ForeignKey(Section, models.PROTECT, related_name="enrollments")
    student = models.ForeignKey(Person, models.PROTECT, related_name="enrollments")
    from_day = models.DateField()
    until_day = models.DateField(null=True, blank=True)

    class Meta:
        db_table = "school_enrolment"
        constraints = [
            models.UniqueConstraint(
                fields=["section", "student"],
                condition=Q(until_day__isnull=True),
                name="enrolled_once_a_class",
                violation_error_message=gettext_lazy("This student is in the class already."),
            ),
            models.CheckConstraint(
                name="enrolment_ends_after_it_begins",
                condition=Q(until_day__isnull=True) | Q(until_day__gte=F("from_day")),
                violation_error_message=gettext_lazy("An enrollment can't end before it begins."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} in {self.section}"


class StudentDocument(models.Model):
    """A document handed in for a student, such as the safety agreement: its date, and who recorded it.

    `kind` is a code of `people/rules/documents.py`. Recorded for the wrong student it is withdrawn with a reason, and
    may be recorded again; nothing is deleted.
    """

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="documents")
    kind = models.CharField(max_length=40, default="agreement", db_default="agreement")
    year = models.PositiveSmallIntegerField("calendar year in which the school year began")
    signed_on = models.DateField("the date of the document")
    recorded_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    taken_back_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        db_table = "school_safetyagreement"
        constraints = [
            models.UniqueConstraint(
                fields=["student", "year"],
                condition=Q(taken_back_at__isnull=True, kind="agreement"),
                name="agreement_once_a_year",
                violation_error_message=gettext_lazy("This student's agreement for the year is recorded already."),
            ),
            models.UniqueConstraint(
                fields=["student", "kind", "signed_on"],
                condition=Q(taken_back_at__isnull=True) & ~Q(kind="agreement"),
                name="document_once_a_date",
                violation_error_message=gettext_lazy("This student's document of that date is recorded already."),
            ),
            models.CheckConstraint(
                name="agreement_is_taken_back_with_a_reason",
                condition=Q(taken_back_at__isnull=True, taken_back_by__isnull=True, taken_back_reason="")
                | (Q(taken_back_at__gte=F("recorded_at"), taken_back_by__isnull=False) & ~Q(taken_back_reason="")),
                violation_error_message=gettext_lazy("Say why the document is withdrawn."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.student}, {self.signed_on}"
