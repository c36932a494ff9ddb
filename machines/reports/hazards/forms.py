"""The forms of hazard reports: the second step of a report, and the teacher's words that clear one."""

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from quizzes.banks.pictures.files import MOST_BYTES
from shopsafe.school.pages.form_parts import TapForm, area


class ReportForm(TapForm):
    words = forms.CharField(label=_lazy("Say more, if you can"), max_length=300, required=False, widget=area(3))
    photo = forms.FileField(
        label=_lazy("A photo, if you have one"),
        required=False,
        help_text=_lazy("No faces, please. Where and when it was taken is removed."),
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
        error_messages={"empty": _lazy("This photo is empty. Choose another, or send the report without it.")},
    )

    @property
    def photo_bytes(self) -> bytes:
        """The file as it was sent, one byte more at most than is allowed; empty without one."""
        sent = self.cleaned_data.get("photo")
        return sent.read(MOST_BYTES + 1) if sent else b""


class ClearForm(forms.Form):
    found = forms.CharField(
        label=_lazy("Safe to use: what I found"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what you found and why it is safe to use.")},
    )
