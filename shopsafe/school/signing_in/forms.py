"""The forms of signing in and of changing a password."""

from django import forms


class SignInForm(forms.Form):
    name = forms.CharField(
        label="Your name, as on your slip",
        help_text="If your slip has a sign-in name, type that.",
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


def new_password(help_text: str, label: str = "Password") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=f"15 characters or more, such as four words. {help_text}".strip(),
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class PasswordForm(forms.Form):
    password = new_password("It is shown nowhere again: tell the person now. The old one ends.")


class OwnPasswordForm(forms.Form):
    current = forms.CharField(
        label="Your password now",
        max_length=128,
        strip=False,
        error_messages={"required": "Type the password you signed in with."},
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = new_password("", label="New password")
    again = forms.CharField(
        label="The new one once more",
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_again(self) -> str:
        again = str(self.cleaned_data["again"])
        if again != self.cleaned_data.get("password", again):
            raise forms.ValidationError("The two new passwords are not the same. Type both once more.")
        return again
