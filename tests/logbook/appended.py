"""Which kinds of entry the program can append: read from the calls of append() in its source."""

import ast
import importlib
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
KIND = re.compile(r"[a-z_]+\.[a-z_]+")
APPS = ("shopsafe", "quizzes", "machines")


def kinds() -> dict[str, set[str]]:
    """Kind → the files that append it. Raises AssertionError for a call whose kind can't be read from its source."""
    files_by_kind: dict[str, set[str]] = {}
    for path in sorted(path for app in APPS for path in (ROOT / app).rglob("*.py")):
        source = path.read_text()
        if not ("append(" in source or "append_all(" in source) or path.name == "append.py":
            continue
        module = Module(path, ast.parse(source))
        for call in module.calls("append") if module.imports_append else ():
            for kind in module.texts(keyword(call, "kind"), call):
                files_by_kind.setdefault(kind, set()).add(str(path.relative_to(ROOT)))
        if any(module.calls("append_all")):
            for kind in module.kinds_beside_payloads():
                files_by_kind.setdefault(kind, set()).add(str(path.relative_to(ROOT)))
    return files_by_kind


def parts_of(payload: object) -> Iterator[str]:
    """The names of the parts of an entry and of what is in them. What has a name or a label of its own has none."""
    if isinstance(payload, dict):
        if set(payload) not in ({"id", "name"}, {"label", "text"}, {"sentence", "entry"}):
            yield from payload
        for value in payload.values():
            yield from parts_of(value)
    elif isinstance(payload, list):
        for value in payload:
            yield from parts_of(value)


def keyword(call: ast.Call, name: str) -> ast.expr | None:
    return next((argument.value for argument in call.keywords if argument.arg == name), None)


class Module:
    def __init__(self, path: Path, tree: ast.Module) -> None:
        self.path, self.tree = path, tree
        self.imports_append = any(
            isinstance(node, ast.ImportFrom) and node.module == "shopsafe.logbook.append" for node in ast.walk(tree)
        )
        self.functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]

    def calls(self, name: str) -> Iterator[ast.Call]:
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
                yield node

    def kinds_beside_payloads(self) -> Iterator[str]:
        """The kinds of entries that append_all() takes: pairs of a kind such as "student.enrolled" and a payload."""
        for node in ast.walk(self.tree):
            match node:
                case ast.Tuple(elts=[ast.Constant(value=str(kind)), _]) if KIND.fullmatch(kind):
                    yield kind

    def texts(self, value: ast.expr | None, call: ast.Call) -> Iterator[str]:
        """Every text that `value`, an argument of `call`, can be."""
        match value:
            case ast.Constant(value=str(text)):
                yield text
            case ast.IfExp(body=one, orelse=other):
                yield from self.texts(one, call)
                yield from self.texts(other, call)
            case ast.Attribute(value=ast.Name(id="chain"), attr=name):
                yield getattr(importlib.import_module("shopsafe.logbook.rules.chain"), name)
            case ast.Name(id=name):
                yield from self.handed_over(name, call)
            case _:
                raise AssertionError(f"{self.path}:{call.lineno}: which kind is this?")

    def handed_over(self, name: str, call: ast.Call) -> Iterator[str]:
        """`name` is a parameter of the function round `call`: what each of its callers gives for it."""
        function = next(outer for outer in self.functions if call in ast.walk(outer))
        names = [parameter.arg for parameter in function.args.args]
        callers = list(self.calls(function.name))
        assert name in names, f"{self.path}:{call.lineno}: {name} is no parameter"
        assert callers, f"{self.path}:{call.lineno}: no one calls {function.name}"
        place = names.index(name)
        for caller in callers:
            argument = caller.args[place] if place < len(caller.args) else keyword(caller, name)
            yield from self.texts(argument, caller)
