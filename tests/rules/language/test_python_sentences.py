"""Every sentence of the code that people read goes through the catalog: none is built of pieces, none is left out.

What is found is a string that looks like a sentence, or any words at a place where people read what is there (the
label of a field, a refusal, a message). Left alone are kinds of places, never single sentences.
"""

import ast
import re
from collections.abc import Iterator, Set
from pathlib import Path
from string import Formatter

import pytest

ROOT = Path(__file__).resolve().parents[3]
ROOMS = ("machines", "quizzes", "shopsafe")

LOOKED_UP = {
    "_",
    "_lazy",
    "gettext_lazy",
    "counted",
    "marked",
}  # `stored`: the words go into a record, which is kept in English
WRAPPED = {*LOOKED_UP, "stored", "format_lazy"}
# Files whose strings people don't read as sentences of the program.
FOLDERS = {
    "migrations": "what a table was once",
    "demo": "the demo school's own text",
    "declared": "SQL and names of columns, for the triggers and the verification of records",
    "known": "what the records said at the moment of an incident: stored with the report, in English",
    "language": "the catalogs themselves, and languages under their own names",
}
FILES = {
    "known_words.py": "the same",
    "triggers.py": "texts inside of triggers: the verification compares them with what the database holds",
    "entry_triggers.py": "the same",
    "listing.py": "conditions of a function that is compiled",
    "verify_evidence.py": "a script that runs by itself, on a computer without this program",
}
# Calls that take no words for people: programmers' errors, SQL, patterns, addresses.
CALLS = {
    "ValueError", "TypeError", "KeyError", "LookupError", "RuntimeError", "AssertionError", "NotImplementedError",
    "OutOfTurn", "NoTransaction", "Unwritable", "UnknownRole", "FatalURLFetchingError", "Error", "Warning",
    "RawSQL", "RunSQL", "execute", "compile", "path", "re_path", "strftime", "strptime", "format_html",
}  # fmt: skip
LOGS = {"logger", "logging", "log"}
MODEL_FIELD = re.compile(r"(Field|ForeignKey)$")  # its first words describe the column to programmers
SQL = re.compile(r"\b(SELECT|FROM|WHERE|JOIN|EXISTS|CAST|UNION|NULL|CASE WHEN|INSERT|PRAGMA|FUNCTION)\b")
WORDS = re.compile(r"[^\W\d_]{2,}")
SENTENCE = re.compile(r"[“\"(]?([A-Z]|\{\}\S* [a-z])")
# Where any words are read, also a single one.
READ_AS = {"label", "help_text", "empty_label", "violation_error_message", "help", "title"}
READ_FIRST = {  # their first words
    "CommandError", "ValidationError", "JobFailed", "NotABackup", "BadFile", "NotPlain", "NoPicture", "Unreadable",
    "CannotCorrect",
}  # fmt: skip
READ_SECOND = {"Refused", "success", "warning", "info", "error", "PrintFailed"}  # after the code or the request


def python_files() -> Iterator[Path]:
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            if not FOLDERS.keys() & set(path.parts) and path.name not in FILES:
                yield path


def called(node: ast.AST) -> str:
    if not isinstance(node, ast.Call):
        return ""
    return getattr(node.func, "id", getattr(node.func, "attr", ""))


