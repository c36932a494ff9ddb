"""The forms of voiding an attempt and of a quiz on paper."""

from typing import Any, cast

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy

from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school.models import Person
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.naming.rules.ordering import people_in_order


class VoidForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why is it voided?"), max_length=300, widget=forms.Textarea(attrs={"rows": 3})
    )


class PaperQuizForm(forms.Form):
    student = forms.ModelChoiceField(
        Person.objects.none(), label=gettext_lazy("Student"), empty_label=gettext_lazy("Choose")
    )
    bank = forms.ModelChoiceField(Bank.objects.none(), label=gettext_lazy("Quiz"), empty_label=gettext_lazy("Choose"))

    def __init__(self, *args: Any, students: QuerySet[Person], banks: QuerySet[Bank], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["student"].queryset = students  # type: ignore[attr-defined]  # a ModelChoiceField has one
        named = full_names_of(people_in_order(students))
        self.fields["student"].choices = [("", _("Choose")), *named.items()]  # type: ignore[attr-defined]
        self.fields["bank"].queryset = banks  # type: ignore[attr-defined]

    def list_first(self, own: frozenset[int] | None) -> None:
        """Lists the quizzes of one's own shops first, and the others below a heading; None: there are no own."""
        field = cast(forms.ModelChoiceField, self.fields["bank"])
        banks = [(bank.pk, str(bank)) for bank in field.queryset or ()]
        groups = [
            (_("In your own shop"), [row for row in banks if own is None or row[0] in own]),
            (_("Not in your own shop"), [row for row in banks if own is not None and row[0] not in own]),
        ]
        listed = [group for group in groups if group[1]]
        if len(listed) > 1:
            field.choices = [("", _("Choose")), *listed]
