"""The form that corrects a key."""

from django import forms
from django.utils.translation import gettext_lazy


class CorrectKeyForm(forms.Form):
    """The key is chosen by radio, from the answers of the question."""

    edition = forms.IntegerField(widget=forms.HiddenInput)
    key = forms.ChoiceField(label=gettext_lazy("The right answer"), widget=forms.RadioSelect)
    reason = forms.CharField(
        label=gettext_lazy("Why the old key is wrong"),
        help_text=gettext_lazy("Such as: the manual says to stop the machine first. It stays in the logbook."),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2, "class": "box"}),
    )

    def __init__(self, *args: object, choices: list[tuple[str, str]], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["key"].choices = choices  # type: ignore[attr-defined]
