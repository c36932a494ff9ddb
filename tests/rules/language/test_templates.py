"""Templates are cut into sentences, and put together again from translations, with everything else left as it is."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from shopsafe.language.pieces import cut
from shopsafe.language.templates import Message, Sentence, exchanged, isolated, sentences

TEMPLATES = Path(__file__).resolve().parents[3] / "templates"
ALL = {str(path.relative_to(TEMPLATES)): path.read_text() for path in sorted(TEMPLATES.rglob("*.html"))}
PLURAL = re.compile(r'{{[^}]*\|pluralize(?::"([^"]*)")?[^}]*}}')
COUNTED = re.compile(r"{% counted_form .*?%}.*?{% form %}(.*?){% endcounted_form %}", re.DOTALL)


def texts(source: str) -> list[str]:
    return [sentence.message.text for sentence in every(sentences(source))]


def every(of: Iterable[Sentence]) -> Iterator[Sentence]:
    for sentence in of:
        yield sentence
        yield from every(sentence.inside)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("<p>Save it.</p>", ["Save it."]),
        ("<p>{{ row.student.name }} may use {{ machine }}.</p>", ["{student_name} may use {machine}."]),
        ("<p>{{ a.day }} to {{ b.day }}, {{ a.day }}</p>", ["{day} to {day_2}, {day}"]),
        ("<p>See <b>this</b> <a href=\"{% url 'x' %}\">page</a>.</p>", ["See <b>this</b> <a1>page</a1>."]),
        ("<p>It goes\n   on here.</p>", ["It goes on here."]),
        ("<p><b>Stop</b> <a href='/'>Go</a></p>", ["Stop", "Go"]),
        ("<p>{% if a %}Yes{% else %}No{% endif %}</p>", ["Yes", "No"]),
        ("<p><a href='/'>Back{% if b %} to {{ b }}{% endif %}</a></p>", ["Back", "to {b}"]),
        ("<p>{{ a }}, {{ b }} · 12</p>", []),
        ("<p><b>Class</b> {{ name }}</p>", ["Class"]),
        ('<p><b class="n">{{ n }}</b>, saw{{ n|pluralize }}</p>', ["<b1>{n}</b1>, saw"]),
        ('<p>Ends <b translate="no">cleared <i>x</i></b> soon</p>', ["Ends", "soon"]),
        ('<p>{% mark "on hold" %} On hold</p>', ["On hold"]),
        ('<a title="{{ n }} left" href="Nowhere">{{ n }}</a>', ["{n} left"]),
        ('<img alt="{% if a %}A saw{% endif %}">', ["A saw"]),
        ('<p>{{ a|default:"nothing" }}</p>', ["nothing"]),
        ('<p>{{ a|default:"no one" }} signs.</p>', ["{a} signs.", "no one"]),
        ('<p>{{ a|join:" and " }}</p>', ["and"]),
        ('{% include "x.html" with what="These" how="in-rows" %}', ["These"]),
        ("<p>{# Why #}{% comment %}Text{% endcomment %}</p><script>let text</script><!-- no -->", []),
        ("{% block main_attrs %} class='narrow'{% endblock %}", []),
        ("<p>Saving {changes} of {{ row.changes }}</p>", ["Saving {changes} of {changes_2}"]),
    ],
)
def test_sentences_as_a_translator_reads_them(source: str, expected: list[str]) -> None:
    assert texts(source) == expected


def test_a_count_gives_a_sentence_for_one_and_one_for_many() -> None:
    source = '<p>{{ found|length }} entr{{ found|length|pluralize:"y is,ies are" }} here</p>'
    [sentence] = sentences(source)
    assert sentence.message == Message("{found} entry is here", "{found} entries are here")
    assert sentence.count == "found|length"


def test_a_translation_moves_what_is_filled_in() -> None:
    source = """<p>{{ name }} uses <a href="{% url 'x' %}" title="More">{{ machine }}</a>.</p>"""
    spanish = {"{name} uses <a1>{machine}</a1>.": "<a1>{machine}</a1>: {name}.", "More": 'Más "aún"'}
    made = exchanged(source, lambda message: [spanish[message.text]])
    assert made == """<p><a href="{% url 'x' %}" title="Más &quot;aún&quot;">{{ machine }}</a>: {{ name }}.</p>"""


def test_a_sentence_without_a_translation_keeps_what_is_translated_inside_it() -> None:
    source = '<p>Kept <a href="/" title="More">{{ a|default:"no" }}</a></p>'
    translate = {"More": ["Más"], "no": ['el "no"']}
    made = exchanged(source, lambda message: translate.get(message.text))
    assert made == '<p>Kept <a href="/" title="Más">{{ a|default:"el \\"no\\"" }}</a></p>'


def test_filled_in_values_run_in_their_own_direction() -> None:
    source = '<p title="{{ a }}">{{ name|called:names }} {% url "x" %}</p><style>{{ size }}</style>'
    assert isolated(source) == source.replace("called:names }}", "called:names|isolated }}")


@pytest.mark.parametrize("name", ALL)
def test_nothing_of_a_template_is_lost(name: str) -> None:
    source, pieces = ALL[name], cut(ALL[name]).pieces
    assert "".join(source[piece.start : piece.end] for piece in pieces) == source
    assert exchanged(source, lambda message: None) == source
    made = exchanged(source, lambda message: [message.text, message.plural] if message.plural else [message.text])
    assert bare(COUNTED.sub(r"\1", made)) == bare(PLURAL.sub(ending_of_many, source))


def ending_of_many(match: re.Match[str]) -> str:
    return match[1].rpartition(",")[2] if match[1] else "s"


def bare(source: str) -> str:
    return "".join(source.split())


def test_collected_sentences_can_be_put_back() -> None:
    """A sentence may not end the tag that carries it, and has one count that it is said for."""
    wrong = [
        f"{name}: {sentence.message.text}"
        for name, source in ALL.items()
        for sentence in every(sentences(source))
        if "%}" in sentence.message.text + sentence.message.plural
        or any("|pluralize" in source[start:end] for start, end in sentence.parts.values())
    ]
    assert not wrong


def test_every_plural_stands_in_a_sentence() -> None:
    lonely = [
        f"{name}: {match[0]}"
        for name, source in ALL.items()
        for spans in [[(sentence.start, sentence.end) for sentence in every(sentences(source))]]
        for match in PLURAL.finditer(source)
        if not any(start <= match.start() < end for start, end in spans)
    ]
    assert not lonely


def test_a_block_inside_of_an_element_says_so_in_its_name() -> None:
    """What fills it are attributes, which no one reads."""
    wrong = [
        f"{name}: {piece.name} {source[piece.start : piece.end]}"
        for name, source in ALL.items()
        for template in [cut(source)]
        for element in template.pieces
        if element.kind == "open"
        for piece in template.in_braces_between(element.start, element.end)
        if piece.name == "block" and f'"{source[piece.start : piece.end]}' not in source  # nor an attribute of its own
    ]
    assert not wrong


def test_scripts_say_nothing_of_their_own() -> None:
    """What they say is written in a template, where it is translated."""
    sentence = re.compile(r"""["'`]([A-Z][a-z’']+(?: [^"'`]+[.?!…]?|[.?!…]))["'`]""")
    left_in_scripts = [
        f"{path.name}:{number}: {match[1]}"
        for path in sorted((TEMPLATES.parent / "static" / "js").rglob("*.js"))
        for number, line in enumerate(path.read_text().splitlines(), 1)
        for match in sentence.finditer(line.partition("// ")[0])
    ]
    assert not left_in_scripts
