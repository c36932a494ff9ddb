"""The forms of retention: how long records are kept, keeping a record longer, and erasing it."""

from typing import Any

from django import forms

from shopsafe.school.naming.rules.names import plain
from shopsafe.school.pages.form_parts import area


class RetentionForm(forms.Form):
    years = forms.IntegerField(
        label="Years after a student has left",
        required=False,
        min_value=1,
        max_value=100,
        help_text="Empty: nothing is erased by itself.",
    )
    years_after_injury = forms.IntegerField(
        label="Years after an injury",
        required=False,
        min_value=1,
        max_value=100,
        help_text="From the end of that year. Empty: such a record stays.",
    )


class KeepForm(forms.Form):
    reason = forms.CharField(
        label="Why is the record kept?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say why the record is kept."},
    )


class EraseForm(forms.Form):
    reason = forms.CharField(
        label="Why is it erased?",
        help_text="This stays in the logbook. Leave the student's name out.",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say why the record is erased."},
    )
    typed = forms.CharField(
        label="The student's full name, to be sure",
        max_length=140,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "words", "spellcheck": "false"}),
        error_messages={"required": "Type the student's full name."},
    )

    def __init__(self, *args: Any, name: str, **more: Any) -> None:
        super().__init__(*args, **more)
        self.name = name

    def clean_typed(self) -> str:
        typed = str(self.cleaned_data["typed"])
        if plain(typed) != plain(self.name):
            raise forms.ValidationError("That is not this student's name. Type it as it stands above.")
        return typed
