"""What a teacher fills in to change a draft: each form says what it changes, in words and as a change of the bank."""

from collections.abc import Callable
from dataclasses import asdict
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

from django import forms
from django.forms.utils import ErrorDict
from django.http import QueryDict
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from quizzes.banks.editor.form_fields import AmountField, LinesField, SizesField, one_line, paragraph
from quizzes.banks.rules import editing
from quizzes.banks.rules.fields import BLANK, MOST_ROWS
from quizzes.facts import AT_LEAST, AT_MOST, BankText, Blueprint, EditionText, Recall, Rule, Value
from quizzes.questions.lengths import SPOKEN
from shopsafe.language.messages import _, stored

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

DraftEdit = Callable[[BankText], BankText]
NO_PICTURE = [("", gettext_lazy("No picture"))]


class DraftForm(forms.Form):
    """Carries the revision of the draft that its teacher has seen."""

    revision = forms.IntegerField(
        widget=forms.HiddenInput,
        min_value=1,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value"), gettext_lazy("The form came back broken. Open it again.")
        ),
    )
    page = "edit"

    def __init__(self, data: Any = None, *, draft: EditionText, revision: int, item: Any = None, **more: Any) -> None:
        self.draft, self.item = draft, item
        initial = {"revision": revision} | (self.initial_of(item) if item is not None else {})
        super().__init__(data, initial=initial, **more)

    def initial_of(self, item: Any) -> dict[str, Any]:
        return {name: getattr(item, name) for name in self.base_fields if hasattr(item, name)}

    @property
    def change(self) -> DraftEdit:
        """What to do to the draft."""
        raise NotImplementedError

    @property
    def said(self) -> str:
        """What was done, for the colleague who had the same draft open."""
        raise NotImplementedError

    @property
    def anchor(self) -> str:
        """Where it is on the bank's page."""
        return ""

    def not_judged(self) -> None:
        """Shown as it was sent, half filled as it may be."""
        if not self._errors:  # but what was said of the picture stays
            self._errors: ErrorDict | None = ErrorDict()

    def seen(self, revision: int) -> None:
        """The teacher is being shown this revision: sent again, the form is meant for it."""
        sent = QueryDict(mutable=True)
        sent.update(self.data)
        sent["revision"] = str(revision)
        self.data = sent

    def current(self, bank: BankText) -> Any:
        """What the draft holds now of what this form changes; None where it is gone or new."""
        return bank

    def differences(self, draft: EditionText) -> list[tuple[str, str]]:
        """(label, text) of every field that stands otherwise in the draft now than in this form."""
        item = self.current(draft.bank)
        if item is None:
            return []
        theirs = type(self)(draft=draft, revision=0, item=item)
        field_texts = [
            (str(theirs[name].label), as_text(theirs[name].value()), self.typed(name))
            for name in theirs.fields
            if name not in ("revision", "upload")
        ]
        return [(label, text) for label, text, own in field_texts if text != own]

    def typed(self, name: str) -> str:
        return as_text(self[name].value()) if name in self.fields else ""

    def shown(self) -> list[forms.BoundField]:
        return [field for field in self.visible_fields() if field.name not in self.own_rows()]

    def own_rows(self) -> frozenset[str]:
        """Fields that the page sets out by itself."""
        return frozenset()


def as_text(value: Any) -> str:
    """A field's value as one text: ticked and not, a line end as one sign whatever the browser sent."""
    if isinstance(value, bool) or value is None:
        return _("yes") if value else ""
    return "\n".join(str(value).split("\r\n")).strip()


class ItemForm(DraftForm):
    """A rule, a question or a stored value. Its code is made once, from its words, and stays."""

    noun = ""
    names = ""  # the field by whose words it is known

    @cached_property
    def code(self) -> str:
        if self.item is not None:
            return str(self.item.code)
        return editing.fresh_code(self.taken(), self.cleaned_data[self.names], self.noun.replace(" ", "-"))

    def taken(self) -> list[str]:
        bank = self.draft.bank
        return [*bank.rule_by_code, *bank.question_by_code, *bank.value_by_code]

    def current(self, bank: BankText) -> Any:
        items = {**bank.value_by_code, **bank.question_by_code, **bank.rule_by_code}
        return items.get(self.item.code) if self.item is not None else None

    @property
    def said(self) -> str:
        verb = "added" if self.item is None else "changed"
        return stored(f"{verb} the {self.noun} “{self.cleaned_data[self.names]}”")

    @property
    def anchor(self) -> str:
        return self.code


