"""The forms about the students of a class."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from shopsafe.language.messages import _
from shopsafe.school.models import Section
from shopsafe.school.pages.form_parts import DayInput
from shopsafe.school.pages.name_field import NameField
from shopsafe.school.people.rules.documents import AGREEMENT, DOCUMENTS, DocumentKind


class DocumentForm(forms.Form):
    """The date, and on a button the kind of document; a safety agreement where no kind is named."""

    kind = forms.ChoiceField(choices=lambda: [(kind.code, kind.name) for kind in DOCUMENTS.values()], required=False)
    signed_on = forms.DateField(
        label=gettext_lazy("Signed on"),
        widget=DayInput,
        error_messages={
            "required": gettext_lazy("Say on which day it was signed."),
            "invalid": gettext_lazy("That is not a date. Write it as 2026-09-08."),
        },
    )

    def clean_kind(self) -> DocumentKind:
        return DOCUMENTS[self.cleaned_data["kind"] or AGREEMENT.code]


class WithdrawDocumentForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why is it withdrawn?"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Say why it is withdrawn.")},
    )


class MoveForm(forms.Form):
    to: "forms.ModelChoiceField[Section]" = forms.ModelChoiceField(
        None,
        label=gettext_lazy("Class"),
        empty_label=gettext_lazy("Choose a class"),
        error_messages={
            "required": gettext_lazy("Choose a class."),
            "invalid_choice": gettext_lazy("Choose a class from the list."),
        },
    )

    def __init__(self, *args: Any, classes: list[Section], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["to"].queryset = Section.objects.filter(  # type: ignore[attr-defined]
            pk__in=[section.pk for section in classes]
        ).select_related("term")
        self.fields["to"].choices = [  # type: ignore[attr-defined]
            ("", _("Choose a class")),
            *((section.pk, f"{section.name}, {section.shop.name}") for section in classes),
        ]


class LeaveForm(forms.Form):
    last_day = forms.DateField(
        label=gettext_lazy("Last day in the class"),
        widget=DayInput,
        error_messages={
            "required": gettext_lazy("Say which day is the last one."),
            "invalid": gettext_lazy("That is not a date. Write it as 2026-09-08."),
        },
    )


class NameCorrectForm(forms.Form):
    given = NameField(
        label=gettext_lazy("Given name"),
        max_length=80,
        error_messages={"required": gettext_lazy("Type the given name, or the only one.")},
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    family = NameField(
        label=gettext_lazy("Family name"),
        help_text=gettext_lazy("Empty where there is none."),
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class StudentNumberForm(forms.Form):
    number = forms.CharField(
        label=gettext_lazy("Student number"),
        help_text=gettext_lazy("The school’s own. It tells students of one name apart."),
        max_length=40,
        error_messages={"required": gettext_lazy("Type the student number.")},
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class StudentForm(forms.Form):
    name = NameField(
        label=gettext_lazy("Name"),
        help_text=gettext_lazy("As “Last, First”, or as it is said."),
        max_length=120,
        error_messages={"required": gettext_lazy("Type the student’s name.")},
    )
    local_id = forms.CharField(
        label=gettext_lazy("Student number"),
        help_text=gettext_lazy("Required unless you check the box below."),
        max_length=40,
        required=False,
    )
    accept = forms.BooleanField(
        label=gettext_lazy("A student of their own, though without a number or named like someone else"),
        required=False,
    )
