"""The forms of signing in and of changing a password."""

from typing import TYPE_CHECKING

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from shopsafe.language.messages import _

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

PASSWORD = gettext_lazy("Password")
LONG_ENOUGH = gettext_lazy("15 characters or more, such as four words.")


class SignInForm(forms.Form):
    name = forms.CharField(
        label=gettext_lazy("Your name, as on your slip"),
        help_text=gettext_lazy("If your slip has a sign-in name, type that."),
        max_length=140,
        error_messages={"required": gettext_lazy("Type your name as it is written on your slip.")},
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "words", "spellcheck": "false"}),
    )
    code = forms.CharField(
        label=gettext_lazy("Sign-in code or password"),
        max_length=128,
        error_messages={"required": gettext_lazy("Type the code from your slip.")},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


def new_password(help_text: "StrOrPromise", label: "StrOrPromise" = PASSWORD) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=format_lazy("{} {}", LONG_ENOUGH, help_text) if help_text else LONG_ENOUGH,
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class PasswordForm(forms.Form):
    password = new_password(gettext_lazy("It is shown nowhere again: tell the person now. The old one ends."))


class OwnPasswordForm(forms.Form):
    current = forms.CharField(
        label=gettext_lazy("Your password now"),
        max_length=128,
        strip=False,
        error_messages={"required": gettext_lazy("Type the password you signed in with.")},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = new_password("", label=gettext_lazy("New password"))
    again = forms.CharField(
        label=gettext_lazy("Repeat the new password"),
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_again(self) -> str:
        again = str(self.cleaned_data["again"])
        if again != self.cleaned_data.get("password", again):
            raise forms.ValidationError(_("The two new passwords are not the same. Type both again."))
        return again
