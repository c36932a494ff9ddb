"""Which entries of the logbook a person may read, and what they searched for.

The logbook knows no person: here names and machines become the keys that it is searched by.
"""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import CharField, Q, QuerySet, Value
from django.db.models.functions import Cast, Concat
from django.utils.translation import gettext_lazy as _lazy

from machines.clearance.records import by_shop
from machines.models import Machine
from machines.records.namesakes import with_name_labels
from machines.words.incidents import INCIDENT_WORDS
from shopsafe.language.messages import _
from shopsafe.logbook import queries, sentences
from shopsafe.logbook.models import Listing
from shopsafe.logbook.queries import EntryLine
from shopsafe.logbook.rules import subjects
from shopsafe.school import access
from shopsafe.school.calendar import end_of_day, start_of_day
from shopsafe.school.models import Person
from shopsafe.school.naming.rules.ordering import people_in_order

A_PAGE = 50
INCIDENT = [kind for kind in INCIDENT_WORDS if kind.startswith("incident.")]
MOST_PEOPLE = 30


class SearchForm(forms.Form):
    who = forms.CharField(
        label=_lazy("Person"),
        required=False,
        max_length=120,
        help_text=_lazy("Part of a name is enough, or a student's number."),
    )
    machine = forms.TypedChoiceField(label=_lazy("Machine"), required=False, coerce=int, empty_value=None)
    kind = forms.ChoiceField(label=_lazy("What"), required=False)
    since = forms.DateField(label=_lazy("From"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(label=_lazy("To"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    student = forms.IntegerField(required=False, widget=forms.HiddenInput)
    before = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any, *, asker: Person) -> None:
        super().__init__(data, label_suffix="")
        machines = [(machine.pk, str(machine)) for machine in machines_of(asker)]
        kinds = [(kind, sentences.label(kind)) for kind in queries.kinds_of(asker.school_id)]
        self.fields["machine"].choices = [("", _("Any")), *machines]  # type: ignore[attr-defined]
        self.fields["kind"].choices = [("", _("Anything")), *kinds]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and until < since:
            self.add_error("until", _("The last day can't be before the first."))
        return cleaned


@dataclass(frozen=True)
class SearchPage:
    """One page of entries, newest first. `student` is set when all of them are about one."""

    form: SearchForm
    lines: list[EntryLine]
    people: list[Person]
    student: Person | None
    older: str


def machines_of(reader: Person) -> list[Machine]:
    return by_shop(access.in_school(Machine.objects.select_related("kind", "shop"), reader))


def readable(reader: Person) -> QuerySet[Listing]:
    """The office reads all of the school, a teacher what names no student outside the teacher's classes and shops. Of
    incidents at which no student is named, a teacher reads those of the teacher's own shops."""
    rows = queries.listings(reader.school_id)
    if reader.role == access.OFFICE:
        return rows
    return queries.naming_only(without_other_shops(reader, rows), people_in_reach(reader))


def first_readable(reader: Person, rows: QuerySet[Listing], count: int) -> list[Listing]:
    """The first of the rows that the person may read, as `readable` says."""
    if reader.role == access.OFFICE:
        return list(rows[:count])
    return queries.first_naming_only(without_other_shops(reader, rows), people_in_reach(reader), count)


def without_other_shops(reader: Person, rows: QuerySet[Listing]) -> QuerySet[Listing]:
    """Without the incidents of other shops at which no student is named."""
    shops = access.shops_for(reader).annotate(key=Concat(Value(subjects.shop("")), Cast("pk", CharField())))
    return rows.exclude(entry__in=queries.naming_none_of(reader.school_id, INCIDENT, shops.values("key"), "student"))


def people_in_reach(reader: Person) -> list[str]:
    students = access.students_for(reader).order_by().values_list("pk", flat=True)
    people = students.union(staff_of(reader).order_by()).order_by()
    return [subjects.person(pk) for pk in people]


def staff_of(reader: Person) -> QuerySet[Person, int]:
    staff = access.in_school(Person.objects.exclude(role=access.STUDENT), reader)
    return staff.values_list("pk", flat=True)


def line_for(reader: Person, seq: int) -> EntryLine:
    """The one entry, or the same 404 for missing and not to be read."""
    return with_name_labels(reader, queries.lines([access.one_of(readable(reader), entry=seq)]))[0]


def count_about(person: Person) -> int:
    return queries.listings_about(queries.listings(person.school_id), [subjects.person(person.pk)]).count()


def search(reader: Person, data: Any) -> SearchPage:
    form = SearchForm(data, asker=reader)
    if not form.is_valid():
        return SearchPage(form, [], [], None, "")
    criteria = form.cleaned_data
    people = people_searched_for(reader, criteria["who"], criteria["student"])
    rows = filtered(queries.listings(reader.school_id), criteria, reader.school.time_zone)
    if criteria["who"] or criteria["student"]:
        rows = queries.listings_about(rows, [subjects.person(person.pk) for person in people])
    listings = first_readable(reader, rows, A_PAGE + 1)
    lines = with_name_labels(reader, queries.lines(listings[:A_PAGE]))
    student = people[0] if len(people) == 1 and people[0].is_student else None
    return SearchPage(form, lines, people, student, older_link(data, listings))


def people_searched_for(reader: Person, who: str, student: int | None) -> list[Person]:
    if student:
        return [access.student_for(reader, student)]
    if not who:
        return []
    named = Q(name__icontains=who) | Q(local_id__iexact=who)
    students = access.students_for(reader).filter(named)[:MOST_PEOPLE]
    staff = Person.objects.filter(pk__in=staff_of(reader), name__icontains=who)[:MOST_PEOPLE]
    return [*people_in_order(students), *people_in_order(staff)]


def filtered(rows: QuerySet[Listing], criteria: dict[str, Any], zone: str) -> QuerySet[Listing]:
    if criteria["machine"]:
        rows = queries.listings_about(rows, [subjects.machine(criteria["machine"])])
    if criteria["kind"]:
        rows = rows.filter(kind=criteria["kind"])
    if criteria["since"]:
        rows = rows.filter(at__gte=start_of_day(criteria["since"], zone))
    if criteria["until"]:
        rows = rows.filter(at__lt=end_of_day(criteria["until"], zone))
    if criteria["before"]:
        rows = rows.filter(entry__lt=criteria["before"])
    return rows


def older_link(data: Any, listings: list[Listing]) -> str:
    """The query of the page after this one; empty when this is the last."""
    if len(listings) <= A_PAGE:
        return ""
    query = data.copy()
    query["before"] = str(listings[A_PAGE - 1].entry_id)
    return str(query.urlencode())
