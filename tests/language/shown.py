"""What people read of a page, and which words of it were never handed to a translator."""

import json
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import models

from machines.floor.rules.closing import STARTER_LINES
from quizzes.questions.lengths import SPOKEN
from shopsafe.language.pseudo import PLAIN
from shopsafe.language.templates import READ
from shopsafe.school.models import Person

READ_ATTRIBUTES = set(READ.split("|"))
UNREAD = {"script", "style"}
BLANK = "____"  # a rule is shown in parts around the word to recall
# A word with a letter that would have an accent if it had been looked up.
PLAIN_WORD = re.compile(rf"[A-Za-z'’]*[{PLAIN}][A-Za-z'’]*")
# What is no word: digests, what a script fills in, sections of law, codes and addresses.
NO_WORDS = re.compile(
    r"\b[0-9a-f]{6,}…?|\{\w+\}|\b\d+ CFR [\d.()a-z]+|\bhttps?://\S+|\b[A-Z0-9]{4}-[A-Z0-9]{2,4}\b", re.IGNORECASE
)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.skipped = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.skipped = tag if tag in UNREAD else self.skipped
        self.texts += [value for name, value in attrs if name in READ_ATTRIBUTES and value]

    def handle_endtag(self, tag: str) -> None:
        self.skipped = "" if tag == self.skipped else self.skipped

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.texts.append(data)


def texts_of(html: str) -> set[str]:
    """The texts of a page, and its attributes that are read or heard."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return {" ".join(text.split()) for text in reader.texts} - {""}


class English:
    """Finds English on pages. What the database at hand and the fixtures say is left out: people typed it."""

    def __init__(self) -> None:
        self.known: list[str] = []

    def left_on(self, html: str) -> set[str]:
        """The texts of a page in which words are left that no one typed."""
        texts = {text for text in texts_of(html) if words_left(text)}
        left = {text for text in texts if self._is_left(text)}
        if left:
            self.known = sorted({*self.known, *_typed()}, key=len, reverse=True)
            left = {text for text in left if self._is_left(text)}
        return left

    def _is_left(self, text: str) -> bool:
        rest, lower = text, text.lower()  # a name is also written small, inside of a sentence
        for typed in self.known:
            while (at := lower.find(typed)) >= 0:
                rest, lower = (f"{part[:at]} {part[at + len(typed) :]}" for part in (rest, lower))
                if not words_left(rest):
                    return False
        return bool(words_left(rest))


def words_left(text: str) -> list[str]:
    return [word for word in PLAIN_WORD.findall(NO_WORDS.sub(" ", text)) if len(word) > 1]


def _typed() -> set[str]:
    """Every text in the database that is no code of a choice, each word of a name, and what the fixtures say."""
    texts: set[str] = set()
    for model in apps.get_models():
        fields = [
            field.name
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField | models.JSONField) and not field.choices
        ]
        for row in model._base_manager.values_list(*fields) if fields else ():
            for value in row:
                texts.update(part for text in strings_in(value) for part in (text, *text.split(BLANK)))
    for name in Person.objects.values_list("name", flat=True):
        texts.update(name.split())
    return {" ".join(text.lower().split()) for text in texts | _fixtures() if len(text) > 2}


@cache
def _fixtures() -> set[str]:
    folder = Path(settings.BASE_DIR, "fixtures")
    texts = {text for file in folder.rglob("*.toml") for text in strings_in(tomllib.loads(file.read_text()))}
    cells = {cell.strip(" `*") for cell in (folder / "shelf" / "SOURCES.md").read_text().replace("\n", "|").split("|")}
    # A new shop's closing list is the shop's own to edit; units are written as they are stored.
    return texts | cells | {*STARTER_LINES, ", ".join(SPOKEN)}


def strings_in(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for part in value.values():
            yield from strings_in(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from strings_in(part)
    elif isinstance(value, str):
        if value[:1] in ("{", "["):
            try:
                yield from strings_in(json.loads(value))
            except ValueError:
                yield value
        else:
            yield value
