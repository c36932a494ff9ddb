"""What teachers fill in."""

from django import forms

from quizzes.acts.banks import COUNT, STOP, UNTIL

EARLIER = {
    COUNT: "They still count",
    UNTIL: "They count until a day",
    STOP: "They stop counting now",
}


class PublishForm(forms.Form):
    revision = forms.IntegerField(widget=forms.HiddenInput)
    earlier = forms.ChoiceField(
        label="Passes on earlier editions", choices=EARLIER, widget=forms.RadioSelect, initial=COUNT
    )
    until = forms.DateField(
        label="Last day they count",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Only where they count until a day.",
    )


class VoidForm(forms.Form):
    reason = forms.CharField(label="Why is it voided?", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))
