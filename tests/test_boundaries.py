"""The layers hold where the import linter can't see: in foreign keys by string, in templates, and inside a rule."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest
from django.apps import apps
from django.urls import URLPattern, URLResolver, get_resolver

from machines.records import erasure
from shopsafe.school import access
from shopsafe.school.models import Person
from tests.house.house_rules import at_clock, in_act, in_template, in_view, without_noun

ROOT = Path(__file__).resolve().parent.parent

# Who may name whom. The ground (school) knows the two floors under it, and nothing knows what is above it.
MAY_NAME = {
    "machines": {"machines", "quizzes", "school", "logbook", "paper"},
    "quizzes": {"quizzes", "school", "logbook", "paper"},
    "school": {"school", "logbook", "paper"},
    "logbook": {"logbook"},
    "paper": {"paper"},
}
OWN_APPS = sorted(MAY_NAME)
CLOCKS = {"now", "today", "utcnow", "localtime", "localdate"}


def rule_modules() -> list[str]:
    """The files of the import contract "rules", by wildcard: modules and packages."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    names = next(contract["source_modules"] for contract in contracts if contract["id"] == "rules")
    patterns = [name.replace(".", "/") for name in names]
    modules = [path for pattern in patterns for path in [*ROOT.glob(f"{pattern}.py"), *ROOT.glob(f"{pattern}/**/*.py")]]
    ours = [path.relative_to(ROOT) for path in modules if path.name != "__init__.py"]
    return sorted({str(path) for path in ours if path.parts[0] in ("shopsafe", "quizzes", "machines")})


RULES = rule_modules()


def app_of(module: str) -> str:
    """`shopsafe.school.pages.look_views` → school; `quizzes.urls` → quizzes."""
    parts = module.split(".")
    return parts[1] if parts[0] == "shopsafe" else parts[0]


# Foreign keys


@pytest.mark.parametrize("label", [label for label in OWN_APPS if apps.is_installed(f"shopsafe.{label}")] + ["quizzes"])
def test_a_foreign_key_never_points_up(label: str) -> None:
    for model in apps.get_app_config(label).get_models():
        for field in model._meta.get_fields():
            other = getattr(field, "remote_field", None) and not field.auto_created and field.related_model
            if other and other._meta.app_label in MAY_NAME:
                assert other._meta.app_label in MAY_NAME[label], f"{model.__name__}.{field.name}"


def keys_to_a_person() -> Iterator[tuple[str, str]]:
    for model in apps.get_models(include_auto_created=True):
        for field in model._meta.get_fields():
            if (field.many_to_one or field.one_to_one) and not field.auto_created and field.related_model is Person:
                yield model._meta.label, field.name


def test_erasing_a_student_follows_every_key_to_a_person() -> None:
    """A new table that names a person: a row of a student's goes into PARTS, one of a staff member's into GROWN_UPS."""
    erased = {(part.model._meta.label, part.of) for part in erasure.PARTS}
    others = erasure.GROWN_UPS | erasure.SIGNED_IN
    covered = erased | {(label, name) for label, names in others.items() for name in names}
    keys = set(keys_to_a_person())
    assert not keys - covered, "say in machines/records/erasure.py what becomes of these when a student is erased"
    assert not {key for key in covered - keys if "__" not in key[1]}, "there is no such key any more"


# Templates: one folder an app


def templates() -> Iterator[tuple[Path, str]]:
    for path in sorted((ROOT / "templates").rglob("*.html")):
        yield path, path.relative_to(ROOT / "templates").parts[0]


def owners_of_routes() -> dict[str, str]:
    """URL name → the app whose view answers it."""

    def walk(resolver: URLResolver) -> Iterator[URLPattern]:
        for pattern in resolver.url_patterns:
            yield from walk(pattern) if isinstance(pattern, URLResolver) else [pattern]

    return {str(pattern.name): app_of(pattern.callback.__module__) for pattern in walk(get_resolver())}


def test_a_template_links_only_to_its_own_floor_and_below() -> None:
    owners = owners_of_routes()
    wrong = []
    for path, folder in templates():
        # base.html and components/ belong to everyone, so they may name the ground alone.
        may = MAY_NAME.get(folder, MAY_NAME["school"])
        for name in re.findall(r"""\{% url ["']([^"']+)["']""", path.read_text(encoding="utf-8")):
            if name not in owners:
                wrong.append(f"{path.name}: there is no route {name}")
            elif owners[name] in MAY_NAME and owners[name] not in may:
                wrong.append(f"{path.relative_to(ROOT)} links up to {name} of {owners[name]}")
    assert not wrong, "\n".join(wrong)


