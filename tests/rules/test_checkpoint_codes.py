"""The short code of a checkpoint: printed, typed, and read again."""

import pytest

from shopsafe.logbook.rules.checkpoint_codes import note, read_code, short_code

ROOT = "3fa29c0177ab0e4491d0" + "ab" * 22
CODE = "1234:3fa2-9c01-77ab-0e44-91d0"


def test_code_is_the_size_and_80_bits_of_the_root() -> None:
    assert short_code(1234, ROOT) == CODE


@pytest.mark.parametrize(
    "text",
    [
        CODE,
        f"  {CODE.upper()} ",
        "1234: 3fa2 9c01 77ab 0e44 91d0",
        "1234:3fa29c0177ab0e4491d0",
        "1234 :3fa2-9c01 77ab-0e4491d0",
    ],
)
def test_code_is_read_as_people_type_it(text: str) -> None:
    assert read_code(text) == (1234, bytes.fromhex(ROOT[:20]))


def test_whole_checkpoint_is_read_too() -> None:
    assert read_code(f"1234:{ROOT}") == (1234, bytes.fromhex(ROOT))


@pytest.mark.parametrize(
    "text",
    [
        "", "1234", ":3fa29c0177ab0e4491d0", "1234:", "1234:3fa2-9c01-77ab-0e44-91d", "1234:3fa2-9c01-77ab-0e44-91",
        f"1234:{ROOT}ab", "-1:3fa29c0177ab0e4491d0", "1234:3fa29c0177ab0e4491dg", "1234:3fa29c0177ab0e4491d0a",
        "١٢:3fa29c0177ab0e4491d0", "1234:3fa2-9c01:77ab-0e44-91d0", "1" * 13 + ":3fa29c0177ab0e4491d0",
    ],
)  # fmt: skip
def test_anything_else_is_not_a_code(text: str) -> None:
    """A code that is too short proves nothing."""
    assert read_code(text) is None


def test_note_says_what_it_stands_for_and_how_to_compare() -> None:
    text = note(size=1234, root=ROOT, at="October 12, 2026, 12:00 PM")
    for part in ("1 to 1234", "October 12, 2026, 12:00 PM", CODE, f"--against 1234:{ROOT}", "Two people"):
        assert part in text
