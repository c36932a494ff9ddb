"""Sheets are on a base of their own: whatever a template holds is named there, or it would be set inside a line."""

import re
from pathlib import Path

import pytest
from django.conf import settings

from shopsafe.paper.press import worker
from tests.paper import looking

ROOT = Path(settings.BASE_DIR)
INSIDE_A_LINE = {"span", "br", "code", "b"}
DRAWN = {"svg", "g", "path", "polygon", "circle", "text", "image", "title"}  # SVG: drawn, not laid out
SHEETS = sorted((*ROOT.glob("templates/paper/*.html"), *ROOT.glob("templates/*/paper/*.html")))


@pytest.mark.parametrize("template", SHEETS, ids=lambda path: f"{path.parent.parent.name}-{path.stem}")
def test_every_element_of_a_sheet_is_on_the_base(template: Path) -> None:
    held = set(re.findall(r"<([a-z][a-z0-9]*)", template.read_text()))
    base = re.sub(r"/\*.*?\*/", "", worker.BASE.read_text(), flags=re.DOTALL)
    named = {name for selectors in re.findall(r"([^{}]+)\{", base) for name in re.findall(r"[a-z][a-z0-9]*", selectors)}
    assert held - named - INSIDE_A_LINE - DRAWN - {"img"} == set()


def test_every_place_in_the_margin_is_on_the_base() -> None:
    """Without a line there, what is in a margin touches its very edge."""
    styles = "".join(path.read_text() for path in (*SHEETS, *ROOT.glob("static/css/**/*.css")) if path != worker.BASE)
    used = set(re.findall(r"@((?:top|bottom|left|right)-[a-z]+)", styles))
    assert used
    assert used - set(re.findall(r"@([a-z-]+) \{ text-align", worker.BASE.read_text())) == set()


def test_list_and_paragraph_have_no_bullet_or_margin() -> None:
    """So it is on our base alone; on the base of WeasyPrint this fails."""
    body = '<body class="letter"><ul><li>one</li></ul><p>two</p></body>'
    html = f'<html lang="en"><head><title>x</title></head>{body}</html>'
    words = looking.words(worker.to_pdf([html], None))
    assert [word.text for word in words] == ["one", "two"]
    assert words[0].x0 == words[1].x0 == pytest.approx(10, abs=0.6)
    assert words[1].top - words[0].top == pytest.approx(5, abs=0.1)
