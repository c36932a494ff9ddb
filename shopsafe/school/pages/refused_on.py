"""An act's refusal on the form that asked for it, and the status that form's page answers with."""

from collections.abc import Mapping
from types import TracebackType
from typing import Self

from django.forms import BaseForm
from django.http import JsonResponse

from shopsafe.school.pages.form_parts import TapForm
from shopsafe.school.refusals import Refused

KEPT = "refused_with"


class refused_on:  # noqa: N801  read as contextlib.suppress is
    """`with refused_on(form): act(...); return redirect(...)`. What the act refuses is on the form instead: at the
    field `at`, or at the one that `at` gives for its code, or above all fields. The page goes on after the block.
    """

    def __init__(self, form: BaseForm, at: str | Mapping[str, str] | None = None) -> None:
        self.form, self.at = form, at

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, raised: BaseException | None, _: TracebackType | None) -> bool:
        if not isinstance(raised, Refused):
            return False
        field = self.at.get(raised.code) if isinstance(self.at, Mapping) else self.at
        self.form.add_error(field, raised.sentence)
        if raised.code.endswith(".tap-used") and isinstance(self.form, TapForm):
            self.form.renew()
        vars(self.form)[KEPT] = raised.status
        return True


def sentence_of(form: BaseForm) -> JsonResponse:
    """What stands against the form, for a script of ours that asked: see `wants_json`."""
    sentences = [str(sentence) for errors in form.errors.values() for sentence in errors]
    return JsonResponse({"sentence": " ".join(sentences)}, status=status_of(form))


def status_of(form: BaseForm) -> int:
    """200 as it is opened, 422 with something to fix, and the refusal's own where an act said no."""
    return int(vars(form).get(KEPT, 422 if form.errors else 200))
