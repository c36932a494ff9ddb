"""The forms of publishing, approving rules, withdrawing an approval, and setting a shop's own number."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from quizzes.banks.editions.next_edition import COUNT, STOP, UNTIL
from quizzes.banks.rules.own_numbers import OwnNumber, units_for
from quizzes.facts import Value
from quizzes.models import Edition
from quizzes.questions.lengths import spoken_unit
from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import DayInput

EARLIER = {
    COUNT: gettext_lazy("They still count"),
    UNTIL: gettext_lazy("They count until a day"),
    STOP: gettext_lazy("They stop counting now"),
}


ACCEPTS = gettext_lazy(
    "I have read every rule and every number here against the machine's manual, our school's rules and the local "
    "rules. I accept them for my shop. Where they differ, the manual and the rules come first."
)


class NextEditionForm(forms.Form):
    """What every new edition asks: which earlier passes count, and whether its rules are accepted with it."""

    earlier = forms.ChoiceField(
        label=gettext_lazy("Passes on earlier editions"), choices=EARLIER, widget=forms.RadioSelect, initial=COUNT
    )
    until = forms.DateField(
        label=gettext_lazy("Last day they count"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=gettext_lazy("Only where they count until a day."),
    )
    accept = forms.BooleanField(label=ACCEPTS, required=False)


class PublishForm(NextEditionForm):
    revision = forms.IntegerField(widget=forms.HiddenInput)


class AcceptForm(forms.Form):
    edition = forms.IntegerField(widget=forms.HiddenInput)
    agree = forms.BooleanField(
        label=ACCEPTS, error_messages={"required": gettext_lazy("Check the box to confirm that you read the rules.")}
    )


class AcceptReadForm(forms.Form):
    """The reading mark of a bank beside other banks: without it the bank stays practice only."""

    edition = forms.IntegerField(widget=forms.HiddenInput)
    agree = forms.BooleanField(label=ACCEPTS, required=False)

    def __init__(self, data: Any = None, *, edition: Edition) -> None:
        super().__init__(data, prefix=f"bank-{edition.bank_id}", initial={"edition": edition.number})
        self.bank = edition.bank


class OwnValueForm(forms.Form):
    """One number, or one for each row of a table, and the unit where there is a choice."""

    edition = forms.IntegerField(widget=forms.HiddenInput)
    source = forms.CharField(
        label=gettext_lazy("Where it comes from"),
        help_text=gettext_lazy("Such as “maker's manual, page 12” or a rule of your school."),
        max_length=200,
        error_messages={
            "required": gettext_lazy("Say where the number comes from: the manual, or a rule of your school.")
        },
    )
    note = forms.CharField(label=gettext_lazy("Note"), max_length=300, required=False)
    earlier = forms.ChoiceField(
        label=gettext_lazy("Passes on earlier editions"),
        choices={COUNT: EARLIER[COUNT], STOP: EARLIER[STOP]},
        widget=forms.RadioSelect,
        initial=COUNT,
    )
    checked = forms.BooleanField(
        label=gettext_lazy(
            "I have checked this number against the machine's manual, our school's rules and the local rules."
        ),
        error_messages={"required": gettext_lazy("Check the box to confirm that you checked the number.")},
    )

    def __init__(self, data: Any = None, *, value: Value, **more: Any) -> None:
        super().__init__(data, **more)
        self.value = value
        sizes, one_unit = [size for size, _amount in value.table], len(units_for(value)) == 1
        for name, size, amount in zip(self._names(), sizes or [""], value.amounts, strict=True):
            label = _("In our shop, {size}", size=size) if size else _("In our shop")
            self.fields[name] = forms.CharField(
                label=_("{label}, in {unit}", label=label, unit=spoken_unit(value.unit)) if one_unit else label,
                max_length=40,
                initial=amount,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
                help_text="" if size else _("Such as 7, 0.7, 7/16 or 9 3/4."),
            )
        if len(units_for(value)) > 1:
            choices = [(unit, self._unit_name(unit)) for unit in units_for(value)]
            self.fields["unit"] = forms.ChoiceField(
                label=_("Unit"), choices=choices, initial=value.unit, required=False
            )

    @staticmethod
    def _unit_name(unit: str) -> str:
        return spoken_unit(unit)

    def _names(self) -> list[str]:
        return [f"amount-{row}" if self.value.table else "amount" for row in range(1, len(self.value.amounts) + 1)]

    @property
    def amount_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self._names()]

    @property
    def own(self) -> OwnNumber:
        cleaned = self.cleaned_data
        unit = cleaned.get("unit") or self.value.unit
        return OwnNumber(
            amounts=tuple(cleaned[name] for name in self._names()),
            unit=unit,
            source=cleaned["source"],
            note=cleaned["note"],
        )


class ReviewForm(forms.Form):
    """Who read the reviewer's print and signed it."""

    edition = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=80,
        error_messages={"required": gettext_lazy("Enter the name on the print.")},
    )
    role = forms.CharField(
        label=gettext_lazy("Role"),
        max_length=80,
        help_text=gettext_lazy("Such as safety officer or department head."),
        error_messages={"required": gettext_lazy("Give the role of the reviewer.")},
    )
    reviewed_on = forms.DateField(
        label=gettext_lazy("Day of the signature"),
        widget=DayInput,
        error_messages={
            "required": gettext_lazy("Give the day of the signature."),
            "invalid": gettext_lazy("Write the day as 2026-09-08."),
        },
    )


class WithdrawReviewForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why is this review withdrawn?"),
        max_length=300,
        error_messages={"required": gettext_lazy("Say why the review is withdrawn.")},
    )


class WithdrawApprovalForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why are they no longer accepted?"), max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )
