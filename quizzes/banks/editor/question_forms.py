"""What a teacher fills in for a question: one form a kind, each giving the question back."""

from functools import partial
from string import ascii_uppercase
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from quizzes.banks.editor.form_fields import (
    SAMPLE,
    AmountField,
    LinesField,
    NumbersField,
    StepsField,
    corners,
    corners_text,
    one_line,
    paragraph,
)
from quizzes.banks.editor.forms import DraftEdit, ItemForm, PictureChoice, upload
from quizzes.banks.rules import editing
from quizzes.banks.rules.data import MOST_OPTIONS
from quizzes.facts import (
    AllThatApply,
    BankPicture,
    BankText,
    Measure,
    OneAnswer,
    Order,
    Pair,
    Place,
    Question,
    Spot,
    sentences,
)
from shopsafe.language.messages import _

MORE = 2  # empty rows for more


class QuestionForm(ItemForm):
    """What every kind has. `item` is a question, or None for a new one."""

    page = "edit_question"
    noun, names = "question", "asks"
    kind: type[Question]

    rule = forms.ChoiceField(label=gettext_lazy("Rule it tests"))
    asks = paragraph(gettext_lazy("Question"), gettext_lazy("Write what is asked."))
    decided_by = NumbersField(
        label=gettext_lazy("Sentences of the rule that decide it"),
        required=False,
        help_text=gettext_lazy(
            "Their numbers, such as 2 or 1 2; 0 is its reason. A study card marks them after a miss."
        ),
    )

    def __init__(self, *args: Any, rule: str = "", **more: Any) -> None:
        super().__init__(*args, **more)
        rules = self.draft.bank.rules
        self.fields["rule"].choices = [(row.code, row.says) for row in rules if not row.retired or row.code == rule]  # type: ignore[attr-defined]
        self.initial.setdefault("rule", rule)

    @property
    def kind_name(self) -> str:
        """For templates, which would call the class."""
        return self.kind.kind

    def current(self, bank: BankText) -> Any:
        return bank.question_by_code.get(self.item.code) if self.item is not None else None

    def clean_decided_by(self) -> tuple[int, ...]:
        numbers: tuple[int, ...] = self.cleaned_data["decided_by"]
        rule = self.draft.bank.rule_by_code.get(self.cleaned_data.get("rule", ""))
        if rule and numbers and max(numbers) > len(sentences(rule.says)):
            most = len(sentences(rule.says))
            raise forms.ValidationError(
                _("Sentences of the rule that decide it: the rule has {most}, or 0 for its reason.", most=most)
            )
        return numbers

    def parts(self) -> dict[str, Any]:
        """The fields that this kind has of its own, as the question keeps them."""
        return {name: self.cleaned_data[name] for name in self.base_fields if name in self.kind.__dataclass_fields__}

    @property
    def question(self) -> Question:
        retired = bool(self.item and self.item.retired)
        return self.kind(code=self.code, retired=retired, **self.parts())

    @property
    def change(self) -> DraftEdit:
        return partial(editing.put_question, question=self.question)


class OneForm(QuestionForm):
    kind = OneAnswer

    right = one_line(gettext_lazy("Right answer"), gettext_lazy("Write it."))
    wrong = LinesField(
        gettext_lazy("Wrong answers"),
        least=1,
        most=MOST_OPTIONS - 1,
        help_text=gettext_lazy("One a line. Two or three are best."),
    )


class SeveralForm(QuestionForm):
    kind = AllThatApply

    right = LinesField(gettext_lazy("Right answers"), least=1, help_text=gettext_lazy("One a line."))
    wrong = LinesField(gettext_lazy("Wrong answers"), help_text=gettext_lazy("One a line."))

    def clean(self) -> None:
        if len(self.cleaned_data.get("right", ())) + len(self.cleaned_data.get("wrong", ())) > MOST_OPTIONS:
            self.add_error(
                "wrong",
                _("Wrong answers: {number} answers in all at most. Make it two questions.", number=MOST_OPTIONS),
            )


