"""The forms of shop setup: who begins, and the first shop."""

from datetime import date, timedelta
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.language.messages import marked
from shopsafe.school.pages.form_parts import DayInput
from shopsafe.school.pages.name_field import NameField

TERM = timedelta(weeks=18)
NOT_PLACES = {"Factory", "localtime"}  # of the zone files, but no zone that a school is in


def password(label: str, help_text: str = "") -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": "new-password"})
    return forms.CharField(label=_lazy(label), help_text=_lazy(help_text), max_length=128, strip=False, widget=widget)


class BeginForm(forms.Form):
    setup_code = forms.CharField(
        label=_lazy("Setup code"),
        help_text=_lazy("It stands where the program was started."),
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
        error_messages={"required": _lazy("Type the setup code.")},
    )
    name = NameField(label=_lazy("Name of the school"), max_length=120)
    time_zone = forms.ChoiceField(
        label=_lazy("Time zone"),
        choices=[(zone, zone) for zone in sorted(available_timezones() - NOT_PLACES)],
        initial="America/Chicago",
    )
    teacher_name = NameField(
        label=_lazy("Your name"), help_text=_lazy("As it appears on prints, such as “Ms Ferrant”."), max_length=120
    )
    teacher_password = password(marked("Your password"), marked("15 characters or more: a few words do."))
    office_name = NameField(
        label=_lazy("Name of the office"),
        help_text=_lazy("The office adds teachers, terms and classes later. It may be you too, under this other name."),
        max_length=120,
        initial=_lazy("School office"),
    )
    office_password = password(marked("Password of the office"), marked("Another one than yours."))


class FirstShopForm(forms.Form):
    shop = NameField(label=_lazy("Your shop"), help_text=_lazy("The room, such as “Room W2”."), max_length=80)
    section = NameField(
        label=_lazy("Your first class"),
        help_text=_lazy("Such as “Period 3, Grade 7 Wood”. More classes come later."),
        max_length=80,
    )
    term = NameField(label=_lazy("The term"), max_length=80, initial=_lazy("This term"))
    first_day = forms.DateField(label=_lazy("First day of the term"), widget=DayInput)
    last_day = forms.DateField(
        label=_lazy("Last day of the term"),
        widget=DayInput,
        help_text=_lazy("Clearances end with the term, unless you say otherwise."),
    )


def first_days(today: date) -> dict[str, date]:
    """A term from today on, to be changed."""
    return {"first_day": today, "last_day": today + TERM}
