"""Which row is the header, and what each column holds. What is not clear becomes a question, never a guess."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import assert_never

from shopsafe.language.messages import _, marked
from shopsafe.school.rosters.rules.facts import Column, ColumnRole, Layout, NotARoster, RosterRow, RosterTable
from shopsafe.school.rosters.rules.names import clean, looks_like_id, looks_like_name
from shopsafe.school.rosters.rules.words import HeadingRole, roles_of

ROLES: tuple[ColumnRole, ...] = ("name", "given", "family", "id", "class", "note", "ignored")
HEADER_WITHIN = 20  # rows that hold something, from the top
_NAMES = {"name", "given", "family"}
_READ_AS: dict[ColumnRole, str] = {
    "name": marked("{column} is the name."),
    "given": marked("{column} is the first name."),
    "family": marked("{column} is the last name."),
    "id": marked("{column} is the student number."),
}
_UNCLEAR: dict[ColumnRole, str] = {
    "name": marked("Columns {columns} could each be the name. Which one is it?"),
    "given": marked("Columns {columns} could each be the first name. Which one is it?"),
    "family": marked("Columns {columns} could each be the last name. Which one is it?"),
    "id": marked("Columns {columns} could each be the student number. Which one is it?"),
}
_NO_NAMES = marked("Choose a list with a student a row, and a heading such as Name above the names.")


def understand(sheet: RosterTable, chosen: Sequence[str] | None = None) -> Layout:
    """The layout of `sheet`; `chosen` is a teacher's own reading of the columns, one role a column.

    Raises NotARoster where no column holds names.
    """
    header = find_header(sheet.rows)
    people = sheet.rows if header is None else tuple(row for row in sheet.rows if row.number > header.number)
    above = () if header is None else tuple(row for row in sheet.rows if row.number < header.number)
    if not people:
        raise NotARoster("no-rows", sheet.file, _("there is a header and no row below it."), _NO_NAMES)
    width = _width(people, header)
    notes = [
        _header_note(header),
        *(
            _("Row {number} is above it and was not read: {row}.", number=row.number, row=shown_row(row))
            for row in above
        ),
    ]
    if chosen is not None:
        roles = _as_chosen(chosen, width)
        question = "" if _NAMES & set(roles) else _("Which column holds the names?")
    elif header is not None:
        roles, question = _by_heading(header, people, width, notes)
    else:
        roles, question = _by_content(people, width, sheet.separator, notes)
    if chosen is None and not _NAMES & set(roles):
        raise NotARoster("no-names", sheet.file, _("no column in it holds names of students."), _NO_NAMES)
    question = question or unclear_columns(roles)
    headings = [clean(header.cell(place)) if header else "" for place in range(width)]
    columns = tuple(Column(n + 1, headings[n], roles[n]) for n in range(width))
    meanings = [] if question else _column_notes(columns, people)
    return Layout(columns, header, people, (*notes, *meanings), question)


def shown_row(row: RosterRow) -> str:
    """The start of a row, for a sentence about it."""
    text = clean(" | ".join(cell for cell in row.cells if cell.strip()))
    return f"“{text[:60]}…”" if len(text) > 60 else f"“{text}”"


def find_header(rows: Sequence[RosterRow]) -> RosterRow | None:
    """The row near the top with most known headings, a name among them. One cell above wider rows is a title."""
    usual = Counter(_filled(row) for row in rows).most_common(1)[0][0] if rows else 0
    best, most = None, 0
    for row in rows[:HEADER_WITHIN]:
        roles = [role for role in roles_of(list(row.cells)) if role]
        titled = _filled(row) == 1 and usual > 1
        if _NAMES & set(roles) and len(roles) > most and not titled:
            best, most = row, len(roles)
    return best


def unclear_columns(roles: Sequence[str]) -> str:
    """A question where two columns claim one meaning, or ""."""
    for role, question in _UNCLEAR.items():
        places = [str(n) for n, other in enumerate(roles, start=1) if other == role]
        if len(places) > 1:
            return _(question, columns=_all_of(places))
    return ""


def _filled(row: RosterRow) -> int:
    return sum(bool(cell.strip()) for cell in row.cells)


def _width(people: Sequence[RosterRow], header: RosterRow | None) -> int:
    """As many columns as the header has, or as one row in ten fills. A cell further out is that row's own fault."""
    lengths = [max((n for n, cell in enumerate(row.cells, 1) if cell.strip()), default=0) for row in people]
    common = sorted(lengths, reverse=True)[len(lengths) // 10]
    headed = max((n for n, cell in enumerate(header.cells, 1) if cell.strip()), default=0) if header else 0
    return max(headed, common, 1)


def _header_note(header: RosterRow | None) -> str:
    if header is None:
        return _("No header row was found. The columns were identified by their contents.")
    return _("Row {number} is the header.", number=header.number)


def _as_chosen(chosen: Sequence[str], width: int) -> list[ColumnRole]:
    known = {str(role): role for role in ROLES}
    roles = [known.get(role, "ignored") for role in chosen[:width]]
    return roles + ["ignored"] * (width - len(roles))


def _cells(people: Sequence[RosterRow], place: int) -> list[str]:
    return [clean(row.cell(place)) for row in people if row.cell(place).strip()]


def _by_heading(
    header: RosterRow, people: Sequence[RosterRow], width: int, notes: list[str]
) -> tuple[list[ColumnRole], str]:
    roles = roles_of([header.cell(place) for place in range(width)])
    for place, role in enumerate(roles):
        if role == "perhaps-id":
            roles[place] = _running_or_id(_cells(people, place), "id" in roles, place, notes)
        elif role == "id" and _running(_cells(people, place)):
            notes.append(
                _("Column {column} counts the rows, whatever its heading says, and was not read.", column=place + 1)
            )
            roles[place] = "ignored"
    if "name" in roles and {"given", "family"} <= set(roles):
        place = roles.index("name")
        roles[place] = "ignored"
        notes.append(
            _(
                "Column {column} holds whole names. The columns of first and last names were read instead.",
                column=place + 1,
            )
        )
    return [_settled(role) for role in roles], ""


def _settled(role: HeadingRole) -> ColumnRole:
    return "ignored" if role == "" or role == "perhaps-id" else role


def _running_or_id(cells: list[str], other_id: bool, place: int, notes: list[str]) -> ColumnRole:
    if _running(cells):
        notes.append(_("Column {column} counts the rows and was not read.", column=place + 1))
        return "ignored"
    return "ignored" if other_id else "id"


def _running(cells: list[str]) -> bool:
    """Whether a column counts its rows: from 0 or 1, one by one, as "1", "01" or "1."."""
    counts = [cell.removesuffix(".").removesuffix(")") for cell in cells]
    if len(counts) < 2 or not all(count.isdecimal() and len(count) < 5 for count in counts):
        return False
    first = int(counts[0])
    return first in (0, 1) and [int(count) for count in counts] == list(range(first, first + len(counts)))


def _by_content(
    people: Sequence[RosterRow], width: int, separator: str, notes: list[str]
) -> tuple[list[ColumnRole], str]:
    roles = [_guess(_cells(people, place), place, notes) for place in range(width)]
    names = [place for place, role in enumerate(roles) if role == "name"]
    if width == 2 and names == [0, 1] and separator == "," and _spaced(people):
        notes.append(_("The names were read as “Last, First”."))
        return ["family", "given"], ""
    if len(names) > 1:
        columns = _all_of(str(place + 1) for place in names)
        return roles, _("Columns {columns} hold names. Which is the first name, which the last name?", columns=columns)
    return roles, ""


def _guess(cells: list[str], place: int, notes: list[str]) -> ColumnRole:
    """name or id where most cells look it and few repeat; a column that says the same all the way down is neither."""
    if not cells:
        return "ignored"
    if _running(cells):
        notes.append(_("Column {column} counts the rows and was not read.", column=place + 1))
        return "ignored"
    if len(cells) > 2 and len(set(cells)) <= len(cells) / 3:
        return "ignored"
    if sum(map(looks_like_id, cells)) >= 0.8 * len(cells):
        return "id"
    return "name" if sum(map(looks_like_name, cells)) > 0.5 * len(cells) else "ignored"


def _spaced(people: Sequence[RosterRow]) -> bool:
    """A space after nearly every comma: people write "Last, First" so; programs that export columns don't."""
    second = [row.cell(1) for row in people if row.cell(1).strip()]
    return sum(cell.startswith(" ") for cell in second) >= 0.8 * len(second)


def _column_notes(columns: Sequence[Column], people: Sequence[RosterRow]) -> list[str]:
    notes = []
    for column in columns:
        label = _("Column {column}", column=column.place) + (f" “{column.heading}”" if column.heading else "")
        cells = _cells(people, column.place - 1)
        match column.read_as:
            case "name" | "given" | "family" | "id":
                notes.append(_(_READ_AS[column.read_as], column=label))
            case "note":
                notes.append(_("{column} is shown here and not kept.", column=label))
            case "class":
                unused = _("{column} was not used to choose the class.", column=label)
                notes.append(" ".join(filter(None, (unused, _several(cells)))))
            case "ignored":
                notes += [_("{column} was not read.", column=label)] if cells else []
            case _:
                assert_never(column.read_as)
    if not any(column.read_as == "id" for column in columns):
        notes.append(_("There is no column of student numbers. Students with the same name look the same."))
    return notes + _widths(columns, people)


def _several(cells: list[str]) -> str:
    texts = Counter(cells).most_common()
    if len(texts) < 2:
        return _("It says {text}.", text=texts[0][0]) if texts else ""
    shown = ", ".join(f"{text} ({count})" for text, count in texts[:5])
    return _("It says {texts}. Is this one class?", texts=shown)


def other_classes(layout: Layout, called: str) -> tuple[str, ...]:
    """What the list calls its classes, where none of the texts is in the name of the class being filled, nor the other
    way round: most likely the list of another class."""
    place = layout.place("class")
    texts = [] if place is None else [text for text, _count in Counter(_cells(layout.people, place)).most_common()]
    here = _compact(called)
    if any(_compact(text) in here or here in _compact(text) for text in texts):
        return ()
    return tuple(texts)


def _compact(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _all_of(places: Iterable[str]) -> str:
    """ "1 and 3", "1 and 3 and 4"."""
    first, *others = places
    for place in others:
        first = _("{columns} and {column}", columns=first, column=place)
    return first


def _widths(columns: Sequence[Column], people: Sequence[RosterRow]) -> list[str]:
    """Numbers of unlike length are what is left when a spreadsheet drops leading zeros."""
    place = next((column.place - 1 for column in columns if column.read_as == "id"), None)
    lengths = {len(cell) for cell in _cells(people, place) if cell.isdigit()} if place is not None else set()
    if len(lengths) < 2:
        return []
    return [
        _(
            "Student numbers have {least} to {most} digits. Did a spreadsheet drop zeros at the front? They "
            "are kept as they stand.",
            least=min(lengths),
            most=max(lengths),
        )
    ]