def is_log(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and getattr(getattr(node.func, "value", None), "id", "") in LOGS


def text_of(node: ast.AST) -> str | None:
    """The text, with {} for what is filled in; None for anything else than a string."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return None


def is_sentence(text: str) -> bool:
    """Two words or more, beginning as a sentence does, or with something filled in and then words."""
    if SQL.search(text) or "\\" in text or len(WORDS.findall(text)) < 2 or " " not in text.strip():
        return False
    return bool(SENTENCE.match(text)) and not text.isupper()


def left_out(source: str) -> Iterator[tuple[int, str]]:
    """(line, text) of each string that people read and that is not looked up."""
    tree = ast.parse(source)
    yield from _under(tree, frozenset(_constants(tree)), read=False)


def _constants(tree: ast.Module) -> Iterator[str]:
    """The names of sentences that are only marked where they are written, and looked up where they are read."""
    for statement in tree.body:
        if isinstance(statement, ast.Assign) and called(statement.value) == "marked":
            yield from (target.id for target in statement.targets if isinstance(target, ast.Name))


def _under(node: ast.AST, constants: Set[str], *, read: bool) -> Iterator[tuple[int, str]]:
    if read and isinstance(node, ast.Name) and node.id in constants:
        yield node.lineno, node.id
    text = text_of(node)
    if text is not None:
        if is_sentence(text) or (read and WORDS.search(text)):
            yield node.lineno, text  # type: ignore[attr-defined]
        return
    if called(node) in CALLS or is_log(node):
        return
    for child, child_is_read in _children(node):
        yield from _under(child, constants, read=child_is_read)


def _children(node: ast.AST) -> Iterator[tuple[ast.AST, bool]]:
    """What is inside a node that may hold words, and whether it stands where they are read."""
    name = called(node)
    if isinstance(node, ast.Call):
        first = 1 if name in READ_SECOND else 0 if name in READ_FIRST else None
        arguments = [] if name in WRAPPED else node.args[1:] if MODEL_FIELD.search(name) else node.args
        yield from ((argument, place == first) for place, argument in enumerate(arguments))
        described = getattr(getattr(node.func, "value", None), "id", "") == "models"  # a column, to programmers
        for keyword in node.keywords:
            if not (described and keyword.arg == "help_text"):
                yield keyword.value, keyword.arg in READ_AS
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    elif isinstance(node, ast.Dict):
        yield from ((value, False) for value in node.values)
    elif isinstance(node, ast.FunctionDef) and node.name in ("__str__", "__repr__"):
        return  # for programmers
    elif isinstance(node, (ast.Compare, ast.Subscript, ast.AnnAssign, ast.arg)):
        yield from ((child, False) for child in ast.iter_child_nodes(node) if text_of(child) is None)
    else:
        yield from ((child, False) for child in ast.iter_child_nodes(node))


def looked_up(source: str) -> Iterator[tuple[ast.Call, list[ast.expr]]]:
    """Each look-up, with the sentences it is given: two where they are counted."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and called(node) in LOOKED_UP:
            yield node, node.args[: 2 if called(node) == "counted" else 1]


@pytest.mark.parametrize(
    ("code", "texts"),
    [
        ('messages.success(request, f"{student} is cleared.")', ["{} is cleared."]),
        ('raise Refused("hold.over", "This hold is over.")', ["This hold is over."]),
        ('raise Refused("hold.over", _("This hold is over."))', []),
        ('name = CharField(label="Name")', ["Name"]),
        ('name = models.CharField("What was seen", max_length=3)', []),
        ('name = models.CharField(help_text="What was seen.", max_length=3)', []),
        ('"""A docstring of two words."""\nSQL = "SELECT Name FROM table"', []),
        ('NOTE = "No one is cleared."', ["No one is cleared."]),
        ('NOTE = stored("Erased by rule.")', []),
        ('OVER = marked("It is over.")\nraise Refused("hold.over", OVER)', ["OVER"]),
        ('OVER = marked("It is over.")\nraise Refused("hold.over", _(OVER))', []),
        ('raise ValueError("The caller is wrong.")', []),
        ('return f"{day(at)} at noon"', ["{} at noon"]),
    ],
)
def test_a_sentence_is_found_where_it_is_read(code: str, texts: list[str]) -> None:
    assert [text for _line, text in left_out(code)] == texts


def test_every_sentence_that_people_read_is_looked_up() -> None:
    not_looked_up = [
        f"{path.relative_to(ROOT)}:{line}: {text}"
        for path in python_files()
        for line, text in left_out(path.read_text())
    ]
    assert not_looked_up == []


def test_a_sentence_is_looked_up_whole() -> None:
    """A variable is fine, since its words are marked where they are written; an f-string or a sum never is."""
    pieces = (ast.JoinedStr, ast.BinOp, ast.IfExp)
    in_pieces = [
        f"{path.relative_to(ROOT)}:{call.lineno}"
        for path in python_files()
        for call, sentences in looked_up(path.read_text())
        if any(isinstance(sentence, pieces) for sentence in sentences) or not sentences
    ]
    assert in_pieces == []


def test_filled_in_values_have_a_name_and_are_given() -> None:
    unnamed = []
    for path in python_files():
        for call, sentences in looked_up(path.read_text()):
            given = {keyword.arg for keyword in call.keywords}
            for sentence in sentences:
                text = text_of(sentence)
                if (
                    text is None or called(call) in ("marked", "_lazy", "gettext_lazy") or None in given
                ):  # None: given by **
                    continue
                if given and given < {
                    name for _text, name, _spec, _conversion in Formatter().parse(text) if name is not None
                }:
                    unnamed.append(f"{path.relative_to(ROOT)}:{call.lineno}: {text}")
    assert unnamed == []
