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
