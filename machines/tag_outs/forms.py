"""The form of tagging a machine out; that of the return is in machines/reports/inspections/forms.py."""

from django import forms

from shopsafe.school.pages.form_parts import TapForm, area


class TagOutForm(TapForm):
    reason = forms.CharField(
        label="What is wrong?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say what is wrong with the machine."},
    )
