"""The form that adds figures from a file."""

from django import forms


class AddFiguresForm(forms.Form):
    file = forms.FileField(
        label="File of figures",
        help_text="From another school: its page of this question bank saves one. It names no student.",
        widget=forms.ClearableFileInput(attrs={"accept": ".json"}),
    )
