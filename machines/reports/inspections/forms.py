"""The forms of inspections: a list with three answers a line, the lines of a list, a service record."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from machines.reports.facts import InspectionLine, Interval, LineAnswer
from machines.reports.inspections.lists import KindLists
from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import DayInput, TapForm, area

ANSWERS = [
    (LineAnswer.YES, _lazy("Yes")),
    (LineAnswer.NO, _lazy("No")),
    (LineAnswer.NOT_APPLICABLE, _lazy("Doesn’t apply")),
]
OWN_SOURCE = "our shop"


class AnswersForm(TapForm):
    """The lines of a list, each answered yes, no or doesn't apply. Nothing is answered beforehand."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=16, required=False)

    def __init__(self, *args: Any, lists: KindLists, interval: Interval | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.lines = lists.lines(interval)
        self.initial["seen"] = lists.digest(interval)
        for place, line in enumerate(self.lines):
            self.fields[f"line-{place}"] = forms.ChoiceField(
                label=line.says,
                choices=ANSWERS,
                widget=forms.RadioSelect,
                error_messages={"required": _("“{line}” is not answered.", line=line.says)},
            )

    def rows(self) -> list[tuple[forms.BoundField, InspectionLine]]:
        return [(self[f"line-{place}"], line) for place, line in enumerate(self.lines)]

    def answers(self) -> dict[int, LineAnswer]:
        """Place of the line → its answer, of a form that is valid."""
        return {place: LineAnswer(self.cleaned_data[f"line-{place}"]) for place in range(len(self.lines))}


class InspectionForm(AnswersForm):
    words = forms.CharField(label=_lazy("Anything to note"), max_length=300, required=False, widget=area())


class ReturnForm(AnswersForm):
    found = forms.CharField(
        label=_lazy("What was repaired and checked?"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what was repaired and checked.")},
    )
    parts = forms.CharField(label=_lazy("Parts that were replaced, if any"), max_length=200, required=False)
    reason = forms.CharField(max_length=300, required=False, widget=area())

    def __init__(self, *args: Any, instead_of: str = "", **more: Any) -> None:
        """`instead_of`: the teacher who tagged the machine out, where another returns it."""
        super().__init__(*args, **more)
        if instead_of:
            self.fields["reason"].required = True
            self.fields["reason"].label = _(
                "{teacher} tagged it out. Why do you return it instead?", teacher=instead_of
            )
            self.fields["reason"].error_messages["required"] = _(
                "Say why you return it instead of {teacher}.", teacher=instead_of
            )
        else:
            del self.fields["reason"]


class LinesField(forms.CharField):
    """One line of a list a row, with its source after a bar: "Guards are whole. | common practice"."""

    def __init__(self, **more: Any) -> None:
        super().__init__(widget=area(8), max_length=8000, required=False, **more)

    def clean(self, value: Any) -> list[InspectionLine]:
        rows = [row.strip() for row in super().clean(value).splitlines() if row.strip()]
        parts = [row.rpartition("|") if "|" in row else (row, "", "") for row in rows]
        return [InspectionLine(says.strip(), source.strip()[:120] or OWN_SOURCE) for says, _, source in parts if says]


class ListForm(forms.Form):
    daily = LinesField(label=_lazy("Daily"))
    weekly = LinesField(label=_lazy("Weekly"))
    term = LinesField(label=_lazy("Each term"))
    seen = forms.CharField(widget=forms.HiddenInput, max_length=16, required=False)

    def lines(self) -> Mapping[Interval, Sequence[InspectionLine]]:
        return {interval: self.cleaned_data[interval.value] for interval in Interval}

    @staticmethod
    def start(lists: KindLists) -> dict[str, str]:
        """The lists as the form shows them first."""
        rows = {i.value: "\n".join(f"{line.says} | {line.source}" for line in lists.lines(i)) for i in Interval}
        return rows | {"seen": lists.digest()}


class ServiceForm(TapForm):
    day = forms.DateField(
        label=_lazy("Day"),
        widget=DayInput,
        error_messages={"required": _lazy("Give the day."), "invalid": _lazy("Give the day as a date.")},
    )
    did = forms.CharField(
        label=_lazy("What was done"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what was done.")},
    )
    done_by = forms.CharField(
        label=_lazy("Who did it"),
        max_length=120,
        help_text=_lazy("A name, or a company."),
        error_messages={"required": _lazy("Say who did it.")},
    )
    parts = forms.CharField(label=_lazy("Parts that were replaced, if any"), max_length=200, required=False)
