"""What teachers fill in."""

from django import forms

from quizzes.acts.banks import COUNT, STOP, UNTIL

EARLIER = {
    COUNT: "They still count",
    UNTIL: "They count until a day",
    STOP: "They stop counting now",
}

ACCEPTS = (
    "I have read every rule and every number here against the machine's manual, our school's rules and the local "
    "rules. I accept them for my shop. Where they differ, the manual and the rules come first."
)


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
    accept = forms.BooleanField(label=ACCEPTS, required=False)


class AcceptForm(forms.Form):
    edition = forms.IntegerField(widget=forms.HiddenInput)
    agree = forms.BooleanField(label=ACCEPTS, error_messages={"required": "Tick that you have read the rules."})


class TakeBackForm(forms.Form):
    reason = forms.CharField(
        label="Why are they no longer accepted?", max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )


class VoidForm(forms.Form):
    reason = forms.CharField(label="Why is it voided?", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))
