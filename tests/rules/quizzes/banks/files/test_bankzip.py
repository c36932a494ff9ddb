"""Bank files in zips: the same bytes each time; every zip that is wrong or hostile gets a sentence."""

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from quizzes.banks.files.rules import zip_file
from quizzes.banks.files.rules.preview import look
from quizzes.banks.files.rules.toml_file import read_bank, write_bank
from quizzes.banks.files.rules.zip_file import pack, read_sent
from quizzes.banks.rules.fields import BankFileError
from quizzes.facts import BankText
from tests.factories.bank_texts import a_bank, a_one, a_rule, banks
from tests.shelf.banks import CODES

SHELF = sorted(path for path in Path(settings.SHELF).glob("*.toml") if "[bank]" in path.read_text(encoding="utf-8"))
DRAWING = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 360"><path d="M0 0h9"/></svg>'


def zipped(files: Mapping[str, bytes], **more: int) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", **more) as archive:  # type: ignore[call-overload]
        for name, content in files.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def shown(content: bytes) -> tuple[str, bytes]:
    """What comes out again of a file that came in."""
    looked = look(content, {})
    assert looked.bank is not None, looked.problems
    text = write_bank(looked.bank)
    pictures = {name: looked.contents[facts.digest] for name, facts in looked.pictures.items()}
    return text, pack(looked.bank.code, text, pictures) if pictures else text.encode()


def from_shelf(path: Path) -> bytes:
    bank = read_bank(path.read_text(encoding="utf-8"))
    names = {rule.picture for rule in bank.rules} | {getattr(question, "picture", "") for question in bank.questions}
    pictures = {name: (path.parent / "pictures" / name).read_bytes() for name in names if name}
    return pack(bank.code, write_bank(bank), pictures)


def test_the_shelf_is_there() -> None:
    assert [path.stem for path in SHELF] == CODES


@pytest.mark.parametrize("path", SHELF, ids=lambda path: path.stem)
def test_a_bank_of_the_shelf_comes_out_as_it_went_in(path: Path) -> None:
    packed = from_shelf(path)
    text, again = shown(packed)
    assert again == packed
    assert read_bank(text) == read_bank(path.read_text(encoding="utf-8"))


@given(banks(), st.binary(max_size=40))
@hypothesis_settings(max_examples=25)
def test_any_bank_comes_out_as_it_went_in(bank: BankText, comment: bytes) -> None:
    drawing = DRAWING.replace(b"M0 0h9", b"M0 0h%d" % len(comment))
    names = {question.picture for question in bank.questions if question.kind == "spot"}  # type: ignore[attr-defined]
    packed = pack(bank.code, write_bank(bank), dict.fromkeys(names, drawing)) if names else write_bank(bank).encode()
    assert shown(packed)[1] == packed


def test_line_ends_and_marks_of_other_computers_are_read() -> None:
    text = write_bank(a_bank(questions=(a_one(),)))
    assert read_sent(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()).text == text


def test_files_of_other_systems_in_a_zip_are_ignored() -> None:
    files = {"a.toml": b"x", "pictures/": b"", "__MACOSX/a": b"", "pictures/.DS_Store": b"", "pictures/a.svg": b"y"}
    sent = read_sent(zipped(files))
    assert (sent.text, sent.pictures) == ("x", {"a.svg": b"y"})


