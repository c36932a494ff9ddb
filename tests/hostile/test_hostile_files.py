"""Every hostile upload is refused with its file and the reason, in little memory and time; sound files come in."""

import json
import subprocess
import sys
from typing import Any

import pytest
from django.conf import settings

from quizzes.banks.files.rules.preview import look
from quizzes.banks.pictures.drawings import plain_size
from shopsafe.school.rosters.rules import preview, read_file
from tests.hostile.files import HOSTILE, SVG, bank_with, book_parts, drawing, image, toml, uses, zipped

MOST_MEGABYTES = 300
MOST_SECONDS = 5
LEAST_FILES = 60


def measured(*names: str) -> dict[str, dict[str, Any]]:
    run = [sys.executable, "-m", "tests.hostile.measure", *names]
    process = subprocess.run(run, cwd=settings.BASE_DIR, capture_output=True, check=True, timeout=300)
    answers: dict[str, dict[str, Any]] = json.loads(process.stdout)
    return answers


def test_hostile_file_is_refused_within_its_memory_and_time_limits() -> None:
    answers = measured()
    assert len(answers) == len(HOSTILE) >= LEAST_FILES
    unsaid = {name: answer["said"] for name, answer in answers.items() if HOSTILE[name].said not in answer["said"]}
    assert not unsaid
    unnamed = [name for name, answer in answers.items() if not names_its_file(name, answer["said"])]
    assert not unnamed
    megabytes = max(answers.values(), key=lambda answer: answer["megabytes"])
    seconds = max(answers.values(), key=lambda answer: answer["seconds"])
    print(f"{len(answers)} hostile files: at most {megabytes['megabytes']} MB and {seconds['seconds']} s")
    assert megabytes["megabytes"] < MOST_MEGABYTES, megabytes
    assert seconds["seconds"] < MOST_SECONDS, seconds


def names_its_file(name: str, said: str) -> bool:
    """A class list by its name; a bank file by its picture or table, since the page shows the name of the file."""
    if HOSTILE[name].reader == "roster":
        return said.startswith(f"{name}: ")
    if HOSTILE[name].reader == "pasted":
        return said.startswith("Pasted text: ")
    return any(place in said for place in ("the file", "picture ", "[bank]", "[[rule]]", "[more]", "number 1"))


@pytest.mark.parametrize(
    "inside",
    [
        b'<path fill="url(#a)" style="stroke: #123; stroke-width: 2px" d="M0 0h9"/>',
        b'<g clip-path="url(\'#a\')"><text x="1" font-family="\'Noto Sans\', serif" aria-label="A saw">Saw</text></g>',
        b'<marker id="m"><path d="M0 0h9"/></marker><path marker-end="url(#m)" d="M0 0h9"/>',
        uses(10),
        b"<!-- <svg> -->",
    ],
)
def test_a_drawing_of_plain_shapes_still_comes_in(inside: bytes) -> None:
    assert look(drawing(inside), {}).problems == ()


def test_the_size_of_a_drawing_is_that_of_its_view_box() -> None:
    assert plain_size(b'<?xml version="1.0" encoding="UTF-8"?>' + SVG + b"</svg>") == (480, 360)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_photo_still_comes_in(kind: str) -> None:
    assert look(bank_with(f"saw.{'jpg' if kind == 'JPEG' else kind.lower()}", image(kind, (600, 400))), {}).bank


def test_a_compressed_bank_and_a_compressed_workbook_still_come_in() -> None:
    assert look(zipped({"a.toml": toml().encode()}), {}).bank
    assert preview(read_file("a.xlsx", zipped(book_parts())), []).counts["ready"] == 1


@pytest.mark.nightly
def test_the_largest_photos_are_taken_within_the_same_memory() -> None:
    largest = ("largest.png", "largest.jpg", "largest.webp")
    answers = measured(*largest)
    assert [told["said"] for told in answers.values()] == ["", "", ""]
    assert max(told["megabytes"] for told in answers.values()) < MOST_MEGABYTES
