"""The form of text size, spacing and colors."""

from django import forms
from django.utils.translation import gettext_lazy


class LookForm(forms.Form):
    colours = forms.ChoiceField(
        label=gettext_lazy("Colors"),
        choices=[
            ("device", gettext_lazy("As on this device")),
            ("light", gettext_lazy("Light")),
            ("dark", gettext_lazy("Dark")),
        ],
        widget=forms.RadioSelect,
    )
    size = forms.ChoiceField(
        label=gettext_lazy("Size"),
        choices=[
            ("usual", gettext_lazy("Usual")),
            ("larger", gettext_lazy("Larger")),
            ("largest", gettext_lazy("Largest")),
        ],
        widget=forms.RadioSelect,
    )
    space = forms.ChoiceField(
        label=gettext_lazy("Space between letters and lines"),
        choices=[("close", gettext_lazy("Usual")), ("roomy", gettext_lazy("More"))],
        widget=forms.RadioSelect,
    )
