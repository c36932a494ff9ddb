"""A field for the name of a person, a place or a machine, and the warning of a name that looks like another."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest

from shopsafe.language.messages import _
from shopsafe.school.naming.rules.characters import clean_name, mixed_alphabets, unfit


class NameField(forms.CharField):
    """One line. What shows nothing is taken out; what can't be printed gets a sentence that says where it is."""

    def clean(self, value: Any) -> str:
        name = clean_name(super().clean(value))
        if wrong := unfit(name):
            raise forms.ValidationError(_("{wrong} Take it out.", wrong=wrong), code="character")
        if self.required and not name:
            raise forms.ValidationError(self.error_messages["required"], code="required")
        return name


def warn_of_look_alikes(request: HttpRequest, *names: str) -> None:
    """A warning on the next page for each name that mixes alphabets: its letters may pass for another name's."""
    for warning in dict.fromkeys(filter(None, map(mixed_alphabets, names))):
        messages.warning(request, warning)
