"""The forms of tagging a machine out and returning it to service."""

from django import forms

from shopsafe.school.pages.form_parts import TapForm, area


class TagOutForm(TapForm):
    reason = forms.CharField(
        label="What is wrong?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say what is wrong with the machine."},
    )


class ReturnForm(forms.Form):
    inspection = forms.CharField(
        label="What was mended, and what did you look at?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say what was mended and looked at."},
    )
