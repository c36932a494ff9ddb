"""Form fields for banks: texts with sentences of their own, one text a line, corners, steps, bare numbers."""

import re
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from quizzes.banks.rules.data import MOST_OPTIONS
from quizzes.banks.rules.fields import LONGEST
from quizzes.facts import Place
from quizzes.questions.lengths import Unreadable, read_amount
from shopsafe.language.messages import _, counted

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

CORNER = re.compile(r"(\d{1,5}(?:\.\d{1,20})?)\s*,\s*(\d{1,5}(?:\.\d{1,20})?)")
SAMPLE = "10,10 40,10 40,30"


def one_line(
    label: "StrOrPromise", empty: "StrOrPromise" = "", *, longest: int = LONGEST, **more: Any
) -> forms.CharField:
    """A short text. `empty` says what to write; without it the field may stay empty."""
    return forms.CharField(
        label=label,
        required=bool(empty),
        max_length=longest,
        error_messages=field_messages(label, empty, longest),
        **more,
    )


def paragraph(label: "StrOrPromise", empty: "StrOrPromise" = "", rows: int = 2, **more: Any) -> forms.CharField:
    return one_line(label, empty, widget=forms.Textarea(attrs={"rows": rows}), **more)


def field_messages(label: "StrOrPromise", empty: "StrOrPromise", longest: int) -> "dict[str, StrOrPromise]":
    return {
        "required": format_lazy(gettext_lazy("{label}: this is empty. {empty}"), label=label, empty=empty),
        "max_length": format_lazy(
            gettext_lazy("{label}: longer than {number} characters. Make it shorter."), label=label, number=longest
        ),
        "null_characters_not_allowed": format_lazy(
            gettext_lazy("{label}: it holds a character that can't be printed. Take it out."), label=label
        ),
    }


class LinesInput(forms.Textarea):
    """At least as tall as its lines, so that the last one is not cut off."""

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        lines = min(str(value or "").count("\n") + 1, MOST_OPTIONS)
        return super().get_context(name, value, (attrs or {}) | {"rows": max(int(self.attrs["rows"]), lines)})


class LinesField(forms.CharField):
    """One text a line, at least `least` of them."""

    def __init__(
        self, label: "StrOrPromise", least: int = 0, rows: int = 4, most: int = MOST_OPTIONS, **more: Any
    ) -> None:
        super().__init__(label=label, required=False, widget=LinesInput(attrs={"rows": rows}), **more)
        self.least, self.most = least, most

    def to_python(self, value: Any) -> tuple[str, ...]:  # type: ignore[override]
        lines = (" ".join(line.split()) for line in str(value or "").replace("\x00", "").splitlines())
        return tuple(line for line in lines if line)

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(one_lined(text) for text in value) if isinstance(value, tuple | list) else value

    def validate(self, value: tuple[str, ...]) -> None:
        if len(value) < self.least:
            raise forms.ValidationError(
                counted(
                    "{label}: write at least a line.",
                    "{label}: write at least {count} lines.",
                    count=self.least,
                    label=self.label,
                )
            )
        if len(value) > self.most:
            raise forms.ValidationError(
                _("{label}: {number} lines at most. Make it two questions.", label=self.label, number=self.most)
            )
        for number, line in enumerate(value, 1):
            if len(line) > LONGEST:
                raise forms.ValidationError(
                    _(
                        "{label}: line {line} is longer than {number} characters.",
                        label=self.label,
                        line=number,
                        number=LONGEST,
                    )
                )

    def run_validators(self, value: Any) -> None:
        """Each line was looked at above."""


class SizesField(LinesField):
    """The rows of a small table, one a line: "up to 1 in | 24000"."""

    def to_python(self, value: Any) -> tuple[tuple[str, str], ...]:  # type: ignore[override]
        rows = [line.rpartition("|") for line in super().to_python(value)]
        return tuple((size.strip(), amount.strip()) for size, _bar, amount in rows)

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(" | ".join(row) for row in value) if isinstance(value, tuple | list) else value

    def validate(self, value: Any) -> None:
        super().validate(tuple(" | ".join(row) for row in value))
        if len(value) == 1:
            raise forms.ValidationError(
                _("{label}: write at least 2 lines, or the one number above.", label=self.label)
            )
        for number, (size, amount) in enumerate(value, 1):
            if not size:
                raise forms.ValidationError(
                    _("{label}: line {line} needs a size, then | and its number.", label=self.label, line=number)
                )
            try:
                read_amount(amount)
            except Unreadable as error:
                raise forms.ValidationError(
                    _("{label}: line {line}: {sentence}", label=self.label, line=number, sentence=error.sentence)
                ) from error
        if len({size for size, _amount in value}) < len(value):
            raise forms.ValidationError(
                _("{label}: a size is written twice. Give each line its own.", label=self.label)
            )


def one_lined(text: str) -> str:
    return " ".join(text.split())


class StepsField(forms.CharField):
    """Groups of steps that may change places: "2 3; 5 6" → ((2, 3), (5, 6))."""

    def to_python(self, value: Any) -> tuple[tuple[int, ...], ...]:  # type: ignore[override]
        groups = [re.split(r"[\s,]+", group.strip()) for group in str(value or "").split(";") if group.strip()]
        if not all(number.isdecimal() and len(number) < 4 for group in groups for number in group):
            raise forms.ValidationError(
                _("{label}: write the numbers of the steps, such as 2 3 or 2 3; 5 6.", label=self.label)
            )
        if any(len(group) < 2 for group in groups):
            raise forms.ValidationError(_("{label}: a group needs two steps or more, such as 2 3.", label=self.label))
        return tuple(tuple(sorted(int(number) for number in group)) for group in groups)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, tuple):
            return "; ".join(" ".join(str(number) for number in group) for group in value)
        return value

    def run_validators(self, value: Any) -> None:
        """The numbers were looked at above; whether there are such steps, the form knows."""


class NumbersField(forms.CharField):
    """Small whole numbers, each once: "1 2" → (1, 2)."""

    def to_python(self, value: Any) -> tuple[int, ...]:  # type: ignore[override]
        numbers = [number for number in re.split(r"[\s,;]+", str(value or "").strip()) if number]
        if not all(number.isdecimal() and len(number) < 3 for number in numbers):
            raise forms.ValidationError(_("{label}: write numbers, such as 2 or 1 2.", label=self.label))
        return tuple(sorted({int(number) for number in numbers}))

    def prepare_value(self, value: Any) -> Any:
        return " ".join(str(number) for number in value) if isinstance(value, tuple) else value

    def run_validators(self, value: Any) -> None:
        """The numbers were looked at above."""


class AmountField(forms.CharField):
    """A bare number as a bank keeps it: 1/8, 9 3/4, 0.5."""

    def clean(self, value: Any) -> str:
        text: str = super().clean(value)
        try:
            if text:
                read_amount(text)
        except Unreadable as error:
            raise forms.ValidationError(f"{self.label}: {error.sentence}") from error
        return text


def corners(text: str) -> tuple[tuple[float, float], ...] | None:
    """ "10,10 40,10 40,30" → its corners; None where something else stands between them."""
    if re.sub(r"[\s;]+", "", CORNER.sub("", text)):
        return None
    return tuple((_number(x), _number(y)) for x, y in CORNER.findall(text))


def _number(text: str) -> float:
    number = float(text)
    return int(number) if number.is_integer() else number


def corners_text(place: Place) -> str:
    return " ".join(f"{x},{y}" for x, y in place.points)
