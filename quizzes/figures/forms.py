"""The form that adds figures from a file."""

from django import forms
from django.utils.translation import gettext_lazy


class AddFiguresForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("File of figures"),
        help_text=gettext_lazy("From another school: its page of this question bank saves one. It names no student."),
        widget=forms.ClearableFileInput(attrs={"accept": ".json"}),
    )
