"""The forms of signing off a demonstration and of withdrawing a sign-off."""

from django import forms

from shopsafe.school.pages.form_parts import TapForm, area


class SignOffForm(TapForm):
    """`point` holds the words of each point that was ticked."""


class WithdrawForm(TapForm):
    reason = forms.CharField(
        label="Why is it withdrawn?",
        max_length=300,
        widget=area(),
        error_messages={"required": "Say why you withdraw this sign-off."},
    )
