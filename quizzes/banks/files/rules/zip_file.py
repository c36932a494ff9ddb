"""A bank file with its pictures as one zip: written the same way each time, read with every size capped.

In the zip stand one bank file, `band-saw.toml`, and the pictures it names, under `pictures/`.
"""

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from quizzes.banks.files.rules.toml_file import LARGEST
from quizzes.banks.rules.fields import PICTURE, BankFileError, Problem
from shopsafe.files.unpacking import BadZip, listed, unpacked
from shopsafe.language.messages import _, marked
from shopsafe.school.naming.rules.characters import UNSEEN

FOLDER = "pictures/"
BANK = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}\.toml\Z")
MOST_FILES = 200
MOST_OF_A_PICTURE = 5 * 1024 * 1024
MOST_IN_ALL = 20 * 1024 * 1024  # bytes, unpacked
MOST_SENT = 10 * 1024 * 1024  # bytes of the file as it is sent
WRITTEN = (1980, 1, 1, 0, 0, 0)  # one moment for every zip, so that the same bank gives the same bytes
PLAIN_FILE = 0o100644 << 16
ZIP = b"PK"


@dataclass(frozen=True)
class UploadedFile:
    """A bank file as it was sent: its text, and its pictures by the name the text calls them."""

    text: str
    pictures: Mapping[str, bytes] = field(default_factory=dict)


def pack(name: str, text: str, pictures: Mapping[str, bytes]) -> bytes:
    """The zip of a bank file and its pictures. Nothing is squeezed: the bytes are the same with every zlib."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for path, content in (
            (f"{name}.toml", text.encode()),
            *((FOLDER + picture, pictures[picture]) for picture in sorted(pictures)),
        ):
            entry = zipfile.ZipInfo(path, WRITTEN)
            entry.external_attr, entry.create_system = PLAIN_FILE, 3
            archive.writestr(entry, content)
    return buffer.getvalue()


def read_sent(content: bytes) -> UploadedFile:
    """A bank file, or a zip of one. Raises BankFileError."""
    if len(content) > MOST_SENT:
        raise _wrong(_("It is larger than 10 MB. Use fewer or smaller pictures."))
    if not content.startswith(ZIP):
        return UploadedFile(_text(_("the file"), content))
    try:
        return _unpacked(content, [entry for entry in listed(content) if not _idle(entry)])
    except BadZip as error:
        raise _wrong(_no_zip(error)) from error


def _no_zip(error: BadZip) -> str:
    """What is wrong with the zip, and what to do."""
    sentence = NO_ZIP.get(error.code, marked("This zip is broken. Make a new one."))
    return _(sentence, file=error.member, number=MOST_FILES)


NO_ZIP = {
    "password": marked("This zip can't be opened. Make a new zip without a password."),
    "packing": marked("“{file}” is compressed in an unusual way. Make a new zip with your computer's own tool."),
    "size": marked("“{file}” is too large. A picture is 5 MB at most, all together 20 MB."),
    "twice": marked("“{file}” is in it twice. Make a new zip."),
    "many": marked("It holds more than {number} files. Leave out what the bank does not show."),
}


def _unpacked(content: bytes, entries: Sequence[zipfile.ZipInfo]) -> UploadedFile:
    if len(entries) > MOST_FILES:
        raise _wrong(_("It holds {number} files, and {most} is the most.", number=len(entries), most=MOST_FILES))
    names = [zip_member.filename for zip_member in entries]
    for name in names:
        if not BANK.match(name) and not (name.startswith(FOLDER) and PICTURE.match(name.removeprefix(FOLDER))):
            raise _wrong(
                _(
                    "“{name}” does not belong in it: one bank file, and pictures under {folder}",
                    name=name[:80].translate(UNSEEN),
                    folder=FOLDER,
                )
            )
    banks = [zip_member for zip_member in entries if BANK.match(zip_member.filename)]
    if len(banks) != 1:
        raise _wrong(_("It holds {number} bank files (.toml). Put in one.", number=len(banks)))
    ordered = [*banks, *(entry for entry in entries if entry not in banks)]
    read = dict(unpacked(content, ordered, _most_of, MOST_IN_ALL))
    text = _text(banks[0].filename, read.pop(banks[0].filename))
    return UploadedFile(text, {name.removeprefix(FOLDER): content for name, content in read.items()})


def _idle(entry: zipfile.ZipInfo) -> bool:
    """Folders, and what some computers put beside the files of a zip."""
    return entry.is_dir() or entry.filename.startswith("__MACOSX/") or entry.filename.endswith(".DS_Store")


def _most_of(name: str) -> int:
    return LARGEST if BANK.match(name) else MOST_OF_A_PICTURE


def _text(name: str, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise _wrong(_("“{name}” is not a text file in UTF-8. Save it as UTF-8.", name=name)) from error


def _wrong(sentence: str) -> BankFileError:
    return BankFileError((Problem(0, _("the file"), sentence),))
