"""The forms of signing in."""

from django import forms


class SignInForm(forms.Form):
    name = forms.CharField(
        label="Your name, as on your slip",
        max_length=140,
        error_messages={"required": "Type your name as it stands on your slip."},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "words", "spellcheck": "false"}),
    )
    code = forms.CharField(
        label="Slip code or password",
        max_length=128,
        error_messages={"required": "Type the code from your slip."},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class LookForm(forms.Form):
    colours = forms.ChoiceField(
        label="Colours",
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
