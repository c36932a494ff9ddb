"""A sentence that one process stores is read in the language of the person who reads it."""

from collections.abc import Iterator

import pytest

from shopsafe.language import messages
from shopsafe.language.kept import as_kept, kept_words, together
from shopsafe.language.messages import _, counted, marked, sentences_kept

SPANISH = {
    "Mailed.": "Enviado.",
    "{count} entry.": "{count} entrada.",
    "{count} entries.": "{count} entradas.",
    "Not sent: {problem}": "No enviado: {problem}",
    "no reason given": "sin motivo",
}


@pytest.fixture
def spanish() -> Iterator[None]:
    before = messages._look_up, messages._look_up_counted, messages._runs_from_the_right
    messages.use_catalog(
        lambda sentence: SPANISH.get(sentence, sentence),
        lambda singular, plural, count: SPANISH.get(singular if count == 1 else plural, plural),
    )
    yield
    messages.use_catalog(*before)


def in_english() -> dict[str, str]:
    """What an English process keeps, by what is read of it in Spanish."""
    with sentences_kept():
        return {
            "Enviado.": as_kept(_("Mailed.")),
            "1 entrada.": as_kept(counted("{count} entry.", "{count} entries.", count=1)),
            "3 entradas. Enviado.": as_kept(
                together([counted("{count} entry.", "{count} entries.", count=3), _("Mailed.")])
            ),
            "No enviado: sin motivo": as_kept(_("Not sent: {problem}", problem=_("no reason given"))),
            "No enviado: {disk} full": as_kept(_("Not sent: {problem}", problem="{disk} full")),
            "OSError: [Errno 28] full": as_kept("OSError: [Errno 28] full"),
            '{"say": no JSON': as_kept('{"say": no JSON'),
            "": as_kept(together([])),
        }


KEPT = in_english()


@pytest.mark.usefixtures("spanish")
def test_kept_sentence_is_read_in_another_language() -> None:
    assert {text: kept_words(kept) for text, kept in KEPT.items()} == {text: text for text in KEPT}


@pytest.mark.usefixtures("spanish")
def test_sentence_kept_in_another_language_is_stored_in_english() -> None:
    assert in_english() == KEPT
    assert KEPT["Enviado."] == "Mailed."


@pytest.mark.usefixtures("spanish")
def test_kept_sentence_that_is_too_long_is_stored_in_english() -> None:
    with sentences_kept():
        sentence = counted("{count} entry.", "{count} entries.", count=3)
    assert as_kept(sentence, 20) == "3 entries."
    assert as_kept(sentence, 5) == "3 ent"
    assert kept_words(as_kept(sentence, 200)) == "3 entradas."


@pytest.mark.usefixtures("spanish")
def test_sentence_looked_up_elsewhere_is_stored_as_it_reads() -> None:
    assert as_kept(_(marked("Mailed."))) == "Enviado."
