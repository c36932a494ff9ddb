"""Rows to a preview: who is ready, who is already here, what is to fix. No one is merged or guessed."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from typing import Any

from shopsafe.language.messages import _, counted, marked
from shopsafe.school.rosters.rules.columns import understand
from shopsafe.school.rosters.rules.facts import (
    Column,
    ExistingPerson,
    Layout,
    ParsedStudent,
    PreviewRow,
    RosterPreview,
    RosterRow,
    RosterTable,
    RowCorrection,
    RowList,
)
from shopsafe.school.rosters.rules.names import (
    against_id,
    against_name,
    clean,
    id_key,
    join_name,
    looks_key,
    name_key,
    name_remarks,
    read_id,
    split_name,
)
from shopsafe.school.rosters.rules.same_names import known_at_this_school, namesake, same_name, without_number

NO_NUMBER = marked("There is no student number in this row.")
NO_FAMILY_NAME = marked("No last name was found. The name is kept as it is written.")
_AS_READ = RowCorrection()
_NEARLY_UNSEEN = marked("A student in none of your classes has nearly the same number.")
MOST_NAMESAKES = 5  # named in a note
_NEARLY = marked("It differs from {number} in zeros at the front or in capitals only.")


def preview(
    sheet: RosterTable,
    known: Iterable[ExistingPerson],
    *,
    mends: Mapping[int, RowCorrection] | None = None,
    columns: Sequence[str] | None = None,
) -> RosterPreview:
    """What importing `sheet` would do, row by row, given everyone the school knows.

    `fixes` are a teacher's corrections by row number, `columns` a teacher's reading of the columns.
    Raises NotARoster where there are no names.
    """
    layout = understand(sheet, columns)
    mends = mends or {}
    candidates = [candidate(row, layout, mends.get(row.number, _AS_READ)) for row in layout.people]
    judge = RowChecker(candidates, known)
    entries = tuple(
        _offered(judge, row, layout, row_candidate, judge.entry(row_candidate))
        for row, row_candidate in zip(layout.people, candidates, strict=True)
    )
    return RosterPreview(sheet.file, _reading(sheet, layout), sheet.blank, entries)


def _offered(
    judge: "RowChecker", row: RosterRow, layout: Layout, row_candidate: "Candidate", entry: PreviewRow
) -> PreviewRow:
    """The same; `helps` says whether it helps to take the row as it is: what can't work isn't offered."""
    if entry.where != RowList.TO_FIX or row_candidate.mend.accept or layout.question:
        return entry
    taken = candidate(row, layout, replace(row_candidate.mend, accept=True))
    return replace(entry, may_accept=judge.entry(taken).where != RowList.TO_FIX)


def one_student(name: str, local_id: str, known: Iterable[ExistingPerson], *, accept: bool) -> PreviewRow:
    """One student typed in by hand, weighed like a row of a list. `accept` says: a student of their own."""
    columns = (Column(1, "", "name"), Column(2, "", "id"))
    row = RosterRow(1, (name, local_id))
    typed_student = candidate(row, Layout(columns, None, (row,), ()), RowCorrection(name, local_id, accept=accept))
    return RowChecker([typed_student], known).entry(typed_student)


def _reading(sheet: RosterTable, layout: Layout) -> dict[str, Any]:
    blank = counted("{count} blank row was left out.", "{count} blank rows were left out.", count=sheet.blank)
    return {
        "kind": sheet.kind,
        "encoding": sheet.encoding,
        "separator": sheet.separator,
        "header_row": layout.header.number if layout.header else None,
        "columns": [{"column": c.place, "heading": c.heading, "read_as": c.read_as} for c in layout.columns],
        "question": layout.question,
        "notes": [*sheet.notes, *layout.notes, *([blank] if sheet.blank else [])],
    }


@dataclass(frozen=True)
class Candidate:
    """One row with what was read from it. `problem` is what keeps the row from being read at all."""

    row: int
    read: ParsedStudent
    notes: tuple[str, ...]
    problem: str
    mend: RowCorrection

    @cached_property
    def name_key(self) -> str:
        return name_key(self.read.name)

    @property
    def stands(self) -> bool:
        return not self.problem and not self.mend.skip


def candidate(row: RosterRow, layout: Layout, mend: RowCorrection) -> Candidate:
    if layout.question:
        whole = " | ".join(clean(cell) for cell in row.cells if cell.strip())
        return Candidate(row.number, ParsedStudent(written=whole), (), layout.question, mend)
    read, problem, notes = _mended_name(mend.name) if mend.name is not None else _read_name(row, layout, mend)
    local_id, id_notes = read_id(mend.local_id if mend.local_id is not None else _raw_id(row, layout))
    problem = problem or _against_row(row, layout, mend) or _against_number(local_id, layout, mend)
    return Candidate(row.number, replace(read, id=local_id), notes + id_notes + _shown(row, layout), problem, mend)


def _raw_id(row: RosterRow, layout: Layout) -> str:
    place = layout.place("id")
    return row.cell(place) if place is not None else ""


def _mended_name(name: str) -> tuple[ParsedStudent, str, tuple[str, ...]]:
    read, problem = split_name(clean(name))
    return read, against_name(name, mended=True) or problem, (_("The name was corrected by hand."), *_half(read))


def _read_name(row: RosterRow, layout: Layout, mend: RowCorrection) -> tuple[ParsedStudent, str, tuple[str, ...]]:
    whole, given, family = (layout.place(role) for role in ("name", "given", "family"))
    if whole is not None:
        raw = row.cell(whole)
        read, problem = split_name(clean(raw))
        return read, against_name(raw, mended=mend.accept) or problem, name_remarks(read, raw) + _half(read)
    parts = [row.cell(place) if place is not None else "" for place in (given, family)]
    read = join_name(clean(parts[0]), clean(parts[1]))
    raw = " ".join(part for part in parts if part.strip())
    notes = name_remarks(read, "|".join(parts).strip("|"))
    if None not in (given, family):
        notes += _half(read)
    return read, against_name(raw, mended=mend.accept), notes


def _half(read: ParsedStudent) -> tuple[str, ...]:
    """What is said of a name that is read as it is although a part of it is missing."""
    if read.family:
        return () if read.given else (_("No first name was found. The name is kept as it is written."),)
    one_word = bool(read.name) and " " not in read.name
    return (_(NO_FAMILY_NAME),) if read.given or one_word else ()


def _against_row(row: RosterRow, layout: Layout, mend: RowCorrection) -> str:
    if layout.header and mend.name is None and [clean(c) for c in row.cells] == [clean(c) for c in layout.header.cells]:
        return _("This row repeats the header.")
    looked_at = mend.accept or (mend.name is not None and mend.local_id is not None)
    if not looked_at and any(cell.strip() for cell in row.cells[len(layout.columns) :]):
        return _(
            "This row has more cells than the others. A comma inside a name needs quotation marks around the name."
        )
    return ""


def _against_number(local_id: str, layout: Layout, mend: RowCorrection) -> str:
    if local_id:
        return against_id(local_id, mended=mend.accept or mend.local_id is not None)
    if layout.place("id") is not None and not mend.accept:
        return _(NO_NUMBER)
    return ""


def _shown(row: RosterRow, layout: Layout) -> tuple[str, ...]:
    place = layout.place("note")
    text = clean(row.cell(place)) if place is not None else ""
    return (_("The file notes: {text}", text=text),) if text else ()


class RowChecker:
    """Weighs each row against the other rows and against the people whom the school knows.

    What is compared is kept once a number and once a name, so that a file of 5,000 like rows is still read at once.
    """

    def __init__(self, candidates: Sequence[Candidate], known: Iterable[ExistingPerson]) -> None:
        self.rows_by_id: dict[str, dict[tuple[str, str], Candidate]] = defaultdict(dict)
        self.rows_by_name: dict[str, dict[str, Candidate]] = defaultdict(dict)
        for row_candidate in candidates:
            if row_candidate.stands:
                self.rows_by_name[row_candidate.name_key].setdefault(row_candidate.read.id, row_candidate)
                if row_candidate.read.id:
                    self.rows_by_id[id_key(row_candidate.read.id)].setdefault(
                        (row_candidate.read.id, row_candidate.name_key), row_candidate
                    )
        self.known_by_id: dict[str, list[ExistingPerson]] = defaultdict(list)
        self.known_by_name: dict[str, list[ExistingPerson]] = defaultdict(list)
        self.known_by_looks: dict[str, list[ExistingPerson]] = defaultdict(list)
        for who in known:
            if who.local_id:
                self.known_by_id[id_key(who.local_id)].append(who)
            if who.student:
                self.known_by_name[name_key(who.name)].append(who)
                self.known_by_looks[looks_key(who.name)].append(who)

    def entry(self, row_candidate: Candidate) -> PreviewRow:
        number, read, notes = row_candidate.row, row_candidate.read, row_candidate.notes
        if row_candidate.mend.skip:
            return PreviewRow(number, RowList.SKIPPED, read, notes, _("Skipped by hand."))
        if row_candidate.problem:
            return PreviewRow(number, RowList.TO_FIX, read, notes, row_candidate.problem)
        if reason := self._clash(row_candidate):
            other = self._under_another_name(row_candidate)
            return PreviewRow(number, RowList.TO_FIX, read, notes, reason, other=other)
        person = self._same_person(row_candidate)
        pk = person.pk if person else None
        if earlier := self._earlier(row_candidate):
            reason = _("Row {row} is the same student.", row=earlier.row)
            return PreviewRow(number, RowList.ALREADY_HERE, read, notes, reason, pk, twice=True)
        notes += self._namesakes(row_candidate) + self._look_alikes(row_candidate)
        if person and person.here:
            return PreviewRow(number, RowList.ALREADY_HERE, read, notes, _("Already in this class."), pk)
        if person:
            notes = (*notes, known_at_this_school(person))
        return PreviewRow(number, RowList.READY, read, notes, person=pk)

    def _clash(self, row_candidate: Candidate) -> str:
        if row_candidate.read.id:
            return (
                self._number_of_another(row_candidate)
                or self._number_in_other_row(row_candidate)
                or self._nameless_twin(row_candidate)
            )
        return self._no_number(row_candidate)

    def _number_of_another(self, row_candidate: Candidate) -> str:
        for who in self.known_by_id[id_key(row_candidate.read.id)]:
            if who.local_id != row_candidate.read.id:
                if not row_candidate.mend.accept:
                    sentence = (
                        _("{student} has the number {number}.", student=who.name, number=who.local_id)
                        if who.in_reach
                        else _(_NEARLY_UNSEEN)
                    )
                    return f"{sentence} {_(_NEARLY, number=row_candidate.read.id)}"
            elif not who.student:
                return _(
                    "The number {number} belongs to {person}, who is not a student.",
                    number=row_candidate.read.id,
                    person=who.name,
                )
            elif name_key(who.name) != row_candidate.name_key:
                return _(
                    "The number {number} belongs to {student}.", number=row_candidate.read.id, student=_spoken(who)
                )
        return ""

    def _under_another_name(self, row_candidate: Candidate) -> ExistingPerson | None:
        who = self._same_person(row_candidate)
        return who if who and who.student and who.in_reach and name_key(who.name) != row_candidate.name_key else None

    def _number_in_other_row(self, row_candidate: Candidate) -> str:
        for (local_id, key), other in self.rows_by_id[id_key(row_candidate.read.id)].items():
            if local_id != row_candidate.read.id and not row_candidate.mend.accept:
                sentence = _("Row {row} has the number {number}.", row=other.row, number=local_id)
                return f"{sentence} {_(_NEARLY, number=row_candidate.read.id)}"
            if local_id == row_candidate.read.id and key != row_candidate.name_key:
                return _(
                    "Row {row} gives the number {number} to {student}.",
                    row=other.row,
                    number=row_candidate.read.id,
                    student=other.read.name,
                )
        return ""

    def _nameless_twin(self, row_candidate: Candidate) -> str:
        """Someone of this name without a number may be this student, or may not: a teacher knows."""
        if row_candidate.mend.accept or self._same_person(row_candidate):
            return ""
        for who in self.known_by_name[row_candidate.name_key]:
            if not who.local_id:
                return without_number(who)
        if other := self.rows_by_name[row_candidate.name_key].get(""):
            return _("Row {row} has the same name and no number. Is this the same student?", row=other.row)
        return ""

    def _no_number(self, row_candidate: Candidate) -> str:
        if row_candidate.mend.accept:
            return ""
        for who in self.known_by_name[row_candidate.name_key]:
            return same_name(who)
        for local_id, other in self.rows_by_name[row_candidate.name_key].items():
            if local_id or other.row < row_candidate.row:
                return _("Row {row} has the same name. Without numbers the two look the same.", row=other.row)
        return ""

    def _same_person(self, row_candidate: Candidate) -> ExistingPerson | None:
        if not row_candidate.read.id:
            return None
        return next(
            (who for who in self.known_by_id[id_key(row_candidate.read.id)] if who.local_id == row_candidate.read.id),
            None,
        )

    def _earlier(self, row_candidate: Candidate) -> Candidate | None:
        """The first row of the same student, if that is another row. Rows without a number are never the same."""
        if not row_candidate.read.id:
            return None
        first = self.rows_by_id[id_key(row_candidate.read.id)].get(
            (row_candidate.read.id, row_candidate.name_key), row_candidate
        )
        return first if first.row < row_candidate.row else None

    def _namesakes(self, row_candidate: Candidate) -> tuple[str, ...]:
        others = [
            _("row {row} ({number})", row=other.row, number=local_id or _("no number"))
            for local_id, other in islice(self.rows_by_name[row_candidate.name_key].items(), MOST_NAMESAKES + 1)
            if other.row != row_candidate.row
        ]
        others += [
            namesake(who)
            for who in self.known_by_name[row_candidate.name_key]
            if who.local_id != row_candidate.read.id or not row_candidate.read.id
        ]
        if not others:
            return ()
        shown = ", ".join(others[:MOST_NAMESAKES])
        if len(others) > MOST_NAMESAKES:
            shown = _("{names} and others", names=shown)
        return (_("Another student has the same name: {others}. They stay two students.", others=shown),)

    def _look_alikes(self, candidate: Candidate) -> tuple[str, ...]:
        """A student of the school whose name looks like this one, in letters of another alphabet."""
        for who in self.known_by_looks[looks_key(candidate.read.name)]:
            if name_key(who.name) != candidate.name_key:
                of = who.name if who.in_reach else _("another student of the school")
                return (
                    _(
                        "This name looks like that of {student}, but some letters are of another alphabet. Check it.",
                        student=of,
                    ),
                )
        return ()


def _spoken(who: ExistingPerson) -> str:
    return who.name if who.in_reach else _("a student in none of your classes. Ask the office")
