"""Left and right of a print's style change places; everything else stays."""

from pathlib import Path

import pytest

from shopsafe.paper.rules.mirroring import mirrored

PRINTS = Path(__file__).resolve().parents[3] / "static" / "css" / "print"


@pytest.mark.parametrize(
    ("css", "expected"),
    [
        (".a { left: 0; padding-right: 2rem }", ".a { right: 0; padding-left: 2rem }"),
        (".a { border-left-color: red; float: left }", ".a { border-right-color: red; float: right }"),
        (".a { left: var(--left); --left: 3mm }", ".a { right: var(--left); --left: 3mm }"),
        ("@page { @bottom-left { text-align: left } }", "@page { @bottom-right { text-align: right } }"),
        (".a { padding: 1rem 2rem 0 calc(3rem + 1mm) }", ".a { padding: 1rem calc(3rem + 1mm) 0 2rem }"),
        (".a { margin: 1rem 2rem }", ".a { margin: 1rem 2rem }"),
        (
            '.a { background: url("x.svg") no-repeat 0 55% / 1em }',
            '.a { background: url("x.svg") no-repeat 100% 55% / 1em }',
        ),
        (".keys .right { color: red }", ".keys .right { color: red }"),
    ],
)
def test_sides_change_places(css: str, expected: str) -> None:
    assert mirrored(css) == expected


@pytest.mark.parametrize("name", ["print", "handouts", "base"])
def test_mirrored_twice_is_as_before(name: str) -> None:
    css = (PRINTS / f"{name}.css").read_text()
    once = mirrored(css)
    assert once != css
    assert mirrored(once).replace("100%", "0") == css.replace("100%", "0")
