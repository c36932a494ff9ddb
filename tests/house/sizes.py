"""Reports how long functions, files, templates and their lines are, and how many files a folder shows, and fails on
what is too long to be read."""

import ast
import statistics
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent.parent
CODE = ("shopsafe", "quizzes", "machines", "tests", ".ci", "static", "manage.py")
FUNCTION, VIEW, FILE, TEMPLATE = 40, 25, 400, 200
LINE = 160  # characters of a template
DOZEN = 12  # files of a folder. Folders in it are not counted: they are its rooms.
SOURCES = {".py", ".html", ".js", ".css", ".sh", ".md"}
FLAT = {"migrations", "commands"}  # Django looks for each of these files in that folder itself


class Piece(NamedTuple):
    lines: int
    limit: int
    name: str


def files(*suffixes: str) -> Iterator[Path]:
    """Our own sources: no migration, which Django writes, and no file of someone else's."""
    for top in CODE:
        start = ROOT / top
        for path in sorted(start.rglob("*")) if start.is_dir() else [start]:
            if path.suffix in suffixes and not {"migrations", "vendor"} & set(path.parts):
                yield path


def length(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def functions(path: Path) -> Iterator[Piece]:
    where = path.relative_to(ROOT)
    limit = VIEW if "views" in (*where.parts, where.stem) else FUNCTION
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno:
            yield Piece(node.end_lineno - node.lineno + 1, limit, f"{where}:{node.lineno} {node.name}")


def long_lines(path: Path) -> Iterator[str]:
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if len(line) > LINE:
            yield f"too long: {path.relative_to(ROOT)}:{number} has {len(line)} characters, {LINE} at most"


def full_folders() -> Iterator[str]:
    """Yield a sentence for each folder with more than a dozen sources. Data (fonts, pictograms, starter banks) may lie
    in any number."""
    for top in (*CODE, "templates"):
        for folder in sorted({path.parent for path in (ROOT / top).rglob("*") if path.suffix in SOURCES}):
            count = sum(path.suffix in SOURCES for path in folder.iterdir())
            if count > DOZEN and folder.name not in FLAT:
                yield (
                    f"too full: {folder.relative_to(ROOT)}/ shows {count} files, {DOZEN} at most: "
                    "move those that belong together into a folder named by what they do"
                )


def report(what: str, pieces: list[Piece]) -> list[Piece]:
    if not pieces:
        return []
    longest = max(pieces)
    median = statistics.median(piece.lines for piece in pieces)
    print(f"{what}: {len(pieces)}, median {median:g} lines, longest {longest.lines} ({longest.name})")
    return [piece for piece in pieces if piece.lines > piece.limit]


def main() -> int:
    sources = [Piece(length(path), FILE, str(path.relative_to(ROOT))) for path in files(".py", ".js", ".css", ".sh")]
    templates = sorted((ROOT / "templates").rglob("*.html"))
    too_long = [
        *report("functions", [piece for path in files(".py") for piece in functions(path)]),
        *report("files", sources),
        *report("templates", [Piece(length(path), TEMPLATE, str(path.relative_to(ROOT))) for path in templates]),
    ]
    wide = [sentence for path in templates for sentence in long_lines(path)]
    for piece in sorted(too_long, reverse=True):
        print(f"too long: {piece.name} has {piece.lines} lines, {piece.limit} at most")
    rest = [*wide, *full_folders()]
    print(*rest, sep="\n", end="\n" if rest else "")
    return 1 if too_long or rest else 0


if __name__ == "__main__":
    sys.exit(main())
