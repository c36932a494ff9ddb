"""The form of text size, spacing and colors."""

from django import forms


class LookForm(forms.Form):
    colours = forms.ChoiceField(
        label="Colors",
        choices=[("device", "As on this device"), ("light", "Light"), ("dark", "Dark")],
        widget=forms.RadioSelect,
    )
    size = forms.ChoiceField(
        label="Size",
        choices=[("usual", "Usual"), ("larger", "Larger"), ("largest", "Largest")],
        widget=forms.RadioSelect,
    )
    space = forms.ChoiceField(
        label="Space between letters and lines",
        choices=[("close", "Usual"), ("roomy", "More")],
        widget=forms.RadioSelect,
    )
