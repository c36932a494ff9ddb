"""The lint of words finds what it bans wherever people read it, and lets code and plain sentences pass."""

import pytest

from tests.house.voice import in_document, in_python, in_script, in_template, names_of_tests


@pytest.mark.parametrize(
    "html",
    [
        "\n<p>Whoever {{ does }} this</p>",
        '\n<button aria-label="Look again">Check</button>',
        "\n{# mended #}",
        "<p>\nNobody is here</p>",
    ],
)
def test_banned_word_of_a_template_is_found_on_its_line(html: str) -> None:
    assert [line for line, _ in in_template(html)] == [2]


def test_code_and_plain_sentences_of_a_template_pass() -> None:
    html = (
        "{% if told %}<code>manage.py mend</code>{{ whoever }}{% endif %}<p>Check each point. {# voice: ok, mend #}</p>"
    )
    assert list(in_template(html)) == []


def test_sentences_comments_and_docstrings_of_python_are_read() -> None:
    source = '"""Whoever."""\nsay("Tick each point.")\nx = "told"  # mend it\n'
    assert sorted(line for line, _ in in_python(source, visible=True)) == [1, 2, 3]
    assert [line for line, _ in in_python(source, visible=False)] == [1, 3]
    assert list(in_python('rows("SELECT told FROM colours")\ny = "print room"  # voice: ok\n', visible=True)) == []


def test_scripts_and_documents_are_read_without_their_code() -> None:
    assert [line for line, _ in in_script('told();\nsay("Go on with it"); // anew\n')] == [2, 2]
    assert [line for line, _ in in_document("```\nwhoever\n```\n`anew` is fine\nmend it\n")] == [5]


def test_name_of_a_test_begins_with_a_noun() -> None:
    source = "def test_what_is_told(): ...\ndef test_second_save_is_refused(): ...\n"
    assert [line for line, _ in names_of_tests(source)] == [1]
