"""The form of tagging a machine out; that of the return is in machines/reports/inspections/forms.py."""

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.school.pages.form_parts import TapForm, area


class TagOutForm(TapForm):
    reason = forms.CharField(
        label=_lazy("What is wrong?"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what is wrong with the machine.")},
    )
