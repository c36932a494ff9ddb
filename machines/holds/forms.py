"""The forms of placing and lifting a hold. The act checks again what they say."""

from collections.abc import Callable, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from machines.models import Hold, Machine
from quizzes.facts import BankText
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import TapForm, area


class HoldForm(TapForm):
    where = forms.ChoiceField(
        label=_lazy("Which machines?"),
        choices=[("all", _lazy("Every machine: out of the shop")), ("some", _lazy("Only those checked below"))],
        widget=forms.RadioSelect,
        error_messages={"required": _lazy("Choose the machines, or all of them.")},
    )
    machines = forms.TypedMultipleChoiceField(
        label=_lazy("Machines"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    reason = forms.ChoiceField(
        label=_lazy("Why?"),
        choices=Hold.Reason.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _lazy("Choose a reason.")},
    )
    words = forms.CharField(label=_lazy("What happened"), max_length=300, required=False, widget=area())
    lifts = forms.ChoiceField(
        label=_lazy("What lifts it?"),
        choices=Hold.Lifts.choices,
        widget=forms.RadioSelect,
        error_messages={"required": _lazy("Choose what lifts the hold.")},
    )
    bank = forms.TypedChoiceField(
        label=_lazy("Which quiz?"),
        coerce=int,
        empty_value=None,
        required=False,
        help_text=_lazy("Only for rules to be learned again, or a new quiz."),
    )
    rules = forms.MultipleChoiceField(
        label=_lazy("Which rules are to be learned again?"), required=False, widget=forms.CheckboxSelectMultiple
    )
    last_day = forms.DateField(
        label=_lazy("Last day of the hold"),
        required=False,
        help_text=_lazy("Only for a hold that ends after a day."),
        widget=forms.DateInput(attrs={"type": "date"}),
    )

    def __init__(
        self, *args: Any, machines: Sequence[Machine], banks: Sequence[Bank],
        rules_of: Callable[[Bank], BankText | None], **more: Any
    ) -> None:  # fmt: skip
        """`rules_of` gives the text whose rules are offered once a quiz is chosen."""
        super().__init__(*args, **more)
        self.offered = {machine.pk: machine for machine in machines}
        self.banks = {str(bank.pk): bank for bank in banks}
        self._offer("machines", [(machine.pk, str(machine)) for machine in machines])
        self._offer("bank", [("", _("No quiz")), *((pk, bank.subject) for pk, bank in self.banks.items())])
        chosen = self.banks.get(str(self["bank"].value() or ""))
        text = rules_of(chosen) if chosen and self.is_bound else None
        self._offer("rules", [(rule.code, rule.says) for rule in text.live_rules] if text else [])

    def _offer(self, name: str, choices: Sequence[tuple[Any, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    @property
    def shows_rules(self) -> bool:
        """The rules are there once a quiz is chosen whose rules are to be learned again."""
        return bool(self.is_bound and self["lifts"].value() == Hold.Lifts.RULES and self["bank"].value())

    def asked(self) -> dict[str, Any]:
        """What the act wants, from a form that is valid."""
        cleaned = dict(self.cleaned_data)
        ticked = [self.offered[pk] for pk in cleaned.pop("machines")]
        cleaned["bank"] = self.banks.get(str(cleaned["bank"]))
        return cleaned | {"machines": None if cleaned.pop("where") == "all" else ticked}


class LiftForm(forms.Form):
    words = forms.CharField(
        label=_lazy("What was done about it?"),
        max_length=300,
        widget=area(),
        error_messages={"required": _lazy("Say what was done about it.")},
    )


class LiftUndoneForm(LiftForm):
    """For a hold whose rules are not learned, or whose quiz is not passed again."""

    anyway = forms.BooleanField(label=_lazy("Lift the hold anyway"), required=False)
