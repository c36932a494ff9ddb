"""The form of a report: taps first, one text. Only who was concerned is asked; everything else can wait."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.forms import BoundField
from django.utils.functional import lazy
from django.utils.text import capfirst, format_lazy
from django.utils.translation import gettext_lazy as _lazy

from machines.incidents.facts import AID, DOING, Informed, OwnPart, ReportText
from machines.incidents.report import Report
from machines.models import IncidentAccount, IncidentVersion, Machine
from shopsafe.language.messages import _, marked
from shopsafe.school.models import Person
from shopsafe.school.pages.form_parts import DayInput, TapForm, area

NO_MACHINE = "none"
FIRST_YEAR, LAST_YEAR = 2000, 9998  # a moment near the end of the calendar has no UTC
WHOM = {"office": marked("Office"), "nurse": marked("Nurse"), "guardian": marked("Parent or guardian")}
STORED_WHOM = {"office": "office", "nurse": "nurse", "guardian": "parent or guardian"}
HURT = [("no one", _lazy("Not hurt")), *IncidentAccount.Hurt.choices[1:]]


class TimeInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M", attrs={"class": "box"})


begun = lazy(lambda words: capfirst(_(words)), str)  # stored words as the beginning of a line


def codes(values: Sequence[str]) -> list[tuple[str, str]]:
    return [(value, begun(value)) for value in values]


def one_of(choices: Any) -> forms.ChoiceField:
    return forms.ChoiceField(choices=choices, required=False, widget=forms.RadioSelect)


def several_of(choices: Any) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(choices=choices, required=False, widget=forms.CheckboxSelectMultiple)


def short_text(label: str, length: int = 120) -> forms.CharField:
    return forms.CharField(
        label=_lazy(label), max_length=length, required=False, widget=forms.TextInput(attrs={"class": "box"})
    )


@dataclass(frozen=True)
class GroupOfStudents:
    """Students to choose from under a heading, as (student, name beside the others)."""

    heading: str
    students: list[tuple[Person, str]]


@dataclass(frozen=True)
class OwnFields:
    """What is asked about one person's body. `name` is empty while it is one part for all who are chosen."""

    name: str
    hurt: BoundField
    body: BoundField
    aid: BoundField
    aid_words: BoundField


