"""Form parts that several pages share: a text box, a date field, and a form that records something once."""

import uuid
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy


def area(rows: int = 2) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows, "class": "box"})


class TapForm(forms.Form):
    """A page that records something once, however often it is sent."""

    tap = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={
            "required": gettext_lazy("This page is out of date. Open it again."),
            "invalid": gettext_lazy("Open this page again."),
        },
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.initial.setdefault("tap", uuid.uuid4())

    def renew(self) -> None:
        """Give the page another key: what it holds now is another act than the one recorded under the old key."""
        data = cast(QueryDict, self.data).copy()
        data[self.add_prefix("tap")] = str(uuid.uuid4())
        self.data = data


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")
