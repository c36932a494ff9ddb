"""Makes a set of sheets, one after the other, into one zip: only the sheet in hand is in memory.

Its codes are recorded when it is whole: a set that failed or was stopped has left no record, and one that was
interrupted is made again from the start.
"""

import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from uuid import UUID, uuid4

from django.conf import settings

from machines.evidence import file
from machines.evidence.acts import export_record
from machines.models import Machine, Print, PrintSet
from machines.prints import rendering
from machines.prints.acts import CodedPrint, record_set
from machines.prints.batches import acts
from machines.prints.queries import hanging_in, stale_pockets
from machines.prints.rendering import RenderedPrint
from machines.prints.sheets.handouts import has_card
from machines.prints.sheets.substitute import substitute_sheet
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot
from shopsafe.conventions import conventions_in_use
from shopsafe.language.messages import _, sentences_kept
from shopsafe.language.stored import as_stored
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.paper import handouts
from shopsafe.paper.press.render import PrintFailed
from shopsafe.paper.rules.sheets import A3, A4, LETTER, PAPERS, TABLOID, Paper
from shopsafe.school.access import may
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Person, Section
from shopsafe.school.people.queries import students_of
from shopsafe.school.people.slip_sheet import drawn_slips
from shopsafe.school.refusals import Refused

PAIRS: dict[str, tuple[Paper, Paper]] = {"letter": (LETTER, TABLOID), "a4": (A4, A3)}


UNSAFE = str.maketrans(dict.fromkeys('/\\:*?"<>|\x00', "-"))


@dataclass(frozen=True)
class BatchFile:
    """One file of a set. `message` is what the page says while it is made; it names no student."""

    name: str
    message: str
    make: Callable[[], bytes | RenderedPrint]  # a Drawn has codes to be recorded with the set


def make_waiting() -> int:
    """Makes every set that waits, one after the other; how many it took up."""
    claim, count = uuid4(), 0
    while row := acts.claim_next(claim=claim):
        count += 1
        _make(row, claim)
    return count


@sentences_kept()
def _make(row: PrintSet, claim: UUID) -> None:
    """The set and what became of it: its codes are recorded as it becomes ready, or not at all. What no sentence was
    written for is raised as well, for the log."""
    ready, reason = False, _("The server's log says why.")
    try:
        with conventions_in_use(row.shop.school.conventions):
            coded = write_batch(row, claim)
        if coded is None:
            return
        ready = record_set(coded, of=row, claim=claim)
    except (PrintFailed, Refused) as problem:
        reason = problem.sentence
    finally:
        if not ready:
            row.file.unlink(missing_ok=True)
            acts.fail(row=row, claim=claim, message=reason)


def write_batch(row: PrintSet, claim: UUID) -> list[CodedPrint] | None:
    """The set as a zip, and the codes in it. None if it was stopped on the way: then there is no file."""

    def tell(done: int, message: str) -> bool:
        return acts.report_progress(row=row, claim=claim, done=done, of=len(pieces), message=message)

    pieces = list(PIECES[PrintSet.BatchKind(row.what)](row))
    folder = Path(settings.PRINTS)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for left in folder.glob("*.part"):  # of a worker that was killed: one worker is at work, and it is this one
        left.unlink(missing_ok=True)
    part, coded = folder / f"{row.key}.{uuid4().hex}.part", list[CodedPrint]()
    try:
        with zipfile.ZipFile(part, "w", zipfile.ZIP_STORED) as archive:  # a PDF is compressed already
            for done, piece in enumerate(pieces):
                if not tell(done, piece.message):
                    return None
                content = piece.make()
                if isinstance(content, RenderedPrint):
                    coded += content.coded
                archive.writestr(
                    piece.name.translate(UNSAFE), content.printed.pdf if isinstance(content, RenderedPrint) else content
                )
        if not tell(len(pieces), ""):
            return None
        part.replace(row.file)
        return coded
    finally:
        part.unlink(missing_ok=True)


