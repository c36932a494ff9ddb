"""The form in which a teacher gives a student accommodations."""

from collections.abc import Collection
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from shopsafe.language.messages import _
from shopsafe.school.reading.accommodations import Accommodations, language_name


class AccommodationsForm(forms.Form):
    aloud = forms.BooleanField(label=gettext_lazy("A button that reads each question aloud"), required=False)
    described = forms.BooleanField(label=gettext_lazy("Pictures described in words"), required=False)
    roomy = forms.BooleanField(label=gettext_lazy("More space between letters and lines"), required=False)
    size = forms.ChoiceField(
        label=gettext_lazy("Size of type"),
        choices=[
            ("usual", gettext_lazy("Usual")),
            ("larger", gettext_lazy("Larger")),
            ("largest", gettext_lazy("Largest")),
        ],
        widget=forms.RadioSelect,
    )
    language = forms.ChoiceField(label=gettext_lazy("Language"), required=False)

    def __init__(self, *args: Any, languages: Collection[str], **more: Any) -> None:
        super().__init__(*args, **more)
        others = sorted((language_name(code), code) for code in languages if code)
        choices = [("", _("The bank's own")), *((code, name) for name, code in others)]
        self.fields["language"].widget = forms.Select(choices=choices)
        self.fields["language"].choices = choices  # type: ignore[attr-defined]  # a ChoiceField has them

    @property
    def given(self) -> Accommodations:
        return Accommodations(**self.cleaned_data)
