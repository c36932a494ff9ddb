"""The forms of the shop in use: the pre-use check, the closing list, the settings of the floor, a grant."""

from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _lazy

from machines.floor.acts.settings import FloorWishes
from machines.floor.checks import check_lines
from machines.floor.facts import ClosingAnswer, ClosingLine
from machines.models import FloorSettings, MachineKind
from shopsafe.language.messages import _
from shopsafe.school.models import Person
from shopsafe.school.pages.form_parts import DayInput, TapForm

CHANGED = "a list that was changed since"


def digest_of(lines: Sequence[str]) -> str:
    """Says which lines a page showed, so that a list that was changed since is not answered unread."""
    return sha256("\n".join(lines).encode()).hexdigest()


class CheckForm(TapForm):
    """Two lists, each confirmed as a whole. `lines` is what the page showed: after a change it is refused."""

    me = forms.BooleanField(error_messages={"required": _lazy("Check yourself first, then confirm the list.")})
    it = forms.BooleanField(required=False)
    lines = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kind: MachineKind, **more: Any) -> None:
        super().__init__(*args, **more)
        self.lines_now = check_lines(kind)
        self.initial["lines"] = digest_of(self.lines_now)
        if kind.pre_use:
            self.fields["it"].required = True
            self.fields["it"].error_messages["required"] = _("Check the machine, then confirm the list.")

    @property
    def checked(self) -> list[str]:
        """The lines that the page showed, all confirmed. None of them where the list was changed since."""
        return self.lines_now if self.cleaned_data["lines"] == digest_of(self.lines_now) else [CHANGED]


class ClosingForm(TapForm):
    """Each line done or not done, by whom it was checked, and what is left to do. Nothing is preselected."""

    shown = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, lines: Sequence[ClosingLine], people: Sequence[tuple[str, str]], **more: Any
    ) -> None:
        super().__init__(*args, **more)
        self.lines, self.initial["shown"] = lines, digest_of([line.text for line in lines])
        for line in lines:
            messages = {"required": _("Say whether “{line}” is done.", line=line.text)}
            answers = [("yes", _("Done")), ("no", _("Not done"))]
            self.fields[f"done-{line.key}"] = forms.ChoiceField(
                choices=answers, widget=forms.RadioSelect, error_messages=messages, label=line.text
            )
            self.fields[f"by-{line.key}"] = forms.ChoiceField(
                choices=[("", _("Choose")), *people], label=_("Checked by"),
                widget=forms.Select(attrs={"class": "box low"}),
                error_messages={"required": _("Choose who checked “{line}”.", line=line.text)},
            )  # fmt: skip
            self.fields[f"note-{line.key}"] = forms.CharField(
                required=False, max_length=300, label=_("What is left, and what happens now"),
                widget=forms.Textarea(attrs={"rows": 1, "class": "box"}),
            )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for line in self.lines:
            if cleaned.get(f"done-{line.key}") == "no" and not cleaned.get(f"note-{line.key}", "").strip():
                self.add_error(f"note-{line.key}", ValidationError(_("Say what is left to do, and what happens now.")))
        return cleaned

    @property
    def rows(self) -> list[dict[str, Any]]:
        """For the template: each line with its three fields."""
        return [
            {"line": line} | {part: self[f"{part}-{line.key}"] for part in ("done", "by", "note")}
            for line in self.lines
        ]

    @property
    def answers(self) -> list[ClosingAnswer]:
        given = self.cleaned_data
        return [
            ClosingAnswer(
                line.key,
                done=given[f"done-{line.key}"] == "yes",
                seen_by=given[f"by-{line.key}"],
                place=line.key,
                note=given[f"note-{line.key}"],
            )
            for line in self.lines
        ]

    @property
    def shown_lines(self) -> list[str]:
        texts = [line.text for line in self.lines]
        return texts if self.cleaned_data["shown"] == digest_of(texts) else [CHANGED]


class FloorForm(TapForm):
    """How a shop keeps its floor."""

    keeps_runs = forms.BooleanField(required=False, label=_lazy("Keep runs: who is at which machine, and for how long"))
    presence_minutes = forms.IntegerField(
        label=_lazy("A teacher presses “I’m here” every … minutes"), min_value=2, max_value=60,
        error_messages={"required": _lazy("Enter a number of minutes from 2 to 60.")},
    )  # fmt: skip
    lines = forms.CharField(
        label=_lazy("The closing list, one line each"), widget=forms.Textarea(attrs={"rows": 8, "class": "box"}),
        error_messages={"required": _lazy("Write at least one line.")},
    )  # fmt: skip
    wall_before = forms.CharField(label=_lazy("What is along the first tiles"), max_length=40, required=False)
    wall_after = forms.CharField(label=_lazy("What is along the last tiles"), max_length=40, required=False)

    def __init__(self, *args: Any, settings: FloorSettings, lines: Sequence[ClosingLine], **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("keeps_runs", "presence_minutes", "wall_before", "wall_after"):
            self.initial[name] = getattr(settings, name)
        self.initial["lines"] = "\n".join(line.text for line in lines)

    @property
    def wishes(self) -> FloorWishes:
        given = self.cleaned_data
        return FloorWishes(
            keeps_runs=given["keeps_runs"],
            presence_minutes=given["presence_minutes"],
            lines=tuple(given["lines"].splitlines()),
            wall_before=given["wall_before"],
            wall_after=given["wall_after"],
        )


class SupervisingForm(TapForm):
    """A substitute and a day."""

    day = forms.DateField(label=_lazy("Day"), widget=DayInput, error_messages={"required": _lazy("Choose the day.")})

    def __init__(self, *args: Any, substitutes: Sequence[Person], **more: Any) -> None:
        super().__init__(*args, **more)
        choices = [("", _("Choose")), *((str(person.pk), person.name) for person in substitutes)]
        missing = {"required": _("Choose a substitute.")}
        self.fields["substitute"] = forms.ChoiceField(label=_("Substitute"), choices=choices, error_messages=missing)
        self.order_fields(["substitute", "day"])