class OrderForm(QuestionForm):
    kind = Order

    steps = LinesField(
        gettext_lazy("Steps, in the right order"), least=2, rows=6, help_text=gettext_lazy("One a line.")
    )
    may_swap = StepsField(
        label=gettext_lazy("Steps that may change places"),
        required=False,
        help_text=gettext_lazy("Their numbers, such as 2 3. A second group after a semicolon: 2 3; 5 6."),
    )

    def clean(self) -> None:
        steps, groups = self.cleaned_data.get("steps"), self.cleaned_data.get("may_swap") or ()
        numbers = [number for group in groups for number in group]
        if steps and not all(1 <= number <= len(steps) for number in numbers):
            self.add_error("may_swap", _("Steps that may change places: the steps are 1 to {count}.", count=len(steps)))
        elif len(set(numbers)) < len(numbers):
            self.add_error("may_swap", _("Steps that may change places: name each step once, in one group."))


class MeasureForm(QuestionForm):
    kind = Measure

    value = forms.ChoiceField(
        label=gettext_lazy("Number to know"),
        error_messages={
            "required": gettext_lazy("Number to know: choose one. Add it to the bank first if it is not there.")
        },
        help_text=gettext_lazy("The key is this value: the wall card prints the same."),
    )
    tolerance = AmountField(
        label=gettext_lazy("Give or take"),
        initial="0",
        max_length=40,
        help_text=gettext_lazy("In the unit of the value. 0 is exact."),
        error_messages={"required": gettext_lazy("Give or take: this is empty. Write 0 for exact.")},
    )
    row = forms.IntegerField(
        label=gettext_lazy("Row of the table"),
        required=False,
        min_value=1,
        help_text=gettext_lazy("Where the value has a number for each size: which row is right, from 1."),
        error_messages={"invalid": gettext_lazy("Row of the table: write its number, from 1.")},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        values = [(value.code, f"{value.says}: {value.reads}") for value in self.draft.bank.values]
        self.fields["value"].choices = values  # type: ignore[attr-defined]

    def clean(self) -> None:
        value, row = self.draft.bank.value_by_code.get(self.cleaned_data.get("value", "")), self.cleaned_data.get("row")
        if value and value.table and not (row and row <= len(value.table)):
            self.add_error("row", _("Row of the table: write a number from 1 to {count}.", count=len(value.table)))
        elif value and row and not value.table:
            self.add_error("row", _("Row of the table: this value is one number. Leave it empty."))

    def initial_of(self, item: Any) -> dict[str, Any]:
        return super().initial_of(item) | {"row": item.row or None}

    def parts(self) -> dict[str, Any]:
        return super().parts() | {"row": self.cleaned_data["row"] or 0}


class RowsForm(QuestionForm):
    """A form with rows of fields, a few more than are filled."""

    parts_of_row: tuple[str, ...] = ()
    least = 4

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        filled = len(self.rows_of(self.item)) if self.item else 0
        if self.is_bound:
            filled = max((n for n in range(1, MOST_OPTIONS + 1) if self._sent(n)), default=0)
        self.count = min(MOST_OPTIONS, max(self.least, filled + MORE))
        for number in range(1, self.count + 1):
            for part in self.parts_of_row:
                self.fields[f"{part}-{number}"] = one_line(f"{part} {number}", longest=2000)
        for number, row in enumerate(self.rows_of(self.item) if self.item else (), 1):
            for part, text in zip(self.parts_of_row, row, strict=True):
                self.initial[f"{part}-{number}"] = text

    def _sent(self, number: int) -> bool:
        return any(self.data.get(f"{part}-{number}", "").strip() for part in self.parts_of_row)

    def rows_of(self, item: Any) -> list[tuple[str, ...]]:
        raise NotImplementedError

    def own_rows(self) -> frozenset[str]:
        return frozenset(f"{part}-{number}" for part in self.parts_of_row for number in range(1, self.count + 1))

    @property
    def rows(self) -> list[dict[str, Any]]:
        """For the page: the letter and the number of each row, and its bound fields by name."""
        return [
            {"letter": ascii_uppercase[n - 1], "number": n, **{part: self[f"{part}-{n}"] for part in self.parts_of_row}}
            for n in range(1, self.count + 1)
        ]

    def filled(self) -> list[tuple[int, tuple[str, ...]]]:
        """(number, texts) of every row in which something stands."""
        rows = [
            (n, tuple(self.cleaned_data.get(f"{part}-{n}", "") for part in self.parts_of_row))
            for n in range(1, self.count + 1)
        ]
        return [(n, row) for n, row in rows if any(row)]


class PairForm(RowsForm):
    kind = Pair
    parts_of_row = ("left", "match")

    extra = LinesField(
        gettext_lazy("Left over on the right"), rows=3, help_text=gettext_lazy("One a line. They match nothing.")
    )

    def own_rows(self) -> frozenset[str]:
        return super().own_rows() | {"extra"}

    def rows_of(self, item: Pair) -> list[tuple[str, ...]]:
        return list(item.pairs)

    def clean(self) -> None:
        rows = self.filled()
        for number, (left, match) in rows:
            if not left or not match:
                side = "left" if not left else "match"
                self.add_error(
                    f"{side}-{number}", _("Pair {number}: write both sides, or leave both empty.", number=number)
                )
        if len(rows) < 2:
            self.add_error("left-1", _("Pairs: write at least 2."))
        if len(rows) + len(self.cleaned_data.get("extra", ())) > MOST_OPTIONS:
            self.add_error("extra", _("Left over on the right: {number} in all at most.", number=MOST_OPTIONS))

    def parts(self) -> dict[str, Any]:
        return super().parts() | {"pairs": tuple((left, match) for _number, (left, match) in self.filled())}


class SpotForm(RowsForm):
    kind = Spot
    parts_of_row = ("says", "points")

    picture = PictureChoice(gettext_lazy("Picture"), needed=True)
    upload = upload()
    picture_alt = paragraph(
        gettext_lazy("What the picture shows"),
        gettext_lazy("Say it for those who don't see it."),
        help_text=gettext_lazy("Place and shape, never the answer."),
    )
    right = forms.TypedChoiceField(
        label=gettext_lazy("Right place"),
        coerce=int,
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Right place: choose its letter.")},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["picture"].offer(self.draft)  # type: ignore[attr-defined]
        self.fields["right"].choices = [(n, ascii_uppercase[n - 1]) for n in range(1, self.count + 1)]  # type: ignore[attr-defined]

    def rows_of(self, item: Spot) -> list[tuple[str, ...]]:
        return [(place.says, corners_text(place)) for place in item.places]

    def own_rows(self) -> frozenset[str]:
        return super().own_rows() | {"right"}

    @property
    def plate(self) -> BankPicture | None:
        """The picture as it is chosen now, for the preview."""
        return self.draft.pictures.get(self["picture"].value() or "")

    @property
    def drawn(self) -> list[dict[str, Any]]:
        """Letter and corners of every place that can be drawn, also while others can't be read."""
        rows = [(row["letter"], corners(row["points"].value() or "")) for row in self.rows]
        return [
            {"letter": letter, "points": " ".join(f"{x:g},{y:g}" for x, y in points), "at": points[0]}
            for letter, points in rows
            if points
        ]

    def clean(self) -> None:
        rows = self.filled()
        if len(rows) < 2:
            self.add_error("says-1", _("Places: write at least 2."))
        for number, (says, text) in rows:
            self._look_at(number, says, text)
        right = self.cleaned_data.get("right")
        if right and right not in {number for number, _row in rows}:
            self.add_error(
                "right", _("Right place: there is no place {letter} yet.", letter=ascii_uppercase[right - 1])
            )

    def _look_at(self, number: int, says: str, text: str) -> None:
        place, points = _("Place {letter}", letter=ascii_uppercase[number - 1]), corners(text)
        if not says:
            self.add_error(f"says-{number}", _("{place}: say what is there.", place=place))
        if points is None or len(points) < 3:
            self.add_error(
                f"points-{number}",
                _("{place}: write at least 3 corners, such as {sample}.", place=place, sample=SAMPLE),
            )
        elif picture := self.draft.pictures.get(self.cleaned_data.get("picture", "")):
            stray = [(x, y) for x, y in points if x > picture.width or y > picture.height]
            if stray:
                size = _("{width} by {height}", width=picture.width, height=picture.height)
                error = _(
                    "{place}: the corner {x},{y} is outside the picture, which is {size}.",
                    place=place,
                    x=f"{stray[0][0]:g}",
                    y=f"{stray[0][1]:g}",
                    size=size,
                )
                self.add_error(f"points-{number}", error)

    def parts(self) -> dict[str, Any]:
        rows = self.filled()
        places = tuple(Place(says=says, points=corners(text) or ()) for _number, (says, text) in rows)
        right = [number for number, _row in rows].index(self.cleaned_data["right"]) + 1
        return super().parts() | {"places": places, "right": right}


FORMS: dict[str, type[QuestionForm]] = {
    form.kind.kind: form for form in (OneForm, SeveralForm, OrderForm, PairForm, SpotForm, MeasureForm)
}
