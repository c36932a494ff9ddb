"""What a class list is while it travels between the steps of its page: the file itself, the corrections, one key.

Nothing is stored before it is applied: the list goes back to the browser in the form and comes back with it.
"""

import base64
import binascii
import uuid
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, QueryDict

from shopsafe.language.messages import _, marked
from shopsafe.paper.fonts import undrawable
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.rules.characters import clean_name
from shopsafe.school.refusals import Refused
from shopsafe.school.rosters.queries import known_people
from shopsafe.school.rosters.rules import (
    ROLES,
    ExistingPerson,
    ParsedStudent,
    PreviewRow,
    RosterPreview,
    RosterTable,
    RowCorrection,
    RowList,
    preview,
    read_file,
    read_pasted,
)
from shopsafe.school.rosters.rules.columns import other_classes, understand
from shopsafe.school.rosters.rules.names import clean
from shopsafe.school.rosters.rules.preview import NO_FAMILY_NAME
from shopsafe.school.rosters.rules.reading import MOST_BYTES, PASTED

# What a teacher chooses from for a column.
SAYS = {
    "name": marked("Name"),
    "given": marked("First name"),
    "family": marked("Last name"),
    "id": marked("Student number"),
    "class": marked("Class"),
    "note": marked("Note"),
    "ignored": marked("Not read"),
}


@dataclass(frozen=True)
class RosterDraft:
    """A list with its corrections. `columns` is None while they are as the program understood them."""

    file: str
    content: bytes
    key: uuid.UUID
    sheet: RosterTable
    columns: tuple[str, ...] | None
    mends: dict[int, RowCorrection]

    @property
    def called(self) -> str:
        """The name of the file, or what a list is called that was pasted."""
        return _(PASTED) if self.file == PASTED else self.file

    @property
    def sealed(self) -> str:
        """The content for a hidden field."""
        return base64.b64encode(self.content).decode()

    def seen(self, known: list[ExistingPerson]) -> RosterPreview:
        return with_letter_warnings(preview(self.sheet, known, mends=self.mends, columns=self.columns))


def with_letter_warnings(seen: RosterPreview) -> RosterPreview:
    """The same, with a note at each name that could not be printed here: it is right, and the fonts are missing."""
    return replace(seen, entries=tuple(_told(entry) for entry in seen.entries))


def _told(entry: PreviewRow) -> PreviewRow:
    letters = undrawable(entry.read.name)
    if not letters:
        return entry
    note = _(
        "No font here can draw “{letters}”: this name can't be printed until one is installed.",
        letters="”, “".join(letters),
    )
    return replace(entry, notes=(*entry.notes, note))


def read_draft(request: HttpRequest, section: Section) -> RosterDraft:
    """The list in a sent form, chosen, pasted or come back. Refused: roster.nothing, roster.form-broken, NotARoster."""
    file, content = _content(request)
    sheet = read_pasted(content.decode()) if file == PASTED else read_file(file, content)
    columns = _columns(request.POST, sheet)
    bare = preview(sheet, [], columns=columns)
    draft = RosterDraft(file, content, _key(request.POST), sheet, columns, {})
    read_as = ",".join(column.read_as for column in understand(sheet, columns).columns)
    # Read another way, the fields that were shown for the old reading say nothing about the new one.
    same = request.POST.get("read-as", read_as) == read_as
    return replace(draft, mends=_mends(request.POST, bare, typed=same))


def _content(request: HttpRequest) -> tuple[str, bytes]:
    upload = request.FILES.get("file")
    if "content" in request.POST:
        return _name_of(request.POST.get("name", "")), _unsealed(request.POST["content"])
    if isinstance(upload, UploadedFile):
        return _name_of(upload.name or ""), upload.read(MOST_BYTES + 1)
    if request.POST.get("text", "").strip():
        return PASTED, request.POST["text"].encode("utf-8", "replace")
    raise Refused("roster.nothing", _("Choose a file, or paste the list."), 422)


def _name_of(name: str) -> str:
    return clean_name(PurePath(name.replace("\\", "/")).name)[:80] or _("The file")