LOCKED = bytearray(zipped({"a.toml": b"x"}))
LOCKED[6] |= 1  # the flag of a password, in the file's own header
LOCKED[LOCKED.index(b"PK\x01\x02") + 8] |= 1  # and in the list at the end


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfe\x00", "UTF-8"),
        (b"PK nothing more", "broken"),
        (zipped({"a.toml": b"x" * 99})[:-30], "broken"),
        (bytes(LOCKED), "password"),
        (zipped({}), "0 bank files"),
        (zipped({"a.toml": b"x", "b.toml": b"x"}), "2 bank files"),
        (zipped({"a.toml": b"x", "../b.svg": b"x"}), "“../b.svg” does not belong"),
        (zipped({"a.toml": b"x", "/etc/passwd": b"x"}), "does not belong"),
        (zipped({"a.toml": b"x", "pictures/../../b.svg": b"x"}), "does not belong"),
        (zipped({"a.toml": b"x", "pictures/run.exe": b"x"}), "does not belong"),
        (zipped({"folder/a.toml": b"x"}), "does not belong"),
        (zipped({"a.toml": b"\xff"}), "UTF-8"),
        (zipped({f"pictures/a{n}.svg": b"" for n in range(201)} | {"a.toml": b"x"}), "202 files"),
        (zipped({"a.toml": b" " * 3_000_000}, compression=zipfile.ZIP_DEFLATED), "too large"),
        (zipped({"a.toml": b"x", "pictures/a.svg": b" " * 9_000_000}, compression=zipfile.ZIP_DEFLATED), "too large"),
        (b"x" * (zip_file.MOST_SENT + 1), "10 MB"),
    ],
)
def test_a_file_that_is_wrong_or_hostile_gets_a_sentence(content: bytes, said: str) -> None:
    with pytest.raises(BankFileError, match=said):
        read_sent(content)


def test_the_pictures_together_have_a_cap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zip_file, "MOST_IN_ALL", 1000)
    files = {"a.toml": b"x"} | {f"pictures/a{n}.svg": b"y" * 400 for n in range(3)}
    with pytest.raises(BankFileError, match=r"a2\.svg” is too large"):
        read_sent(zipped(files))


def test_a_zip_that_says_it_is_small_is_not_believed() -> None:
    """The sizes in the zip say 1 byte; what comes out is more."""
    bomb = bytearray(zipped({"a.toml": b" " * 3_000_000}, compression=zipfile.ZIP_DEFLATED))
    for at in (22, bomb.index(b"PK\x01\x02") + 24):
        bomb[at : at + 4] = (1).to_bytes(4, "little")
    with pytest.raises(BankFileError):
        read_sent(bytes(bomb))


def test_a_file_with_the_same_name_twice() -> None:
    twice = zipped({"a.toml": b"x", "b.toml": b"y"}).replace(b"b.toml", b"a.toml")
    with pytest.raises(BankFileError, match="twice"):
        read_sent(twice)


@given(st.binary(max_size=300), st.integers(0, 200))
def test_no_bytes_break_the_reader(junk: bytes, at: int) -> None:
    good = zipped({"a.toml": b"x" * 20, "pictures/a.svg": b"y"})
    for content in (junk, b"PK\x03\x04" + junk, good[:at] + junk[:8] + good[at + 8 :]):
        try:
            read_sent(content)
        except BankFileError:
            continue


# ---- looked at ------------------------------------------------------------------------------------------------------


def test_each_item_is_shown_with_its_line() -> None:
    looked = look(write_bank(a_bank(questions=(a_one(),))).encode(), {})
    lines = [(line.line, line.what, line.code) for line in looked.lines]
    text = write_bank(a_bank(questions=(a_one(),))).splitlines()
    assert lines == [
        (text.index("[[value]]") + 1, "number to know", "guard-gap"),
        (text.index("[[rule]]") + 1, "rule", "guard-low"),
        (text.index("[[question]]") + 1, "question", "guard-low-1"),
    ]


def test_a_picture_that_is_missing_is_named_with_its_line() -> None:
    bank = a_bank(rules=(a_rule(picture="saw.svg", picture_alt="A saw."),), questions=(a_one(),))
    text = write_bank(bank)
    (problem,) = look(text.encode(), {}).problems
    assert (problem.line, problem.where) == (text.splitlines().index("[[rule]]") + 1, "picture saw.svg")
    assert "Put it into pictures/" in problem.sentence


def test_places_outside_their_picture_are_named() -> None:
    small = DRAWING.replace(b"480 360", b"8 8")
    looked = look(pack("a", write_bank(a_bank()), {"saw.svg": small}), {})
    assert [problem.where for problem in looked.problems] == ["question q-spot"]


def test_a_picture_that_nothing_shows_stays_out() -> None:
    packed = pack("a", write_bank(a_bank(questions=(a_one(),))), {"idle.svg": DRAWING})
    assert (look(packed, {}).idle, look(packed, {}).pictures) == (("idle.svg",), {})