def test_a_template_takes_parts_only_from_its_own_floor_and_below() -> None:
    wrong = []
    for path, folder in templates():
        may = MAY_NAME.get(folder, MAY_NAME["school"])
        for name in re.findall(r"""\{% (?:include|extends) ["']([^"']+)["']""", path.read_text(encoding="utf-8")):
            if not (ROOT / "templates" / name.split("#")[0]).is_file():
                wrong.append(f"{path.relative_to(ROOT)}: there is no template {name}")
            elif name.split("/")[0] in MAY_NAME and name.split("/")[0] not in may:
                wrong.append(f"{path.relative_to(ROOT)} takes {name}")
    assert not wrong, "\n".join(wrong)


# Rules


@pytest.mark.parametrize("name", RULES)
def test_a_rule_is_handed_its_moment_and_its_dice(name: str) -> None:
    tree = ast.parse((ROOT / name).read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            assert node.func.attr not in CLOCKS, f"{name}:{node.lineno} looks at the clock"
            of_module = isinstance(node.func.value, ast.Name) and node.func.value.id == "random"
            assert not of_module or node.func.attr == "Random", f"{name}:{node.lineno} throws its own dice"


@pytest.mark.parametrize("name", RULES)
def test_facts_of_a_rule_are_frozen(name: str) -> None:
    tree = ast.parse((ROOT / name).read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            for mark in node.decorator_list:
                text = ast.unparse(mark)
                assert not text.startswith("dataclass") or "frozen=True" in text, f"{name}: {node.name} can be changed"


# The house rules find what they are there to find


@pytest.mark.parametrize(
    "html",
    [
        '<p style="color: red">',
        "<style>p {}</style>",
        "<script>go()</script>",
        '<button onclick="go()">',
        '<div hx-on:click="go()">',
        """<div hx-vals='js:{"a": b}'>""",
        '<a href="javascript:go()">',
        """<div hx-trigger="click[ctrlKey]">""",
    ],
)
def test_house_rules_find_script_and_style_in_a_template(html: str) -> None:
    assert [line for line, _ in in_template(f"{{# a comment #}}\n{html}", paper=False)] == [2]


def test_house_rules_let_the_rest_pass() -> None:
    html = (
        """<script src="{% static 'js/sheet.js' %}" defer></script><p class="style" data-on="1" hx-trigger="change">"""
    )
    assert not list(in_template(html + '{# <p style="x"> #}', paper=False))
    assert not list(in_template("<style>@page {}</style>", paper=True))


def test_house_rules_find_a_view_that_goes_round_access() -> None:
    assert [line for line, _ in in_view("def page(request):\n    return Person.objects.get(pk=1)\n")] == [2]
    assert not list(in_view("rows = access.sections_for(request.user)  # never Section.objects\n"))


def test_house_rules_find_a_value_that_is_not_called_by_what_it_holds() -> None:
    source = "def off(machines):\n    out = {machine for machine in machines}\n    return [there for there in out]\n"
    assert [line for line, _ in without_noun(source)] == [2, 3]
    assert list(without_noun(source.replace("out", "tag_outs").replace("there", "machine"))) == []
    fields = "class Row:\n    out: int\n    found = CharField()\n\ndef clear(*, found): ...\ndef first(one): ...\n"
    assert [line for line, _ in without_noun(fields)] == [2, 5, 6]


def test_house_rules_find_an_act_that_goes_round_the_gate() -> None:
    assert [line for line, _ in in_act("\n@transaction.atomic(durable=True)\ndef sign_off():\n")] == [2]
    assert [line for line, _ in in_act("row = Person.objects.select_for_update().get(pk=1)\n")] == [1]
    assert [line for line, _ in at_clock("at = timezone.now()\nat = act_moment(school, at)\n")] == [1]
    assert not list(in_act("@act\ndef sign_off():\n    lock(student)  # not select_for_update()\n"))


# Closed sets


def test_every_deed_has_its_roles_and_every_role_is_known() -> None:
    assert set(access.ALLOWED_ROLES) == set(get_args(access.Deed.__value__))
    roles = set(get_args(access.Role.__value__))
    assert all(allowed <= roles for allowed in access.ALLOWED_ROLES.values())
