"""Pages in another language than English: their sentences exchanged, their counts by the rule of that language."""

from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.template import Context, Template, engines
from django.template.loader import get_template
from django.utils import translation
from django.utils.safestring import SafeString

from shopsafe.language import loader, tags
from shopsafe.language.messages import _
from shopsafe.language.templates import exchanged, isolated
from shopsafe.school.models import Shop

SOURCE = (
    "<p>{{ many }} saw{{ many|pluralize }}"
    "{% for each in rows %} {{ rows|length }} row{{ rows|pluralize }}{% endfor %}</p>"
)
POLISH = {"{many} saws": ["{many} piła", "{many} piły", "{many} pił"], "{rows} rows": ["rząd", "rzędy", "rzędów"]}


def polish(one: str, many: str, count: int) -> str:
    """As gettext has it for Polish: one; 2 to 4, 22 to 24 and so on; all others [CLDR, language plural rules, pl]."""
    few = count % 10 in (2, 3, 4) and count % 100 not in (12, 13, 14)
    return POLISH[many][0 if count == 1 else 1 if few else 2]


@pytest.fixture
def in_polish(monkeypatch: pytest.MonkeyPatch) -> Template:
    monkeypatch.setattr(tags, "ngettext", polish)
    monkeypatch.setattr(loader, "ngettext", polish)
    return Template(exchanged(SOURCE, loader.translated), engine=engines["django"].engine)


@pytest.mark.parametrize(
    ("many", "expected"), [(0, "pił"), (1, "piła"), (3, "piły"), (5, "pił"), (22, "piły"), (112, "pił")]
)
def test_a_count_takes_the_form_of_its_language(in_polish: Template, many: int, expected: str) -> None:
    assert in_polish.render(Context({"many": many})) == f"<p>{many} {expected}</p>"


def test_a_list_counts_by_its_length(in_polish: Template) -> None:
    assert in_polish.render(Context({"many": 1, "rows": [5, 6]})) == "<p>1 piła rzędy rzędy</p>"


def test_english_is_handed_through_as_it_is_written() -> None:
    template: Any = get_template("404.html")
    assert template.template.source == (Path(settings.BASE_DIR) / "templates" / "404.html").read_text()


@pytest.mark.parametrize(
    ("language", "expected"),
    [("en", '<html lang="en">'), ("en-xa", '<html lang="en-XA">'), ("ar-xb", '<html lang="ar-XB" dir="rtl">')],
)
def test_a_page_says_its_language_and_direction(language: str, expected: str) -> None:
    with translation.override(language):
        assert expected in get_template("500.html").render({})


def test_names_keep_their_direction_in_a_language_from_right_to_left() -> None:
    engine = engines["django"].engine
    page = Template(isolated("<p>{{ name }} {{ count }} {{ html }}</p>"), engine=engine)
    shown = page.render(Context({"name": "Inga V.", "count": 3, "html": SafeString("<b>x</b>")}))
    assert shown == "<p>\u2068Inga V.\u2069 3 <b>x</b></p>"
    shop = Template(isolated("{{ shop }}"), engine=engine).render(Context({"shop": Shop(name="3-D printers")}))
    assert shop == "\u20683-D printers\u2069"
    with translation.override("ar-xb"):
        shown = _("{name} signs {count}.", name="Inga V.", count=3)
    assert shown == "\u2068Inga V.\u2069 \u200f\u202esigns\u202c\u200f 3."


def test_each_language_has_its_own_page() -> None:
    pages = []
    for language in ("en", "en-xa", "en"):
        with translation.override(language):
            pages.append(get_template("404.html").render({}))
    assert pages[0] == pages[2]
    assert "<h1>No such page</h1>" in pages[0]
    assert "<h1>[Ñö šûçħ þåğé öñé]</h1>" in pages[1]
