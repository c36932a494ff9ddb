"""The forms in which a shop words its own sheets: what is in them first, and what the act receives."""

from dataclasses import asdict, dataclass
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _lazy

from shopsafe.language.messages import _
from shopsafe.school.models import SheetWords
from shopsafe.school.pages.form_parts import area
from shopsafe.school.sheet_words.rules import SubstituteWords, agreement_words, substitute_words

MOST_LINES, LONGEST_LINE = 24, 200


class TextLinesField(forms.CharField):
    """Some lines of text, one thing a line; empty lines are left out."""

    def __init__(self, *, rows: int, **more: Any) -> None:
        super().__init__(widget=area(rows), max_length=MOST_LINES * (LONGEST_LINE + 2), **more)

    def clean(self, value: Any) -> list[str]:
        lines = [" ".join(line.split()) for line in super().clean(value).splitlines()]
        lines = [line for line in lines if line]
        if len(lines) > MOST_LINES:
            raise forms.ValidationError(
                _("At most {most} lines fit on the sheet; here are {count}.", most=MOST_LINES, count=len(lines))
            )
        long = next((number for number, line in enumerate(lines, 1) if len(line) > LONGEST_LINE), None)
        if long:
            raise forms.ValidationError(
                _("Line {number} is longer than {most} letters. Make two of it.", number=long, most=LONGEST_LINE)
            )
        return lines

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, (list, tuple)) else value


class WordsForm(forms.Form):
    """`instead_of` tells which words these were begun from, so that no one writes over another's."""

    instead_of = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, stored: SheetWords | None) -> None:
        first = self.first(stored.words if stored else None) | {"instead_of": stored.pk if stored else 0}
        super().__init__(data, initial=first, label_suffix="")

    def first(self, stored_words: dict[str, Any] | None) -> dict[str, Any]:
        raise NotImplementedError

    def asked(self) -> dict[str, Any]:
        """What the act wants, from a form that is valid."""
        words = dict(self.cleaned_data)
        return {"instead_of": words.pop("instead_of"), "words": words}


class AgreementWordsForm(WordsForm):
    intro = forms.CharField(label=_lazy("Before the rules"), max_length=600, widget=area(3))
    rules = TextLinesField(
        label=_lazy("The rules of the shop"), help_text=_lazy("One a line. They are numbered on the sheet."), rows=14
    )
    promise = forms.CharField(label=_lazy("What the student signs"), max_length=600, widget=area(3))
    guardian = forms.CharField(label=_lazy("What the parent or guardian signs"), max_length=600, widget=area(3))

    def first(self, stored_words: dict[str, Any] | None) -> dict[str, Any]:
        return asdict(agreement_words(stored_words))


class SubstituteWordsForm(WordsForm):
    runs = forms.TypedChoiceField(
        label=_lazy("With a substitute teacher"),
        choices=[
            ("no", _lazy("No machine runs")),
            ("yes", _lazy("The machines on the sheet may run: the school allows it")),
        ],
        coerce=lambda answer: answer == "yes",
        widget=forms.RadioSelect,
    )
    call = TextLinesField(
        label=_lazy("Who to call"),
        help_text=_lazy("One a line with its number, such as “Office: 204”. The first sheet waits for a number."),
        rows=4,
    )
    notes = TextLinesField(
        label=_lazy("What else to know"),
        help_text=_lazy("One a line, such as where the first-aid box is. Name no student: the sheet has them already."),
        rows=4,
        required=False,
    )

    work = TextLinesField(
        label=_lazy("Today's work"),
        help_text=_lazy(
            "One a line. Begin a line with its class, such as “9 Teak: box lids, drill the hinge "
            "holes”. It stays until you change it."
        ),
        rows=4,
        required=False,
    )

    def first(self, stored_words: dict[str, Any] | None) -> dict[str, Any]:
        words = asdict(substitute_words(stored_words))
        return words | {"runs": "yes" if words["runs"] else "no"}

    def clean_call(self) -> list[str]:
        call: list[str] = self.cleaned_data["call"]
        if not SubstituteWords(call=tuple(call)).has_number:
            raise forms.ValidationError(_("Add a phone number, such as “Office: 204”."))
        return call


@dataclass(frozen=True)
class SheetText:
    """A sheet with words of the shop's own."""

    name: str | Promise
    offer: str  # its place in the Print page
    about: str | Promise
    form: type[WordsForm]


WORDED = {
    "agreement": SheetText(
        _lazy("Safety agreement"),
        "safety-agreement",
        _lazy(
            "These are the standard words until you change them. They are common practice and no legal "
            "advice: ask your school administration to review them before the sheet goes home."
        ),
        AgreementWordsForm,
    ),
    "substitute": SheetText(
        _lazy("Substitute sheet"),
        "substitute-sheet",
        _lazy("No machine runs under a substitute unless your school says so. Ask before you change that here."),
        SubstituteWordsForm,
    ),
}
