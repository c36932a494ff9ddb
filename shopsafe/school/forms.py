"""The forms of signing in, of people and of the office."""

from typing import Any

from django import forms

from shopsafe.school import access
from shopsafe.school.models import Person, Shop, Term
from shopsafe.school.ordering import in_order


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


class Day(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class AgreementForm(forms.Form):
    signed_on = forms.DateField(
        label="Signed on",
        widget=Day,
        error_messages={
            "required": "Say on which day it was signed.",
            "invalid": "That is no day. Write it as 2026-09-08.",
        },
    )


class TakeBackForm(forms.Form):
    reason = forms.CharField(
        label="Why is it taken back?",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say why the agreement is taken back."},
    )


class NameCorrectForm(forms.Form):
    given = forms.CharField(
        label="Given name",
        max_length=80,
        error_messages={"required": "Type the given name, or the only one."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    family = forms.CharField(
        label="Family name",
        help_text="Empty where there is none.",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class StudentForm(forms.Form):
    name = forms.CharField(
        label="Name",
        help_text="As “Last, First”, or as it is said.",
        max_length=120,
        error_messages={"required": "Type the student’s name."},
    )
    local_id = forms.CharField(
        label="Student number",
        help_text="Needed, or else tick the box below.",
        max_length=40,
        required=False,
    )
    accept = forms.BooleanField(
        label="A student of their own, though without a number or named like somebody else", required=False
    )


class TermForm(forms.Form):
    name = forms.CharField(label="Name", help_text="Such as “Autumn 2026”.", max_length=80)
    first_day = forms.DateField(label="First day", widget=Day)
    last_day = forms.DateField(label="Last day", widget=Day)


def choose_shops(field: Any, by: Person) -> None:
    """The shops in a person's reach, in the order in which people count."""
    field.queryset = access.shops_for(by)
    field.choices = [(shop.pk, str(shop)) for shop in in_order(field.queryset)]


class ShopForm(forms.Form):
    name = forms.CharField(label="Name", help_text="Such as “Room W2”.", max_length=80)
    teachers: "forms.ModelMultipleChoiceField[Person]" = forms.ModelMultipleChoiceField(
        None, label="Teachers", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["teachers"].queryset = access.staff_for(by).filter(role="teacher")  # type: ignore[attr-defined]


class SectionForm(ShopForm):
    term: "forms.ModelChoiceField[Term]" = forms.ModelChoiceField(None, label="Term", empty_label=None)
    shop: "forms.ModelChoiceField[Shop]" = forms.ModelChoiceField(None, label="Shop", empty_label=None)
    field_order = ("name", "term", "shop", "teachers")

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, by=by, **more)
        self.fields["name"].help_text = "Such as “Period 3, Grade 7 Wood”."
        self.fields["term"].queryset = access.terms_for(by)  # type: ignore[attr-defined]
        choose_shops(self.fields["shop"], by)


class TeachersForm(ShopForm):
    name = None  # type: ignore[assignment]


class NameForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80)


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


class StaffForm(forms.Form):
    name = forms.CharField(label="Name", help_text="As it stands on prints, such as “Ms Ferrant”.", max_length=120)
    role = forms.ChoiceField(
        label="What this person does",
        choices=[("teacher", "Teacher"), ("substitute", "Substitute"), ("office", "Office")],
        widget=forms.RadioSelect,
        initial="teacher",
    )
    password = new_password("It is shown nowhere again: tell the person now.")
    shops: "forms.ModelMultipleChoiceField[Shop]" = forms.ModelMultipleChoiceField(
        None, label="Shops, for a teacher", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        choose_shops(self.fields["shops"], by)
