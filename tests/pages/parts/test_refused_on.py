"""What an act refuses is on the form that asked for it; everything else goes its way."""

import pytest
from django import forms

from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused


class Asked(forms.Form):
    number = forms.CharField()


def asked(number: str = "3") -> Asked:
    return Asked({"number": number})


TAKEN = Refused("machine.number", "Number 3 is taken.", 409)


@pytest.mark.parametrize(
    ("at", "field"),
    [
        (None, "__all__"),
        ("number", "number"),
        ({"machine.number": "number"}, "number"),
        ({"other": "number"}, "__all__"),
    ],
)
def test_the_sentence_stands_at_its_field(at: object, field: str) -> None:
    form = asked()
    with refused_on(form, at):  # type: ignore[arg-type]
        raise TAKEN
    assert form.errors == {field: ["Number 3 is taken."]}
    assert status_of(form) == 409


def test_page_of_a_form_with_an_error_says_so() -> None:
    assert (status_of(Asked()), status_of(asked()), status_of(asked(""))) == (200, 200, 422)


def test_no_other_error_is_kept_from_anyone() -> None:
    with pytest.raises(KeyError), refused_on(asked()):
        raise KeyError
