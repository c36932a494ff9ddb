"""What teachers fill in."""

from collections.abc import Collection
from typing import Any

from django import forms
from django.db.models import QuerySet

from quizzes.acts.banks import COUNT, STOP, UNTIL
from quizzes.models import Bank
from shopsafe.school.accommodations import Accommodations, language_name
from shopsafe.school.models import Person
from shopsafe.school.telling_apart import full_names_of

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


class TakeBackForm(forms.Form):
    reason = forms.CharField(
        label="Why are they no longer accepted?", max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )


class VoidForm(forms.Form):
    reason = forms.CharField(label="Why is it voided?", max_length=300, widget=forms.Textarea(attrs={"rows": 3}))


class AccommodationsForm(forms.Form):
    aloud = forms.BooleanField(label="A button that reads each question aloud", required=False)
    described = forms.BooleanField(label="Pictures told in words", required=False)
    roomy = forms.BooleanField(label="More space between letters and lines", required=False)
    size = forms.ChoiceField(
        label="Size of type",
        choices=[("usual", "Usual"), ("larger", "Larger"), ("largest", "Largest")],
        widget=forms.RadioSelect,
    )
    language = forms.ChoiceField(label="Language", required=False)

    def __init__(self, *args: Any, languages: Collection[str], **more: Any) -> None:
        super().__init__(*args, **more)
        others = sorted((language_name(code), code) for code in languages if code)
        choices = [("", "The bank's own"), *((code, name) for name, code in others)]
        self.fields["language"].widget = forms.Select(choices=choices)
        self.fields["language"].choices = choices  # type: ignore[attr-defined]  # a ChoiceField has them

    @property
    def given(self) -> Accommodations:
        return Accommodations(**self.cleaned_data)


class PaperQuizForm(forms.Form):
    student = forms.ModelChoiceField(Person.objects.none(), label="Student", empty_label="Choose")
    bank = forms.ModelChoiceField(Bank.objects.none(), label="Quiz", empty_label="Choose")

    def __init__(self, *args: Any, students: QuerySet[Person], banks: QuerySet[Bank], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["student"].queryset = students  # type: ignore[attr-defined]  # a ModelChoiceField has one
        named = full_names_of(students)
        self.fields["student"].choices = [("", "Choose"), *named.items()]  # type: ignore[attr-defined]
        self.fields["bank"].queryset = banks  # type: ignore[attr-defined]
