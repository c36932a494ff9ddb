"""The forms of the editor give back what they were filled with: opening and saving changes nothing, in any bank."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.http import QueryDict
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.banks.editor.forms import BlueprintForm, DraftForm, HeadForm, RuleForm, ValueForm
from quizzes.banks.editor.question_forms import FORMS
from quizzes.banks.files.rules.toml_file import read_bank
from quizzes.banks.pictures.files import picture_names
from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankPicture, BankText, EditionText, Spot
from tests.factories.bank_texts import a_bank, every_kind
from tests.rules.quizzes.banks.files.test_bankzip import SHELF


def with_pictures(bank: BankText) -> EditionText:
    facts = BankPicture(digest="a" * 64, kind="svg", width=480, height=360)
    return EditionText(bank=bank, pictures=dict.fromkeys(picture_names(bank), facts))


def saved(kind: Any, draft: EditionText, item: Any, **more: Any) -> BankText:
    """The bank after the form was opened and sent as it stood."""
    opened = kind(draft=draft, revision=1, item=item, **more)
    sent = QueryDict(mutable=True)
    for name in opened.fields:
        value = opened[name].value()
        sent.setlist(name, value if isinstance(value, list) else [] if value in (None, False) else [str(value)])
    form: DraftForm = kind(sent, draft=draft, revision=1, item=item, **more)
    assert form.is_valid(), (item, form.errors)
    return form.change(draft.bank)


@pytest.mark.parametrize("path", SHELF, ids=lambda path: path.stem)
def test_opening_and_saving_changes_nothing(path: Path) -> None:
    bank = read_bank(path.read_text(encoding="utf-8"))
    draft = with_pictures(bank)
    assert saved(HeadForm, draft, bank) == bank
    assert saved(BlueprintForm, draft, bank) == bank
    for rule in bank.rules:
        assert saved(RuleForm, draft, rule) == bank, rule.code
    for value in bank.values:
        assert saved(ValueForm, draft, value) == bank, value.code
    for question in bank.questions[::4]:
        assert saved(FORMS[question.kind], draft, question, rule=question.rule) == bank, question.code


DRAFT, LONG = with_pictures(a_bank()), "x" * 601
LINES = st.lists(
    st.sampled_from(["", "a", "b", "Guard", " 1 ", "2 3; 1", "1/8", "10,10 40,10 40,30", "x" * 601, "\x00"])
)
SENT = LINES.map("\n".join) | st.text(max_size=30) | st.sampled_from(["guard-low", "guard-gap", "saw.svg", "1", "on"])


@given(st.sampled_from([RuleForm, ValueForm, HeadForm, BlueprintForm, *FORMS.values()]), st.data())
@settings(max_examples=settings.default.max_examples // 3)  # each draws a form of ten fields
def test_whatever_is_sent_is_a_bank_or_named(kind: Any, data: st.DataObject) -> None:
    """A form takes only what a bank file can hold, and says which field is wrong with everything else."""
    arguments = {"rule": "guard-low"} if kind in FORMS.values() else {}
    sent = QueryDict(mutable=True)
    for name in kind(draft=DRAFT, revision=1, **arguments).fields:
        sent[name] = data.draw(SENT, label=name)
    sent["revision"] = "1"
    form = kind(sent, draft=DRAFT, revision=1, **arguments)
    if form.is_valid():
        bank = form.change(DRAFT.bank)
        assert from_data(to_data(bank)) == bank
        assert form.said
    else:
        assert all(field in form.fields for field in form.errors), form.errors


def test_corners_with_decimals_stay_as_they_are() -> None:
    spot = next(question for question in every_kind() if isinstance(question, Spot))
    first = replace(spot.places[0], points=((0.125, 7.0625), (1 / 3, 2), (100, 359.99)))
    odd = replace(spot, places=(first, *spot.places[1:]))
    draft = with_pictures(a_bank(questions=(odd,), ask=1))
    assert saved(FORMS["spot"], draft, odd, rule="guard-low") == draft.bank
