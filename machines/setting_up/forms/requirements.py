"""The form of what a kind of machine, or one machine, asks for. What it says is asked again by the act."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from machines.clearance.amounts import AmountKind
from machines.clearance.loading import PrerequisiteRow, RequirementTerms
from machines.models import Machine, MachineKind, Requirements
from quizzes.models import Bank
from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import local_day, start_of_day
from shopsafe.school.people.rules.documents import AGREEMENT, DOCUMENTS

MOST = 1500  # of any amount


def _ticks(label: str, help_text: str = "") -> forms.TypedMultipleChoiceField:
    return forms.TypedMultipleChoiceField(
        label=_lazy(label),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_lazy(help_text),
    )


def _number(amount: AmountKind) -> forms.IntegerField:
    return forms.IntegerField(
        label=_(amount.label),
        required=False,
        min_value=1,
        max_value=MOST,
        help_text=_(amount.hint) if amount.hint else "",
        error_messages={"min_value": _("Give a number from 1 up, or leave it empty.")},
    )


class RequirementsForm(forms.Form):
    """For a kind; for one machine with `single`, which may also ask for what its kind asks for. `amounts` are those
    that are offered."""

    as_kind = forms.TypedChoiceField(
        label=_lazy("What does this machine ask for?"),
        coerce=lambda answer: answer == "kind",
        choices=[("kind", _lazy("What its kind asks for")), ("own", _lazy("The requirements checked here"))],
        widget=forms.RadioSelect,
        error_messages={"required": _lazy("Choose one of the two.")},
    )
    banks = _ticks(marked("Quizzes, with every answer right"))
    kinds = _ticks(marked("Cleared first on a kind of machine"))
    machines = _ticks(marked("Cleared first on one certain machine"))
    documents = forms.MultipleChoiceField(
        label=_lazy("Documents"),
        choices=lambda: [(kind.code, kind.asks) for kind in DOCUMENTS.values()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    demonstration = forms.ChoiceField(
        label=_lazy("The student shows safe use"), choices=Requirements.Demonstration.choices, widget=forms.RadioSelect
    )
    ends_with = forms.ChoiceField(
        label=_lazy("A clearance ends"), choices=Requirements.Ends.choices, widget=forms.RadioSelect
    )
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(
        self, *args: Any, banks: Sequence[Bank], kinds: Sequence[MachineKind], machines: Sequence[Machine],
        single: bool, amounts: Sequence[AmountKind], **more: Any
    ) -> None:  # fmt: skip
        super().__init__(*args, **more)
        self.offered: dict[str, list[Any]] = {"banks": list(banks), "kinds": list(kinds), "machines": list(machines)}
        for name, things in self.offered.items():
            self.fields[name].choices = [(thing.pk, str(thing)) for thing in things]  # type: ignore[attr-defined]
        if not single:
            del self.fields["as_kind"]
        self.amounts = [amount.column for amount in amounts]
        self.fields |= {amount.column: _number(amount) for amount in amounts}

    def amount_fields(self) -> list[forms.BoundField]:
        return [self[column] for column in self.amounts]

    def asked(self) -> list[Any]:
        """The banks, kinds and machines that are checked, in the order in which they are listed."""
        return [
            thing for name, things in self.offered.items() for thing in things if thing.pk in self.cleaned_data[name]
        ]

    def row(self, kind: MachineKind, machine: Machine | None, at: datetime | None) -> Requirements:
        """An unsaved row that would hold from `at`, or from the moment at which it is set."""
        cleaned = self.cleaned_data
        fields = {name: cleaned[name] for name in ("demonstration", "ends_with", *self.amounts)}
        documents = [code for code in DOCUMENTS if code in cleaned["documents"]]
        fields["agreement"] = AGREEMENT.code in documents
        fields["documents"] = " ".join(code for code in documents if code != AGREEMENT.code)
        row = Requirements(kind=kind, machine=machine, as_kind=cleaned.get("as_kind", False), **fields)
        if at is not None:
            row.holds_from = at
        return row


class FromDayForm(forms.Form):
    from_day = forms.DateField(
        label=_lazy("From which school day?"),
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={
            "required": _lazy("Enter the first day of these requirements."),
            "invalid": _lazy("Give the day as 2026-11-03."),
        },
    )

    def moment(self, at: datetime, zone: str) -> datetime | None:
        """The start of that day at the school; None for the moment at which it is set, if that is today."""
        day: date = self.cleaned_data["from_day"]
        return None if day == local_day(at, zone) else start_of_day(day, zone)


def start(terms: RequirementTerms, things: Sequence[PrerequisiteRow], seen: int, *, own: bool) -> dict[str, Any]:
    """What the form shows first: what is asked now."""
    return {
        "as_kind": "own" if own else "kind",
        "banks": [thing.bank_id for thing in things if thing.bank_id],
        "kinds": [thing.kind_id for thing in things if thing.kind_id],
        "machines": [thing.machine_id for thing in things if thing.machine_id],
        "documents": [kind.code for kind in terms.document_kinds],
        "demonstration": terms.demonstration,
        "ends_with": terms.ends_with,
        "seen": seen,
    } | {amount.kind.column: amount.number for amount in terms.amounts}