class ReportForm(TapForm):
    """`classes` to choose students from; `persons`: key → name of those who have a part of their own already, one part
    under the key "" at first. `stored_moment` is kept to the second where day and time stay as they are."""

    sort = forms.ChoiceField(choices=IncidentVersion.Sort.choices, widget=forms.RadioSelect, initial="incident")
    day = forms.DateField(label=_lazy("Day"), widget=DayInput())
    time = forms.TimeField(label=_lazy("Time"), widget=TimeInput())
    machine = forms.ChoiceField(required=False, widget=forms.RadioSelect)
    keep_off = forms.BooleanField(required=False, label=_lazy("Keep the machine off until a teacher has looked at it"))
    who = several_of([])
    other_person = short_text(marked("Someone else: a teacher, a visitor"), 80)
    doing = one_of(codes(DOING))
    doing_words = short_text(marked("What else"))
    words = forms.CharField(required=False, max_length=2000, widget=area(3))
    office, nurse, guardian = (forms.BooleanField(required=False, label=_lazy(label)) for label in WHOM.values())
    office_at, nurse_at, guardian_at = (
        forms.TimeField(
            required=False, label=format_lazy(_lazy("{person}: time"), person=_lazy(label)), widget=TimeInput()
        )
        for label in WHOM.values()
    )
    nobody_informed = forms.BooleanField(required=False, label=_lazy("No one yet"))
    witnesses = several_of([])
    witness_words = short_text(marked("Other people who saw it"))
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        classes: Sequence[GroupOfStudents],
        machines: Sequence[Machine],
        zone: str,
        persons: dict[str, str] | None = None,
        stored_moment: datetime | None = None,
        **more: Any,
    ) -> None:
        super().__init__(*args, **more)
        self.classes, self.zone, self.stored_moment = classes, zone, stored_moment
        self.persons = persons or {"": ""}
        self.machines = {str(machine.pk): machine for machine in machines}
        self.students = {str(student.pk): student for group in classes for student, _ in group.students}
        choices = [(key, student.name) for key, student in self.students.items()]
        for name in ("who", "witnesses"):
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        places = [(key, str(machine)) for key, machine in self.machines.items()]
        self.fields["machine"].choices = [*places, (NO_MACHINE, _("No machine"))]  # type: ignore[attr-defined]
        for key in self.persons:
            self.fields[f"hurt{key}"] = one_of(HURT)
            self.fields[f"body{key}"] = short_text(marked("Where on the body"), 200)
            self.fields[f"aid{key}"] = several_of(codes(AID))
            self.fields[f"aid_words{key}"] = short_text(marked("First aid, in words"), 200)

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise forms.ValidationError(_("Enter the day on which it happened, such as 12/1/2026."), code="day")
        return day

    # --- as the page shows it ---------------------------------------------------------------------------------------

    @property
    def own_parts(self) -> Iterator[OwnFields]:
        for key, name in self.persons.items():
            yield OwnFields(name, self[f"hurt{key}"], self[f"body{key}"], self[f"aid{key}"], self[f"aid_words{key}"])

    @property
    def informed(self) -> Iterator[tuple[BoundField, BoundField]]:
        for name in WHOM:
            yield self[name], self[f"{name}_at"]

    @property
    def chosen(self) -> set[str]:
        return {str(key) for key in self["who"].value() or ()}

    @property
    def chosen_witnesses(self) -> set[str]:
        return {str(key) for key in self["witnesses"].value() or ()}

    def show_newer(self, number: int) -> None:
        """The page has shown the version that was saved in the meantime: from now on it goes on from that one."""
        data = self.data.copy()  # type: ignore[attr-defined]
        data["seen"] = str(number)
        self.data = data

    # --- as an act takes it -----------------------------------------------------------------------------------------

    def report(self, *, complete: bool) -> Report:
        given = self.cleaned_data
        concerned = [self.students[key] for key in given["who"]]
        return Report(
            sort=given["sort"],
            happened_at=self._moment(),
            machine=self.machines.get(given["machine"]),
            concerned=concerned,
            witnesses=[self.students[key] for key in given["witnesses"]],
            text=self._text(),
            own=self._own(concerned),
            wants_complete=complete,
            keep_off=given["keep_off"],
        )

    def _moment(self) -> datetime:
        day: date = self.cleaned_data["day"]
        hour: time = self.cleaned_data["time"]
        if self.stored_moment:
            stored = self.stored_moment.astimezone(ZoneInfo(self.zone))
            if (stored.date(), stored.hour, stored.minute) == (day, hour.hour, hour.minute):
                return self.stored_moment
        return datetime.combine(day, hour, ZoneInfo(self.zone)).astimezone(UTC)

    def _text(self) -> ReportText:
        given = self.cleaned_data
        informed = [
            Informed(STORED_WHOM[name], f"{at:%H:%M}" if (at := given[f"{name}_at"]) else "")
            for name in WHOM
            if given[name] or given[f"{name}_at"]
        ]
        return ReportText(
            doing=given["doing"],
            doing_words=given["doing_words"],
            words=given["words"],
            informed=tuple(informed),
            nobody_informed=given["nobody_informed"] and not informed,
            witness_words=given["witness_words"],
            no_machine=given["machine"] == NO_MACHINE,
            other_person=given["other_person"],
        )

    def _own(self, concerned: Sequence[Person]) -> dict[int | None, OwnPart]:
        if "" in self.persons:
            part = self._part("")
            return {student.pk: part for student in concerned} or {None: part}
        return {student.pk: self._part(str(student.pk)) for student in concerned if str(student.pk) in self.persons}

    def _part(self, key: str) -> OwnPart:
        given = self.cleaned_data
        return OwnPart(given[f"hurt{key}"], given[f"body{key}"], tuple(given[f"aid{key}"]), given[f"aid_words{key}"])


class PhotoForm(forms.Form):
    photo = forms.FileField(
        label=_lazy("Photo"),
        widget=forms.ClearableFileInput(attrs={"accept": "image/png,image/jpeg,image/webp", "class": "box"}),
        error_messages={"required": _lazy("Choose a photo first.")},
    )


class FollowUpForm(TapForm):
    words = forms.CharField(
        label=_lazy("What changes, so that it does not happen again?"),
        help_text=_lazy("Without names of students."),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what changes.")},
    )
    day = forms.DateField(label=_lazy("To be done by"), required=False, widget=DayInput())


class DoneForm(forms.Form):
    words = forms.CharField(label=_lazy("What was done"), required=False, max_length=300)


class IncidentSettingsForm(forms.Form):
    emergency_number = forms.CharField(
        label=_lazy("Number to call in an emergency"),
        help_text=_lazy("It stands first on every report, as a button that dials."),
        max_length=20,
        error_messages={"required": _lazy("Enter the number to call in an emergency.")},
    )
    office_phone = forms.CharField(label=_lazy("Phone of the office or nurse"), required=False, max_length=30)
    due_days = forms.IntegerField(
        label=_lazy("Days until a report is complete"),
        help_text=_lazy(
            "Seven to start with, as in 29 CFR 1904.29(b)(3), which is about employees. Your "
            "district’s rule comes first."
        ),
        min_value=1,
        max_value=365,
    )
