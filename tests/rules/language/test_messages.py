"""Sentences are looked up, filled and counted; without a catalog they read as written."""

from collections.abc import Iterator

import pytest

from shopsafe.language import messages
from shopsafe.language.messages import _, counted, marked

SPANISH = {"{name} is on hold.": "{name} está en pausa.", "Saved": "Guardado", "{count} machines": "{count} máquinas"}


@pytest.fixture
def spanish() -> Iterator[None]:
    kept = messages._look_up, messages._look_up_counted, messages._runs_from_the_right
    messages.use_catalog(
        lambda sentence: SPANISH.get(sentence, sentence),
        lambda singular, plural, count: SPANISH.get(singular if count == 1 else plural, plural),
    )
    yield
    messages.use_catalog(*kept)


def test_a_sentence_without_a_translation_reads_as_written() -> None:
    assert _("{name} may use {machine}.", name="Mia", machine="Band saw 2") == "Mia may use Band saw 2."


def test_braces_of_a_sentence_without_values_stay() -> None:
    assert _("Write {name} where the name goes.") == "Write {name} where the name goes."


def test_the_form_follows_the_count() -> None:
    assert [counted("{count} machine", "{count} machines", count=n) for n in (0, 1, 2)] == [
        "0 machines",
        "1 machine",
        "2 machines",
    ]


@pytest.mark.usefixtures("spanish")
def test_a_translated_sentence_is_filled_with_the_values() -> None:
    assert _("{name} is on hold.", name="Mia") == "Mia está en pausa."
    assert counted("{count} machine", "{count} machines", count=3) == "3 máquinas"
    assert marked("Saved") == "Saved"
    assert _(marked("Saved")) == "Guardado"
