"""The forms of retention: how long records are kept, keeping a record longer, and erasing it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.language.messages import _
from shopsafe.school.naming.rules.names import plain
from shopsafe.school.pages.form_parts import area


class RetentionForm(forms.Form):
    years = forms.IntegerField(
        label=_lazy("Years after a student has left"),
        required=False,
        min_value=1,
        max_value=100,
        help_text=_lazy("Empty: nothing is erased by itself."),
    )
    years_after_injury = forms.IntegerField(
        label=_lazy("Years after an injury"),
        required=False,
        min_value=1,
        max_value=100,
        help_text=_lazy("From the end of that year. Empty: such a record stays."),
    )


class KeepForm(forms.Form):
    reason = forms.CharField(
        label=_lazy("Why is the record kept?"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say why the record is kept.")},
    )


class EraseForm(forms.Form):
    reason = forms.CharField(
        label=_lazy("Why is it erased?"),
        help_text=_lazy("This stays in the logbook. Leave the student's name out."),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say why the record is erased.")},
    )
    typed = forms.CharField(
        label=_lazy("The student's full name, to be sure"),
        max_length=140,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "words", "spellcheck": "false"}),
        error_messages={"required": _lazy("Type the student's full name.")},
    )

    def __init__(self, *args: Any, name: str, **more: Any) -> None:
        super().__init__(*args, **more)
        self.name = name

    def clean_typed(self) -> str:
        typed = str(self.cleaned_data["typed"])
        if plain(typed) != plain(self.name):
            raise forms.ValidationError(_("That is not this student's name. Type it as it is written above."))
        return typed
