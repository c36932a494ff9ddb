"""Finds what no ready-made linter knows: script or style inside a template, and a view that goes round access.

The pages forbid inline script and style by their Content-Security-Policy, so anything inline is dead in the browser.
Sheets for print (templates/*/paper/) are never sent to a browser and may carry their own <style>.
"""

import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

COMMENT = re.compile(r"\{#.*?#\}|\{% comment.*?%\}.*?\{% endcomment %\}|<!--.*?-->", re.DOTALL)
ON_SCREEN = {
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.IGNORECASE),
    "a <style> element": re.compile(r"<style\b", re.IGNORECASE),
}
EVERYWHERE = {
    "an inline script": re.compile(r"<script\b(?![^>]*\ssrc\s*=)", re.IGNORECASE),
    "an on… attribute": re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE),
    "hx-on": re.compile(r"\bhx-on\b|\bhx-on:", re.IGNORECASE),
    "a script in a value": re.compile(r"""=\s*["']\s*(js|javascript):""", re.IGNORECASE),
    "a trigger filter": re.compile(r"""\bhx-trigger\s*=\s*["'][^"']*\["""),
}
MANAGER = re.compile(r"\b[A-Z]\w*\.(objects|_default_manager|_base_manager)\b")


def blank(match: re.Match[str]) -> str:
    """Nothing, on as many lines as the comment had."""
    return "\n" * match.group().count("\n")


def in_template(text: str, *, paper: bool) -> Iterator[tuple[int, str]]:
    """Yields (line, what) for each thing that a template must not hold."""
    text = COMMENT.sub(blank, text)
    for what, pattern in (EVERYWHERE if paper else ON_SCREEN | EVERYWHERE).items():
        for match in pattern.finditer(text):
            yield text.count("\n", 0, match.end()) + 1, what


def in_view(text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.splitlines(), 1):
        if MANAGER.search(line.split("#")[0]):
            yield number, "a model's manager: ask shopsafe.school.access or a query that starts from the asker"


def main() -> int:
    found = []
    for path in sorted((ROOT / "templates").rglob("*.html")):
        for line, what in in_template(path.read_text(encoding="utf-8"), paper="paper" in path.parts):
            found.append(f"{path.relative_to(ROOT)}:{line}: {what}")
    for app in ("shopsafe", "quizzes", "machines"):
        for path in sorted([*(ROOT / app).rglob("views/*.py"), *(ROOT / app).rglob("views.py")]):
            for line, what in in_view(path.read_text(encoding="utf-8")):
                found.append(f"{path.relative_to(ROOT)}:{line}: {what}")
    print("\n".join(found) if found else "templates and views keep the house rules")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
