"""The forms of publishing, approving rules, withdrawing an approval, and setting a shop's own number."""

from django import forms

from quizzes.banks.editions.acts import COUNT, STOP, UNTIL

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


class OwnValueForm(forms.Form):
    edition = forms.IntegerField(widget=forms.HiddenInput)
    amount = forms.CharField(label="In our shop", max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    source = forms.CharField(
        label="Where it comes from",
        help_text="Such as “maker's manual, page 12” or a rule of your school.",
        max_length=200,
        error_messages={"required": "Say where the number comes from: the manual, or a rule of your school."},
    )
    note = forms.CharField(label="Note", max_length=300, required=False)
    earlier = forms.ChoiceField(
        label="Passes on earlier editions",
        choices={COUNT: EARLIER[COUNT], STOP: EARLIER[STOP]},
        widget=forms.RadioSelect,
        initial=COUNT,
    )
    checked = forms.BooleanField(
        label="I have checked this number against the machine's manual, our school's rules and the local rules.",
        error_messages={"required": "Tick that you have checked the number."},
    )


class WithdrawApprovalForm(forms.Form):
    reason = forms.CharField(
        label="Why are they no longer accepted?", max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )
