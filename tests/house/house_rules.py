"""Finds what no ready-made linter knows: script or style inside a template, a view that goes round access, an act that
goes round the gate of all acts (shopsafe/act.py), and a value that is not called by what it holds.

The pages forbid inline script and style by their Content-Security-Policy, so anything inline is dead in the browser.
Sheets for print (templates/*/paper/) are never sent to a browser and may carry their own <style>.
"""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
APPS = ("shopsafe", "quizzes", "machines")

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


GATE = {
    "a transaction of its own: put @act on the function": re.compile(r"\btransaction\.atomic\b"),
    "a lock of its own: ask shopsafe.school.locks": re.compile(r"\.select_for_update\("),
}
CLOCK = re.compile(r"\btimezone\.now\(\)|\bdatetime\.now\(")
CLOCKS = "the server's clock: an act takes act_moment after its lock, a page is of page_moment"


# Each of these named a dozen things: tag-outs, sentences, rows, machines.
NAMELESS = {"out", "said", "then", "told", "there", "found"}
FIELDS = NAMELESS | {"one"}


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


def in_act(text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.splitlines(), 1):
        for what, pattern in GATE.items():
            if pattern.search(line.split("#")[0]):
                yield number, what


def at_clock(text: str) -> Iterator[tuple[int, str]]:
    """In acts and in views: a moment of the server's own may lie before the last entry of the logbook."""
    for number, line in enumerate(text.splitlines(), 1):
        if CLOCK.search(line.split("#")[0]):
            yield number, CLOCKS


def without_noun(text: str) -> Iterator[tuple[int, str]]:
    """The values and arguments of a function, and the fields of a dataclass or a named tuple. A column of the database
    keeps its name, and so does the field of a form that fills it."""
    tree = ast.parse(text)
    values = {
        id(node): node
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
    }
    fields = (
        (node.target.lineno, node.target.id)
        for scope in ast.walk(tree)
        if isinstance(scope, ast.ClassDef)
        for node in scope.body
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
    )
    arguments = ((node.lineno, node.arg) for node in ast.walk(tree) if isinstance(node, ast.arg))
    stored = (
        (node.lineno, node.id)
        for node in values.values()
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store) and node.id in NAMELESS
    )
    named = sorted({*stored, *(pair for pair in (*fields, *arguments) if pair[1] in FIELDS)})
    yield from ((line, f"{name!r}: call it by what it holds") for line, name in named)


def files(layer: str) -> list[Path]:
    """The files of a layer in every room, a folder or a file alone."""
    rooms = [ROOT / app for app in APPS]
    return sorted(path for room in rooms for path in [*room.rglob(f"{layer}/*.py"), *room.rglob(f"{layer}.py")])


def main() -> int:
    violations = []
    for path in sorted((ROOT / "templates").rglob("*.html")):
        for line, what in in_template(path.read_text(encoding="utf-8"), paper="paper" in path.parts):
            violations.append(f"{path.relative_to(ROOT)}:{line}: {what}")
    rules = {"views": (in_view, at_clock), "acts": (in_act, at_clock)}
    for layer, checks in rules.items():
        for path in files(layer):
            for check in checks:
                for line, what in check(path.read_text(encoding="utf-8")):
                    violations.append(f"{path.relative_to(ROOT)}:{line}: {what}")
    for path in sorted(path for app in APPS for path in (ROOT / app).rglob("*.py") if "migrations" not in path.parts):
        for line, what in without_noun(path.read_text(encoding="utf-8")):
            violations.append(f"{path.relative_to(ROOT)}:{line}: {what}")
    print("\n".join(violations) if violations else "templates, views and acts keep the house rules")
    return 1 if violations else 0


if __name__ == "__main__":
    sys.exit(main())
