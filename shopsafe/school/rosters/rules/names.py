"""How a cell becomes a name or a student number, and what speaks against it."""

import re

from shopsafe.language.messages import _
from shopsafe.school.naming.rules.characters import UNSEEN, clean_name, drawn_alike, mixed_alphabets, unfit
from shopsafe.school.naming.rules.names import plain
from shopsafe.school.rosters.rules.facts import ParsedStudent

LONGEST_NAME = 80
MOST_WORDS = 8
LONGEST_ID = 32

clean = clean_name

_NOT_IN_NAMES = re.compile(r"[0-9:;@#<>{}\[\]|\\=+*_?!$%^&~]")
_ID = re.compile(r"[^\W_](?:[\w./-]*\w)?")
_SPREADSHEET_TEXT = re.compile(r'="([^"]*)"')
_BY_EXPONENT = re.compile(r"\d+(?:[.,]\d+)?[eE]\+?\d+")


def name_key(name: str) -> str:
    """Equal for two spellings that may be one person: case, accents, signs and the order of words aside."""
    return " ".join(sorted(re.sub(r"[^\w\s]", "", plain(name)).split()))


def looks_key(name: str) -> str:
    """Equal for two names that look the same, though letters of one belong to another alphabet."""
    return name_key(drawn_alike(name))


def id_key(local_id: str) -> str:
    """Equal for two numbers that differ in capitals or leading zeros alone."""
    return local_id.casefold().lstrip("0") or "0"


def split_name(written: str) -> tuple[ParsedStudent, str]:
    """The name in `written`, split at its comma if it has one, and what is wrong with it ("" if nothing)."""
    parts = [part.strip() for part in written.split(",")]
    if len(parts) == 1:
        return ParsedStudent(name=written, written=written), ""
    if len(parts) > 2:
        return ParsedStudent(name=written, written=written), _(
            "The name has more than one comma. Write it as “Last, First”."
        )
    family, given = parts
    if not family or not given:
        return ParsedStudent(name=written, written=written), _("There is a name on one side of the comma only.")
    return ParsedStudent(name=f"{given} {family}", given=given, family=family, written=f"{family}, {given}"), ""


def join_name(given: str, family: str) -> ParsedStudent:
    """The name from a column of first names and a column of last names; one of them may be blank."""
    whole = " ".join(part for part in (given, family) if part)
    written = f"{family}, {given}" if given and family and "," not in given + family else whole
    return ParsedStudent(name=whole, given=given, family=family, written=written)


def against_name(raw: str, *, mended: bool) -> str:
    """Why `raw` cannot stand as a name, or "". A teacher's own correction is held to the hard limits alone."""
    name = clean(raw)
    if not any(c.isalpha() for c in name):
        return _("There are no letters in the name.") if name else _("There is no name in this row.")
    if len(name) > LONGEST_NAME:
        return _("The name is longer than {number} letters.", number=LONGEST_NAME)
    if "\N{REPLACEMENT CHARACTER}" in name:
        return _("A letter of the name was lost before the file came here.")
    if wrong := unfit(name):
        return _("The name can't be printed. {wrong} Take it out.", wrong=wrong)
    if mended:
        return ""
    if "\n" in raw.strip():
        return _("The name goes over more than one line.")
    if bad_text := _NOT_IN_NAMES.search(name):
        return _("“{text}” is not part of a name.", text=bad_text[0])
    if len(name.split()) > MOST_WORDS:
        return _("The name has more than {number} words.", number=MOST_WORDS)
    return ""


def read_id(raw: str) -> tuple[str, tuple[str, ...]]:
    """The student number in a cell as text, without the marks that keep a spreadsheet from counting with it."""
    text = clean(raw)
    bare = _SPREADSHEET_TEXT.fullmatch(text)
    if bare:
        return bare[1].strip(), (_("The number stood in a formula that keeps its zeros."),)
    if text.startswith("'"):
        return text[1:].strip(), (_("An apostrophe before the number was taken off."),)
    return text, ()


def against_id(local_id: str, *, mended: bool) -> str:
    """Why `local_id` cannot stand as a student number, or ""."""
    if len(local_id) > LONGEST_ID:
        return _("The student number is longer than {number} characters.", number=LONGEST_ID)
    if " " in local_id:
        return _("The student number “{number}” has a space in it.", number=local_id)
    if not _ID.fullmatch(local_id):
        return _("“{number}” is not a student number: letters, digits, dots and dashes only.", number=local_id)
    if mended:
        return ""
    if _BY_EXPONENT.fullmatch(local_id):
        return _(
            "A spreadsheet has shortened the student number to “{number}”. Its last digits are lost.", number=local_id
        )
    if not any(c.isdigit() for c in local_id):
        return _("“{number}” has no digit in it, so it does not look like a student number.", number=local_id)
    return ""


def looks_like_name(text: str) -> bool:
    return not against_name(text, mended=False)


def looks_like_id(text: str) -> bool:
    return any(c.isdigit() for c in text) and not against_id(read_id(text)[0], mended=False)


def name_remarks(read: ParsedStudent, raw: str) -> tuple[str, ...]:
    """What was done to a name while reading it, or was left although it looks odd."""
    remarks = []
    letters = [c for c in read.name if c.isalpha()]
    if raw.translate(UNSEEN) != raw:
        remarks.append(_("Characters that cannot be seen were taken out of the name."))
    if warning := mixed_alphabets(read.name):
        remarks.append(warning)
    if re.search(r"\s\s|^\s|\s$", raw):
        remarks.append(_("Extra spaces in the name were taken out."))
    if len(letters) > 2 and all(c.isupper() for c in letters):
        remarks.append(_("The name is all capitals, and was kept so."))
    elif letters and all(c.islower() for c in letters):
        remarks.append(_("The name has no capitals, and was kept so."))
    return tuple(remarks)
