"""The forms of signing off a demonstration and of withdrawing a sign-off."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import TapForm, area

MOST_IN_GROUP = 6  # a teacher can watch no more students at one machine in one demonstration


class SignOffForm(TapForm):
    """`point` holds the words of each point that was ticked."""


class StudentsField(forms.TypedMultipleChoiceField):
    """The keys of any students: the view finds them among those of the asker."""

    def valid_value(self, value: Any) -> bool:
        return str(value).isdecimal()


class GroupForm(TapForm):
    """`student` holds each student who was tapped; `point` the words of each point that was checked for all of them."""

    student = StudentsField(coerce=int, error_messages={"required": _lazy("Tap each student you watched.")})

    def clean_student(self) -> list[int]:
        students = list(dict.fromkeys(self.cleaned_data["student"]))
        if len(students) > MOST_IN_GROUP:
            raise forms.ValidationError(
                _("Tap no more than {count} students. Sign the others off after these.", count=MOST_IN_GROUP)
            )
        return students


class NotYetForm(TapForm):
    """`point` holds the points that were watched, `again` those to be shown again."""

    note = forms.CharField(
        label=_lazy("A line for the student, if you like"), max_length=200, required=False, widget=area(), strip=True
    )


class WithdrawForm(TapForm):
    reason = forms.CharField(
        label=_lazy("Why is it withdrawn?"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say why you withdraw this sign-off.")},
    )
