"""The forms of the office: terms, shops, classes, staff."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from shopsafe.conventions import Conventions
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.models import Person, Shop, Term
from shopsafe.school.naming.rules.ordering import in_order, people_in_order
from shopsafe.school.pages.form_parts import DayInput
from shopsafe.school.pages.name_field import NameField
from shopsafe.school.signing_in.forms import new_password
from shopsafe.school.signing_in.rules.idle import CHOICES


class TermForm(forms.Form):
    name = NameField(label=gettext_lazy("Name"), help_text=gettext_lazy("Such as “Fall 2026”."), max_length=80)
    first_day = forms.DateField(label=gettext_lazy("First day"), widget=DayInput)
    last_day = forms.DateField(label=gettext_lazy("Last day"), widget=DayInput)


def choose_shops(field: Any, by: Person) -> None:
    """The shops in a person's reach, in the order in which people count."""
    field.queryset = access.shops_for(by)
    field.choices = [(shop.pk, str(shop)) for shop in in_order(field.queryset)]


def choose_teachers(field: Any, by: Person) -> None:
    field.queryset = access.staff_for(by).filter(role="teacher")
    field.choices = [(teacher.pk, teacher.name) for teacher in people_in_order(field.queryset)]


class ShopForm(forms.Form):
    name = NameField(label=gettext_lazy("Name"), help_text=gettext_lazy("Such as “Room W2”."), max_length=80)
    teachers: "forms.ModelMultipleChoiceField[Person]" = forms.ModelMultipleChoiceField(
        None, label=gettext_lazy("Teachers"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        if "teachers" in self.fields:
            choose_teachers(self.fields["teachers"], by)


class SectionForm(ShopForm):
    term: "forms.ModelChoiceField[Term]" = forms.ModelChoiceField(None, label=gettext_lazy("Term"), empty_label=None)
    shop: "forms.ModelChoiceField[Shop]" = forms.ModelChoiceField(None, label=gettext_lazy("Shop"), empty_label=None)
    field_order = ("name", "term", "shop", "teachers")

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, by=by, **more)
        self.fields["name"].help_text = _("Such as “Period 3, Grade 7 Wood”.")
        self.fields["term"].queryset = access.terms_for(by)  # type: ignore[attr-defined]
        choose_shops(self.fields["shop"], by)


class OwnSectionForm(SectionForm):
    """A teacher's own class: the teacher who adds it teaches it."""

    teachers = None  # type: ignore[assignment]


class TeachersForm(ShopForm):
    name = None  # type: ignore[assignment]


class IdleForm(forms.Form):
    minutes_student = forms.IntegerField(
        label=gettext_lazy("Students: minutes without use"),
        help_text=gettext_lazy("On shared laptops a short time keeps one student from working under another’s name."),
        min_value=CHOICES.start,
        max_value=CHOICES.stop - 1,
    )
    minutes_staff = forms.IntegerField(
        label=gettext_lazy("Staff: minutes without use"),
        help_text=gettext_lazy("A page that is only shown, such as Clearances on a projector, counts as no use."),
        min_value=CHOICES.start,
        max_value=CHOICES.stop - 1,
    )


class ConventionsForm(forms.Form):
    conventions = forms.TypedChoiceField(
        label=gettext_lazy("Dates, times and distances"),
        choices=[
            (
                Conventions.UNITED_STATES.value,
                gettext_lazy("United States: November 27, 2026, 5:38 PM, letter paper, feet"),
            ),
            (
                Conventions.INTERNATIONAL.value,
                gettext_lazy("International: 27 November 2026, 17:38, A4 paper, meters"),  # voice: ok
            ),
        ],
        coerce=Conventions,
        widget=forms.RadioSelect,
    )


class NameForm(forms.Form):
    name = NameField(label=gettext_lazy("Name"), max_length=80)


class StaffForm(forms.Form):
    name = NameField(
        label=gettext_lazy("Name"),
        help_text=gettext_lazy("As it appears on prints, such as “Ms Ferrant”."),
        max_length=120,
    )
    role = forms.ChoiceField(
        label=gettext_lazy("What this person does"),
        choices=[
            ("teacher", gettext_lazy("Teacher")),
            ("substitute", gettext_lazy("Substitute")),
            ("office", gettext_lazy("Office")),
        ],
        widget=forms.RadioSelect,
        initial="teacher",
    )
    password = new_password(gettext_lazy("It is shown nowhere again: tell the person now."))
    shops: "forms.ModelMultipleChoiceField[Shop]" = forms.ModelMultipleChoiceField(
        None, label=gettext_lazy("Shops, for a teacher"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, by: Person, **more: Any) -> None:
        super().__init__(*args, **more)
        choose_shops(self.fields["shops"], by)
