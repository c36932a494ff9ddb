"""From sentences to a page in Spanish: collected, translated, checked, compiled."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polib
import pytest
from django.core.management import CommandError, call_command
from django.template.loader import get_template
from django.utils import translation
from django.utils.translation import trans_real

from shopsafe.language.catalogs.collecting import in_python, in_template
from shopsafe.language.catalogs.files import problems
from shopsafe.language.messages import counted

BLANK = ("{count} blank row was left out.", "{count} blank rows were left out.")


@pytest.fixture
def folder(tmp_path: Path, settings: Any) -> Iterator[Path]:
    settings.LOCALE_PATHS = [tmp_path]
    yield tmp_path
    trans_real._translations.pop("es", None)


def run(*arguments: str, capsys: Any) -> Any:
    call_command("messages", *arguments)
    return json.loads(capsys.readouterr().out)


def test_a_page_is_read_in_spanish(folder: Path, capsys: Any) -> None:
    done = run("collect", "es", capsys=capsys)
    assert done["not translated"] == {"es": done["sentences"]}
    path = folder / "es" / "LC_MESSAGES" / "django.po"
    file = polib.pofile(str(path))
    translate(file, "No such page", "Esa página no existe")
    translate(file, BLANK[0], "Sin una fila.", "Sin {count} de filas.", "Sin {count} filas.")
    file.save()
    assert run("compile", capsys=capsys) == {"translated": {"es": 2}}
    with translation.override("es"):
        assert "<h1>Esa página no existe</h1>" in get_template("404.html").render({})
        assert [counted(*BLANK, count=number) for number in (1, 2)] == ["Sin una fila.", "Sin 2 filas."]
    assert run("collect", capsys=capsys)["not translated"] == {"es": done["sentences"] - 2}


def translate(file: polib.POFile, sentence: str, *forms: str) -> None:
    entry = file.find(sentence)
    assert entry, sentence
    if entry.msgid_plural:
        entry.msgstr_plural = dict(enumerate(forms))
    else:
        entry.msgstr = forms[0]


@pytest.mark.parametrize(
    ("sentence", "translated", "wrong"),
    [
        ("{name} uses {machine}.", "{name} usa {machina}.", "unknown {machina}"),
        ("{name} uses {machine}.", "Usa {machine}.", "no {name}"),
        ("See <a1>this</a1> page", "Ver <a1>esta página", "no </a1>"),
        ("See <a1>this</a1> page", "Ver</a1> esta <a1>página", "not closed, or closed too early"),
        ("See <b>this</b>", "Ver <b>esto</b><script>", "unknown <script>"),
        ("Save", "{% now %}", "code of a template"),
        ("%(count)d left", "quedan", "no %(count)d"),
        ("{name} uses <b>{machine}</b>.", "<b>{machine}</b>: {name}.", ""),
        ("Save", "", ""),
    ],
)
def test_a_translation_fills_in_what_its_sentence_does(
    tmp_path: Path, sentence: str, translated: str, wrong: str
) -> None:
    file = polib.POFile()
    file.append(polib.POEntry(msgid=sentence, msgstr=translated))
    file.save(str(tmp_path / "django.po"))
    lines = list(problems(tmp_path / "django.po"))
    assert len(lines) == bool(wrong)
    assert all(line.startswith(f"{tmp_path}/django.po:") and wrong in line for line in lines)


def test_a_wrong_translation_stops_the_compiling(folder: Path) -> None:
    path = folder / "es" / "LC_MESSAGES" / "django.po"
    path.parent.mkdir(parents=True)
    path.write_text('msgid "{name} is here"\nmsgstr "Está aquí"\n')
    with pytest.raises(CommandError, match=r"django\.po:\d+: no \{name\} in “Está aquí”"):
        call_command("messages", "compile")
    assert not path.with_suffix(".mo").exists()


def test_a_sentence_of_python_is_collected_by_whatever_name_looks_it_up() -> None:
    source = """
from django.utils.translation import gettext_lazy as later
from shopsafe.language.messages import _, counted
later("Room")
_("{name} " "may use it", name=name)
_(text)
counted("{count} row", "{count} rows", count=3)
other("Not shown")
"""
    texts = [(each.message.text, each.message.plural, each.line) for each in in_python(source, "x.py")]
    assert texts == [("Room", "", 4), ("{name} may use it", "", 5), ("{count} row", "{count} rows", 7)]


def test_a_sentence_that_is_cut_brings_what_stands_around_it() -> None:
    [first, second] = in_template("<p>Shop\n{% if name %}of {{ name }}{% endif %}</p>", "x.html")
    assert (first.message.text, second.message.text, second.line) == ("Shop", "of {name}", 2)
    assert first.around == "Shop {% if name %}of {{ name }}{% endif %}"