def monday(row: PrintSet) -> Iterator[BatchFile]:
    """Charts, cards, pocket cards and the substitute sheets of a shop's classes; slips for those who have none."""
    snapshot = shop_snapshot(row.shop, school_moment(row.school_id))
    small, large = PAIRS[row.wants["paper"]]
    metres, by = float(row.wants["metres"]), row.asked_by

    def chart(section: Section) -> RenderedPrint:
        return rendering.draw_chart(snapshot, section, large, by=by, metres=metres)

    def card(machine: Machine) -> RenderedPrint:
        return rendering.draw_cards(snapshot, [machine], (), [small, large], by=by, metres=metres)

    for section in snapshot.sections:
        yield BatchFile(
            _("Wall chart {section}.pdf", section=section),
            _("Wall chart, {section}", section=section),
            partial(chart, section),
        )
    for machine in snapshot.matrix.machines:
        yield BatchFile(
            _("Wall card {machine}.pdf", machine=machine),
            _("Wall card, {machine}", machine=machine),
            partial(card, machine),
        )
    carried: set[int] = set()
    for section in snapshot.sections:
        yield from _of_class(row, snapshot, section, small, carried)


def _of_class(
    row: PrintSet, snapshot: ShopSnapshot, section: Section, paper: Paper, carried: set[int]
) -> Iterator[BatchFile]:
    """`carried`: who has a pocket card in this set already, from another class."""
    yield BatchFile(
        _("Substitute sheet {section}.pdf", section=section),
        _("Substitute sheet, {section}", section=section),
        lambda: handouts.substitute_sheet(substitute_sheet(snapshot, section), paper).pdf,
    )
    people = snapshot.members_of([section]) - carried
    stale = stale_pockets(snapshot, [student for student in snapshot.matrix.students if student.pk in people])
    students = [student for student in snapshot.matrix.students if student.pk in stale and has_card(snapshot, student)]
    carried |= stale
    if students and row.wants.get("pockets"):
        yield BatchFile(
            _("Pocket cards {section}.pdf", section=section),
            _("Pocket cards, {section}", section=section),
            lambda: rendering.draw_pocket_cards(snapshot, section, students, paper, backs=True, by=row.asked_by),
        )
    new = [
        student
        for student in students_of(section)
        if student.pk in row.wants.get("slips", ()) and student.last_login is None
    ]
    if new and may(row.asked_by, "change a class", section=section):
        yield BatchFile(
            _("Sign-in slips {section}.pdf", section=section),
            _("Sign-in slips, {section}", section=section),
            partial(_slips, row, section, new),
        )


def _slips(row: PrintSet, section: Section, students: list[Person]) -> bytes:
    return drawn_slips(section, students, by=row.asked_by)


def outdated_prints(row: PrintSet) -> Iterator[BatchFile]:
    """What is posted and says something else than it should, each on the paper it is printed on."""
    snapshot = shop_snapshot(row.shop, school_moment(row.school_id))
    by, sections = row.asked_by, {section.pk: section for section in snapshot.sections}
    machines = {machine.pk: machine for machine in snapshot.matrix.machines}

    def chart(old: Print, of: list[Section]) -> RenderedPrint:
        return rendering.draw_chart(snapshot, of[0], PAPERS[old.paper], by=by)

    def card(old: Print, of: list[Section]) -> RenderedPrint:
        return rendering.draw_cards(snapshot, [machines[old.machine_id or 0]], of, [PAPERS[old.paper]], by=by)

    for posted_print in hanging_in(snapshot):
        if posted_print.changes and posted_print.makeable:
            make = card if posted_print.printed.machine else chart
            sheet = _(as_stored(posted_print.printed.get_sheet_display))
            about = posted_print.of or posted_print.scope
            yield BatchFile(
                f"{sheet} {about} {posted_print.printed.code}.pdf",
                _("{sheet}, {about}", sheet=sheet, about=about),
                partial(make, posted_print.printed, [sections[pk] for pk in posted_print.sections]),
            )


def evidence(row: PrintSet) -> Iterator[BatchFile]:
    """The evidence file of each student of a class, all up to one checkpoint. Who took them out is in the logbook."""
    if row.section is None:
        return
    students = students_of(row.section)
    for student in students:
        export_record(student=student, by=row.asked_by, form="PDF")
    take_checkpoint()
    at = school_moment(row.school_id)

    def made(student: Person) -> bytes:
        return file.as_pdf(file.evidence_file(student), student, at)

    for number, student in enumerate(students, start=1):
        yield BatchFile(
            f"{number:03} {student.name}.pdf", _("Evidence file {number}", number=number), partial(made, student)
        )


PIECES = {
    PrintSet.BatchKind.MONDAY: monday,
    PrintSet.BatchKind.EVIDENCE: evidence,
    PrintSet.BatchKind.STALE: outdated_prints,
}
