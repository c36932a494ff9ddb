"""What the tests of acts ask again and again: which refusal, and what the logbook says."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from shopsafe.logbook.models import Body, Listing
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast


def code_of(call: Callable[..., Any], *args: Any, **more: Any) -> str:
    """The code of the refusal that `call` must end in."""
    with pytest.raises(Refused) as caught:
        call(*args, **more)
    return caught.value.code


def entries(kind: str) -> list[str]:
    """The payloads of all entries of a kind, in their order."""
    numbers = Listing.objects.filter(kind=kind).order_by("entry").values_list("entry", flat=True)
    return [bytes(Body.objects.get(entry=number).payload).decode() for number in numbers]


def last_entry() -> tuple[str, dict[str, Any]]:
    """The kind and the payload of the latest entry."""
    last = Listing.objects.order_by("-entry")[0]
    return last.kind, json.loads(bytes(Body.objects.get(entry=last.entry_id).payload))


def may_not_change_the_class(cast: Cast) -> list[Person]:
    return [cast.colleague, *(person for person in cast.not_teachers if person != cast.office)]
