"""The forms of signing off a demonstration and of withdrawing a sign-off."""

from django import forms

from shopsafe.school.pages.form_parts import TapForm, area


class SignOffForm(TapForm):
    """`point` holds the words of each point that was ticked."""


class NotYetForm(TapForm):
    """`point` holds the points that were watched, `again` those to be shown again."""

    note = forms.CharField(
        label="A line for the student, if you like", max_length=200, required=False, widget=area(), strip=True
    )


class WithdrawForm(TapForm):
    reason = forms.CharField(
        label="Why is it withdrawn?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say why you withdraw this sign-off."},
    )