class HeadForm(DraftForm):
    subject = one_line(gettext_lazy("Subject"), gettext_lazy("Name it, such as Band saw."), longest=120)
    about = paragraph(gettext_lazy("What it is about"), help_text=gettext_lazy("One or two sentences for the student."))
    after = paragraph(
        gettext_lazy("What a student does next, after a perfect attempt"),
        help_text=gettext_lazy("Empty: My machines says what comes next."),
    )

    @property
    def change(self) -> DraftEdit:
        words = {name: self.cleaned_data[name] for name in ("subject", "about", "after")}
        return partial(editing.put_head, **words)

    @property
    def said(self) -> str:
        return stored("changed the subject and what it is about")


def whole_number_field(label: "StrOrPromise", least: int, most: int, hint: "StrOrPromise") -> forms.IntegerField:
    """A whole number in its bounds."""
    range_message = format_lazy(gettext_lazy("{label}: from {least} to {most}."), label=label, least=least, most=most)
    messages = {
        "required": range_message,
        "invalid": range_message,
        "min_value": range_message,
        "max_value": range_message,
    }
    return forms.IntegerField(label=label, min_value=least, max_value=most, help_text=hint, error_messages=messages)


class BlueprintForm(DraftForm):
    ask = whole_number_field(
        gettext_lazy("Questions asked"), 1, 100, gettext_lazy("More questions leave less to luck.")
    )
    must = forms.MultipleChoiceField(
        label=gettext_lazy("Rules that every quiz asks"), required=False, widget=forms.CheckboxSelectMultiple
    )
    misses_a_day = whole_number_field(
        gettext_lazy("Misses on a day"), 1, 20, gettext_lazy("After so many, the teacher lets the student on.")
    )
    wait_minutes = whole_number_field(
        gettext_lazy("Minutes of waiting"), 0, 10_080, gettext_lazy("From the last card read to the next attempt.")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["must"].choices = [(rule.code, rule.says) for rule in self.draft.bank.live_rules]  # type: ignore[attr-defined]

    def initial_of(self, item: BankText) -> dict[str, Any]:
        return asdict(item.blueprint) | {"must": [rule.code for rule in item.live_rules if rule.must_ask]}

    def clean(self) -> None:
        ask, must = self.cleaned_data.get("ask"), self.cleaned_data.get("must", [])
        if ask and len(must) > ask:
            sentence = _("Questions asked: {count} rules are asked every time. Ask {count} or more.", count=len(must))
            self.add_error("ask", sentence)

    @property
    def blueprint(self) -> Blueprint:
        return Blueprint(**{name: self.cleaned_data[name] for name in ("ask", "wait_minutes", "misses_a_day")})

    @property
    def must_codes(self) -> list[str]:
        """Those ticked, and the retired ones as they were: they are asked again when they come back."""
        kept = [rule.code for rule in self.draft.bank.rules if rule.retired and rule.must_ask]
        return [*self.cleaned_data["must"], *kept]

    @property
    def change(self) -> DraftEdit:
        return partial(editing.put_blueprint, blueprint=self.blueprint, must=self.must_codes)


class AddForm(forms.Form):
    """A bank from nothing."""

    subject = one_line(gettext_lazy("Subject"), gettext_lazy("Name it, such as Band saw."), longest=120)
    about = paragraph(gettext_lazy("What it is about"), help_text=gettext_lazy("One or two sentences for the student."))


class PictureChoice(forms.ChoiceField):
    """One of the draft's pictures by its name."""

    def __init__(self, label: "StrOrPromise", *, needed: bool) -> None:
        super().__init__(
            label=label,
            required=needed,
            error_messages={
                "required": format_lazy(gettext_lazy("{label}: choose one, or send a new one."), label=label)
            },
        )

    def offer(self, draft: EditionText) -> None:
        self.choices = [*NO_PICTURE, *((name, name) for name in sorted(draft.pictures))]


def upload() -> forms.FileField:
    return forms.FileField(
        label=gettext_lazy("Or a new picture"),
        required=False,
        help_text=gettext_lazy("PNG, JPEG or WebP, 5 MB at most. Where and when it was taken is removed."),
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
        error_messages={"empty": gettext_lazy("Or a new picture: this file is empty. Choose another.")},
    )


class RuleForm(ItemForm):
    noun, names = "rule", "says"

    says = paragraph(
        gettext_lazy("Rule"),
        gettext_lazy("Write one do or don't."),
        help_text=gettext_lazy("One short sentence. 15 words fit a wall card."),
    )
    why = paragraph(gettext_lazy("Reason"), help_text=gettext_lazy("What happens to a hand, an eye or a lung."))
    source = one_line(
        gettext_lazy("Source"), help_text=gettext_lazy("The regulation and its section, or: common practice.")
    )
    must_ask = forms.BooleanField(label=gettext_lazy("Every quiz asks this rule"), required=False)
    recall_text = paragraph(
        gettext_lazy("Cover and recall"), help_text=gettext_lazy("The rule with one blank, written ____.")
    )
    recall_keys = LinesField(
        gettext_lazy("Words that fill the blank"), rows=3, help_text=gettext_lazy("One a line. Any of them is right.")
    )
    picture = PictureChoice(gettext_lazy("Picture"), needed=False)
    upload = upload()
    picture_alt = paragraph(
        gettext_lazy("What the picture shows"), help_text=gettext_lazy("Place and shape, for those who don't see it.")
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["picture"].offer(self.draft)  # type: ignore[attr-defined]

    def initial_of(self, item: Rule) -> dict[str, Any]:
        recall = {"recall_text": item.recall.text, "recall_keys": item.recall.key} if item.recall else {}
        return super().initial_of(item) | recall

    def clean(self) -> None:
        text, keys = self.cleaned_data.get("recall_text"), self.cleaned_data.get("recall_keys")
        if text and len(BLANK.findall(text)) != 1:
            self.add_error("recall_text", _("Cover and recall: write one blank as ____."))
        if text and keys == ():
            self.add_error("recall_keys", _("Words that fill the blank: write at least one."))
        if keys and text == "":
            self.add_error("recall_text", _("Cover and recall: write the sentence with its blank."))

    @property
    def rule(self) -> Rule:
        data = self.cleaned_data
        recall = Recall(text=data["recall_text"], key=data["recall_keys"]) if data["recall_text"] else None
        plain = {name: data[name] for name in ("says", "why", "source", "must_ask", "picture", "picture_alt")}
        return Rule(code=self.code, recall=recall, retired=bool(self.item and self.item.retired), **plain)

    @property
    def change(self) -> DraftEdit:
        return partial(editing.put_rule, rule=self.rule)


class ValueForm(ItemForm):
    noun, names = "number to know", "says"

    says = one_line(gettext_lazy("What is measured"), gettext_lazy("Say it, such as: upper guard above the wood."))
    amount = AmountField(
        label=gettext_lazy("Number"),
        max_length=40,
        required=False,
        help_text=gettext_lazy("Such as 1/8, 9 3/4 or 0.5."),
    )
    table = SizesField(
        gettext_lazy("Or a number for each size"),
        most=MOST_ROWS,
        help_text=gettext_lazy("One size a line, then | and its number, such as: up to 1 in | 24000."),
    )
    size = one_line(
        gettext_lazy("What the sizes are"),
        longest=60,
        help_text=gettext_lazy("For a table, such as: width of the bit."),
    )
    unit = one_line(
        gettext_lazy("Unit"),
        gettext_lazy("Write it, such as in or mm."),
        longest=20,
        help_text=format_lazy(gettext_lazy("Such as {units}."), units=", ".join(SPOKEN)),
    )
    bound = forms.ChoiceField(
        label=gettext_lazy("What is right"),
        required=False,
        choices=[
            ("", gettext_lazy("This number")),
            (AT_MOST, gettext_lazy("This number or less")),
            (AT_LEAST, gettext_lazy("This number or more")),
        ],
    )
    set_by = forms.ChoiceField(
        label=gettext_lazy("What decides the number"),
        required=False,
        choices=[
            ("", gettext_lazy("A written rule, the same everywhere")),
            ("shop", gettext_lazy("The shop or the teacher")),
            ("machine", gettext_lazy("The machine")),
            ("tool", gettext_lazy("The bit, blade or material")),
        ],
        help_text=gettext_lazy("A number that a shop, a machine or a tool decides is not asked every time."),
    )
    rule = forms.ChoiceField(label=gettext_lazy("On the card of"), required=False)
    source = one_line(
        gettext_lazy("Source"), help_text=gettext_lazy("The regulation and its section, or: common practice.")
    )
    note = one_line(gettext_lazy("Note"), help_text=gettext_lazy("Where another number is also taught."))

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        rules = [(rule.code, rule.says) for rule in self.draft.bank.live_rules]
        self.fields["rule"].choices = [("", _("The rules whose questions ask for it")), *rules]  # type: ignore[attr-defined]

    def clean(self) -> None:
        amount, table = self.cleaned_data.get("amount"), self.cleaned_data.get("table")
        if amount and table:
            self.add_error("table", _("Write one number, or a number for each size, not both."))
        elif amount == "" and table == ():
            self.add_error("amount", _("Number: this is empty. Write it, such as 1/8."))

    @property
    def change(self) -> DraftEdit:
        words = {name: self.cleaned_data[name] for name in self.base_fields if name != "revision"}
        return partial(editing.put_value, value=Value(code=self.code, **words))
