"""The forms of setting up machines: how many of each kind, which number each gets, a kind described by a teacher."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from machines.models import Machine, MachineKind
from machines.setting_up.acts.kinds import HELPER, MOST_HELPERS, ROLE_MAX, HelperNeed
from machines.setting_up.rules.starter_shops import LAST_NUMBER, MOST_OF_A_KIND, NewRow, StarterShop
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.paper.rules.sheets import PROTECT
from shopsafe.school.pages.form_parts import area
from shopsafe.school.pages.name_field import NameField

MOST = 200  # machines added at once


class CountsForm(forms.Form):
    """How many of each kind of machine."""

    def __init__(
        self,
        *args: Any,
        kinds: Sequence[MachineKind],
        starter: StarterShop | None = None,
        typed: Sequence[NewRow] = (),
        **more: Any,
    ):
        """The counts to begin with are those of the rows `typed` before, else those of the starter shop."""
        super().__init__(*args, **more)
        before = Counter(row.kind for row in typed)
        self.kinds = {f"count-{kind.pk}": kind for kind in kinds}
        for name, kind in self.kinds.items():
            first = before[kind.pk] if typed else starter.machines.get(kind.code, 0) if starter else 0
            self.fields[name] = forms.IntegerField(
                label=kind.name, min_value=0, max_value=MOST_OF_A_KIND, required=False, initial=first
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors and not any(cleaned.values()):
            raise forms.ValidationError(_("Say how many machines of which kind."))
        return cleaned

    def wanted(self) -> list[MachineKind]:
        """A kind for each machine to be, kinds in their order."""
        return [kind for name, kind in self.kinds.items() for _ in range(self.cleaned_data[name] or 0)]


class ClassMachinesForm(forms.Form):
    """The machine types that a class uses, each with the numbers of its machines in the shop."""

    kinds: "forms.ModelMultipleChoiceField[MachineKind]" = forms.ModelMultipleChoiceField(
        None,
        label=_lazy("Machines that this class uses"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _lazy("Choose at least one machine type.")},
    )

    def __init__(
        self, *args: Any, kinds: Sequence[tuple[MachineKind, str]], chosen: Sequence[int], **more: Any
    ) -> None:
        super().__init__(*args, **more)
        field: Any = self.fields["kinds"]
        field.initial = list(chosen)
        field.queryset = MachineKind.objects.filter(pk__in=[kind.pk for kind, _ in kinds])
        field.choices = [(kind.pk, label) for kind, label in kinds]


class NumberForm(forms.Form):
    """One machine: the number painted on it, and its own name if it has one."""

    number = forms.IntegerField(
        label=_lazy("Number"),
        min_value=1,
        max_value=LAST_NUMBER,
        error_messages={
            "required": _lazy("Give the machine its number."),
            "invalid": _lazy("Give the number in digits."),
        },
    )
    name = NameField(label=_lazy("Own name"), max_length=80, required=False)


class NewMachineForm(NumberForm):
    kind: "forms.ModelChoiceField[MachineKind]" = forms.ModelChoiceField(None, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kinds: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["kind"].queryset = kinds  # type: ignore[attr-defined]
        self.fields["number"].widget.attrs["autocomplete"] = "off"


NewMachines = forms.formset_factory(NewMachineForm, extra=0, max_num=MOST, absolute_max=MOST, validate_max=True)


def change_form(machine: Machine, sent: Any = None) -> NumberForm:
    return NumberForm(sent, initial={"number": machine.number, "name": machine.name})


class PointsField(forms.CharField):
    """One point a line; empty lines are nothing."""

    def __init__(self, **more: Any) -> None:
        super().__init__(widget=area(7), max_length=2000, **more)

    def clean(self, value: Any) -> list[str]:
        return [line.strip()[:200] for line in super().clean(value).splitlines() if line.strip()]


class KindWordsForm(forms.Form):
    name = NameField(label=_lazy("Name"), help_text=_lazy("Such as “Box joint jig”."), max_length=80)
    stop = forms.CharField(
        label=_lazy("How to stop it"), help_text=_lazy("One sentence. It is printed on the wall card."), max_length=300
    )
    demonstration = PointsField(
        label=_lazy("What a student shows you"),
        help_text=_lazy("One point a line, such as “Sets the guard just above the wood”."),
    )
    pre_use = PointsField(label=_lazy("Checked before each use"), help_text=_lazy("One a line."), required=False)
    stop_and_ask = PointsField(label=_lazy("Stop and ask if"), help_text=_lazy("One a line."), required=False)
    tag_out = PointsField(
        label=_lazy("What to tag it out for right away"), help_text=_lazy("One a line."), required=False
    )
    protect = forms.MultipleChoiceField(
        label=_lazy("What to wear"),
        choices=[(code, _lazy(words)) for code, words in PROTECT.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    helpers = forms.IntegerField(
        label=_lazy("Helpers that a run needs"),
        help_text=_lazy("0 for most machines; 1 for an outfeed helper or a spotter."),
        min_value=0, max_value=MOST_HELPERS, initial=0, required=False,
    )  # fmt: skip
    helper_role = forms.CharField(label=_lazy("What the helper is called"), max_length=ROLE_MAX, required=False)
    helper_cleared = forms.BooleanField(
        label=_lazy("The helper must be cleared on the machine too"), initial=True, required=False
    )

    def asked(self) -> dict[str, Any]:
        """What the act wants, from a form that is valid."""
        cleaned = dict(self.cleaned_data)
        helpers, role, is_cleared = (cleaned.pop(name) for name in HELPER)
        cleaned["helper"] = HelperNeed(helpers or 0, role, is_cleared)
        lists = {name: cleaned.pop(name) for name in ("protect", "pre_use", "demonstration", "tag_out", "stop_and_ask")}
        return cleaned | {"lists": lists}


class KindForm(KindWordsForm):
    bank: "forms.ModelChoiceField[Bank]" = forms.ModelChoiceField(
        None,
        label=_lazy("Bank with its rules"),
        empty_label=None,
        error_messages={"required": _lazy("Choose the bank.")},
    )
    field_order = ("bank",)

    def __init__(self, *args: Any, banks: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["bank"].queryset = banks  # type: ignore[attr-defined]


def kind_words(kind: MachineKind, sent: Any = None) -> KindWordsForm:
    """A kind as it is, each list a line a point."""
    lists = {name: "\n".join(getattr(kind, name)) for name in ("pre_use", "demonstration", "tag_out", "stop_and_ask")}
    own = {name: getattr(kind, name) for name in ("name", "stop", "protect", *HELPER)}
    return KindWordsForm(sent, initial=lists | own)