def _unsealed(sealed: str) -> bytes:
    try:
        return base64.b64decode(sealed, validate=True)
    except (binascii.Error, ValueError) as wrong:
        raise Refused("roster.form-broken", _("The form came back broken. Start again with the list."), 422) from wrong


def _key(post: QueryDict) -> uuid.UUID:
    try:
        return uuid.UUID(post.get("key", ""))
    except ValueError:
        return uuid.uuid4()


def _columns(post: QueryDict, sheet: RosterTable) -> tuple[str, ...] | None:
    understood = tuple(column.read_as for column in understand(sheet).columns)
    chosen = tuple(post.get(f"column-{place}", role) for place, role in enumerate(understood, start=1))
    return None if chosen == understood or not set(chosen) <= set(ROLES) else chosen


def _mends(post: QueryDict, bare: RosterPreview, *, typed: bool) -> dict[int, RowCorrection]:
    """The corrections of the form by row number: what differs from what was read, and what is ticked. Without `typed`
    only the rows that are left out."""
    mends = {
        entry.row: _mend(post, entry) if typed else RowCorrection(skip=f"skip-{entry.row}" in post)
        for entry in bare.entries
    }
    return {row: mend for row, mend in mends.items() if mend != RowCorrection()}


def _mend(post: QueryDict, entry: PreviewRow) -> RowCorrection:
    given, family, local_id = (post.get(f"{part}-{entry.row}") for part in ("given", "family", "id"))
    typed = (clean(given or ""), clean(family or ""))
    return RowCorrection(
        name=_written(*typed) if given is not None and typed != parts_of(entry.read) else None,
        local_id=local_id if local_id is not None and clean(local_id) != entry.read.id else None,
        skip=f"skip-{entry.row}" in post,
        accept=f"accept-{entry.row}" in post,
    )


def _written(given: str, family: str) -> str:
    """One name of the two fields, as a list would have it; “Last, First” in the first field is understood."""
    return f"{family}, {given}" if given and family else given or family


def parts_of(read: ParsedStudent) -> tuple[str, str]:
    """What is in the two fields: a name that was read whole is never guessed apart, and is in the first."""
    return (read.given, read.family) if read.given or read.family else (read.written, "")


def page_context(draft: RosterDraft, section: Section, by: Person) -> dict[str, Any]:
    """The context of the preview page."""
    seen = draft.seen(known_people(section, by))
    reading = dict(seen.reading)
    columns = [{**column, "options": [(role, _(says)) for role, says in SAYS.items()]} for column in reading["columns"]]
    lists = [
        {"where": where, "says": says, "lines": [_line(entry, draft) for entry in entries]}
        for where, says, entries in _listed(seen)
    ]
    read_as = [column["read_as"] for column in columns]
    return {
        "draft": draft,
        "seen": seen,
        "reading": reading,
        "columns": columns,
        "read_as": ",".join(read_as),
        "no_numbers": "id" not in read_as,
        "other_classes": other_classes(understand(draft.sheet, draft.columns), section.name)[:5],
        "section": section,
        "lists": lists,
    }


def _listed(seen: RosterPreview) -> list[tuple[str, str, list[PreviewRow]]]:
    here = [entry for entry in seen.already_here if not entry.twice]
    twice = [entry for entry in seen.already_here if entry.twice]
    return [
        ("to_fix", _("to fix"), list(seen.to_fix)),
        ("ready", "ready", list(seen.ready)),
        ("already_here", _("already here"), here),
        ("twice", _("twice in this list"), twice),
        ("skipped", _("left out"), list(seen.skipped)),
    ]


def _line(entry: PreviewRow, draft: RosterDraft) -> dict[str, Any]:
    """One row of the preview; `open` where it has fields to fix it in."""
    mend = draft.mends.get(entry.row, RowCorrection())
    mended = mend.name is not None or mend.local_id is not None or mend.accept
    halved = entry.where is RowList.READY and _(NO_FAMILY_NAME) in entry.notes
    given, family = parts_of(entry.read)
    is_to_fix = entry.where is RowList.TO_FIX
    shown = {"given": given, "family": family, "accept": entry.may_accept or (mend.accept and not is_to_fix)}
    return {"entry": entry, "mend": mend, "open": is_to_fix or mended or halved, **shown}
