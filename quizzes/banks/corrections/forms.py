"""The forms with which a teacher takes or declines the corrections of a starter bank."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from quizzes.banks.corrections.rules import RuleCorrection
from quizzes.banks.editions.forms import NextEditionForm
from quizzes.banks.editions.next_edition import STOP


class TakeCorrectionsForm(NextEditionForm):
    field_order = ("edition", "rules")

    edition = forms.IntegerField(widget=forms.HiddenInput)
    rules = forms.MultipleChoiceField(
        label=gettext_lazy("Corrections to take"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": gettext_lazy("A rule is no longer among the corrections. Look at the list again.")
        },
    )

    def __init__(self, data: Any = None, *, corrections: Iterable[RuleCorrection], **more: Any) -> None:
        super().__init__(data, **more)
        corrections = list(corrections)
        # Its codes are those of rules; the bank as a whole has an empty one, which a browser sends as it is.
        self.fields["rules"].choices = [(correction.rule, correction.says) for correction in corrections]  # type: ignore[attr-defined]
        self.fields["earlier"].initial = STOP
        self.fields["rules"].initial = [correction.rule for correction in corrections if not correction.replaces_own]


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why does your shop keep its own text?"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": gettext_lazy("Say why your shop keeps its own text.")},
    )
