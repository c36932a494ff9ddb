"""The files of a catalog: messages.pot, a .po for each language, and the .mo that is made of it."""

import gettext
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import django
import polib

from shopsafe.language.catalogs.collecting import Collected

TEMPLATE = "messages.pot"
# {name}, %(name)s, <a1>, </a1>
PLACE = re.compile(r"\{[^{}]*\}|%\(\w+\)[sd]|%[sd]|<[^<>]*>")
TEMPLATE_CODE = re.compile(r"\{[{%#]|[%#}]\}")
HEAD = {"MIME-Version": "1.0", "Content-Type": "text/plain; charset=UTF-8", "Content-Transfer-Encoding": "8bit"}


def template_of(sentences: Iterable[Collected]) -> polib.POFile:
    """All sentences, each once, in the order in which they were collected."""
    file = polib.POFile(wrapwidth=110)
    file.metadata = dict(HEAD)
    entries: dict[tuple[str, str], polib.POEntry] = {}
    for each in sentences:
        key = (each.message.text, each.message.plural)
        if key not in entries:
            plural = {"msgid_plural": key[1], "msgstr_plural": {0: "", 1: ""}} if key[1] else {}
            entries[key] = polib.POEntry(msgid=key[0], **plural)
            file.append(entries[key])
        entry = entries[key]
        entry.occurrences.append((each.path, str(each.line)))
        if each.around and each.around not in entry.comment:
            entry.comment = "\n".join(filter(None, [entry.comment, f"In: {each.around}"]))
    return file


def catalog_of(folder: Path, language: str) -> Path:
    """Where the translations of a language stand."""
    return folder / language.replace("-", "_") / "LC_MESSAGES" / "django.po"


def catalogs(folder: Path) -> list[Path]:
    return sorted(folder.glob("*/LC_MESSAGES/django.po"))


def bring_up_to_date(path: Path, template: polib.POFile) -> polib.POFile:
    """The catalog with the sentences of today: new ones empty, and those that are gone put aside."""
    if path.exists():
        file = polib.pofile(str(path), wrapwidth=110)
    else:
        file = polib.POFile(wrapwidth=110)
        locale = path.parent.parent.name
        file.metadata = HEAD | {"Language": locale, "Plural-Forms": plural_forms(locale)}
        path.parent.mkdir(parents=True)
    file.merge(template)
    for entry in file:
        if entry.msgid_plural:
            entry.msgstr_plural = {form: entry.msgstr_plural.get(form, "") for form in range(forms_in(file))}
    file.save(str(path))
    return file


def plural_forms(locale: str) -> str:
    """The rule by which a language counts, as Django's own catalog has it."""
    folder = Path(django.__file__).parent / "conf" / "locale"
    django_catalog = gettext.find("django", str(folder), [locale])
    rule = polib.mofile(django_catalog).metadata.get("Plural-Forms") if django_catalog else None
    return rule or "nplurals=2; plural=(n != 1);"


def forms_in(file: polib.POFile) -> int:
    """How many forms a sentence with a count has in the language of this catalog."""
    match = re.match(r"nplurals\s*=\s*(\d+)", file.metadata.get("Plural-Forms", ""))
    return int(match[1]) if match else 2


def problems(path: Path) -> Iterator[str]:
    """A line for each translation that does not fill in, or set, what its sentence does."""
    file = polib.pofile(str(path))
    for entry in file:
        if entry.obsolete or "fuzzy" in entry.flags:
            continue
        forms = list(entry.msgstr_plural.values()) if entry.msgid_plural else [entry.msgstr]
        if entry.msgid_plural and any(forms) and not (all(forms) and len(forms) == forms_in(file)):
            yield f"{path}:{entry.linenum}: not all {forms_in(file)} forms of “{entry.msgid}”"
        for number, form in enumerate(forms):
            may_lack = entry.msgid_plural and number < len(forms) - 1  # "one machine" need not say "1"
            if form and (wrong := _wrong(entry, form, bool(may_lack))):
                yield f"{path}:{entry.linenum}: {wrong} in “{form}”"


def _wrong(entry: polib.POEntry, form: str, may_lack: bool) -> str:
    if TEMPLATE_CODE.search(form) and not TEMPLATE_CODE.search(entry.msgid):
        return "code of a template"
    originals = [entry.msgid, entry.msgid_plural] if entry.msgid_plural else [entry.msgid]
    wanted, has = set().union(*map(PLACE.findall, originals)), PLACE.findall(form)
    if unknown := [place for place in has if place not in wanted]:
        return f"unknown {', '.join(unknown)}"
    lacking = [place for place in PLACE.findall(originals[-1]) if place not in has]
    if lacking and not (may_lack and all(place.startswith("{") for place in lacking)):
        return f"no {', '.join(lacking)}"
    return "" if _is_nested(has) else "an element that is not closed, or closed too early,"


def _is_nested(places: Iterable[str]) -> bool:
    opened: list[str] = []
    for place in places:
        if place.startswith("</"):
            if not opened or opened.pop() != place[2:-1]:
                return False
        elif place.startswith("<"):
            opened.append(place[1:-1].split()[0])
    return not opened


def compile_catalog(path: Path) -> int:
    """Writes the .mo beside it; how many sentences it translates."""
    file = polib.pofile(str(path))
    file.save_as_mofile(str(path.with_suffix(".mo")))
    return len(file.translated_entries())
