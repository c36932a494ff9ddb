"""What the substitute sheet says, loaded from the records: of one class, or of all classes of a shop."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from machines.clearance.records import holds_in_force
from machines.models import Hold, Machine, SupervisingGrant
from machines.prints.sheets.wall import ShopSnapshot
from shopsafe.conventions import written_time
from shopsafe.language.lists import listed
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules import handout_sheets as sheets
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.rules.names import sort_key
from shopsafe.school.sheet_words.queries import substitute_words_of
from shopsafe.school.sheet_words.rules import SubstituteWords
from shopsafe.school.timetable.queries import timetable_of
from shopsafe.school.timetable.rules.meetings import meetings_on

PASSED_NOTE = marked("{machines}: {rules}. These people passed {edition}.")


@dataclass(frozen=True)
class SubstituteFacts:
    """What the sheets of a shop need beside its snapshot, read once for all of them."""

    words: SubstituteWords
    grants: dict[int, list[str]]  # class → substitutes whom a teacher or the office granted supervising with it today
    teachers: dict[int, list[str]]
    times: dict[int, str]  # class → "08:15 to 09:00" where it meets today; of two meetings, the first
    holds: list[Hold]


def substitute_facts(
    snapshot: ShopSnapshot, words: SubstituteWords | None = None, reader: Person | None = None
) -> SubstituteFacts:
    """Five queries, however many classes there are; three more where classes have meeting times.

    With a `reader`, a substitute, only what was granted to this one counts: on a screen no one reads for another.
    """
    words, sections = words or substitute_words_of(snapshot.shop), snapshot.sections
    grants: dict[int, list[str]] = {}
    rows = SupervisingGrant.objects.filter(section__in=sections, day=snapshot.today, withdrawn_at=None)
    if reader is not None:
        rows = rows.filter(substitute=reader)
    for row in sorted(rows.select_related("substitute"), key=lambda row: (row.substitute.sort_key, row.pk)):
        grants.setdefault(row.section_id, []).append(row.substitute.name)
    teachers: dict[int, list[str]] = {}
    taught = Section.teachers.through.objects.filter(section__in=sections, person__role=Person.Role.TEACHER)
    for section, name in sorted(taught.values_list("section_id", "person__name"), key=lambda row: sort_key(row[1])):
        teachers.setdefault(section, []).append(name)
    return SubstituteFacts(
        words=words,
        grants=grants if words.runs else {},
        teachers=teachers,
        times=_times(snapshot, sections),
        holds=list(holds_in_force(snapshot.members_of(()), snapshot.today, snapshot.at)),
    )


def substitute_sheet(
    snapshot: ShopSnapshot, section: Section | None, facts: SubstituteFacts | None = None
) -> sheets.SubstituteSheet:
    """What a substitute must know today of a class, or of the whole shop.

    Machines run with a class only where the shop allows it and someone was granted supervising for that day.
    """
    facts, sections = facts or substitute_facts(snapshot), [section] if section else snapshot.sections
    running = [of for of in sections if of.pk in facts.grants]
    people = snapshot.members_of(running) if running else set[int]()
    teachers = (name for of in sections for name in facts.teachers.get(of.pk, ()))
    return sheets.SubstituteSheet(
        scope=snapshot.scope([section] if section else []),
        shop=snapshot.shop.name,
        day=snapshot.today,
        machines=tuple(_machines(snapshot, people)),
        call=facts.words.call,
        notes=(*facts.words.notes, *snapshot.left_undone),
        runs=bool(running),
        printed=snapshot.today,
        demo=snapshot.shop.school.is_demo,
        about=snapshot.footnotes(_named(snapshot, people), PASSED_NOTE),
        teachers=tuple(dict.fromkeys(teachers)),
        classes=tuple(_classes(snapshot, sections, facts)),
        holds=tuple(_holds(snapshot, sections, facts.holds)),
        verdict=_verdict(snapshot, people),
        work=facts.words.work_of_none(of.name for of in snapshot.sections),
        has_number=facts.words.has_number,
    )


def _classes(
    snapshot: ShopSnapshot, sections: Sequence[Section], facts: SubstituteFacts
) -> Iterable[sheets.SubstituteClass]:
    """The classes in the order in which they meet that day; a class that does not meet comes last."""
    places = {pk: place for place, pk in enumerate(facts.times)}
    for section in sorted(sections, key=lambda of: places.get(of.pk, len(places))):
        people, granted = snapshot.members_of([section]), facts.grants.get(section.pk, [])
        yield sheets.SubstituteClass(
            name=section.name,
            students=len(people),
            rows=tuple(_rows(snapshot, people)) if granted else (),
            when=facts.times.get(section.pk, ""),
            runs=bool(granted),
            granted=tuple(granted),
            work=facts.words.work_of(section.name),
        )


def _times(snapshot: ShopSnapshot, sections: Sequence[Section]) -> dict[int, str]:
    times, zone = dict[int, str](), ZoneInfo(snapshot.zone)
    meetings = meetings_on(timetable_of(snapshot.shop.school, sections), snapshot.today)
    for meeting in sorted(meetings, key=lambda meeting: meeting.begins_at):
        begins, ends = (written_time(moment.astimezone(zone)) for moment in (meeting.begins_at, meeting.ends_at))
        times.setdefault(meeting.section, _("{begins} to {ends}", begins=begins, ends=ends))
    return times


def _cleared(snapshot: ShopSnapshot, machine: Machine, people: set[int]) -> tuple[str, ...]:
    """Full names of those of these people who may use a machine; no one may use one that is out of use."""
    if machine.pk in snapshot.out_of_use:
        return ()
    column = snapshot.matrix.column(machine)
    return tuple(snapshot.named[member.pk] for member, answer in column if member.pk in people and answer.cleared)


def _rows(snapshot: ShopSnapshot, people: set[int]) -> Iterable[sheets.SubstituteRow]:
    """Machines with the same names are in one row."""
    by_names: dict[tuple[str, ...], list[Machine]] = {}
    for machine in snapshot.matrix.machines:
        if names := _cleared(snapshot, machine, people):
            by_names.setdefault(names, []).append(machine)
    for names, machines in by_names.items():
        yield sheets.SubstituteRow(joined(machines), names)


def joined(machines: Sequence[Machine]) -> str:
    """ "Drill press 1 and 2, Scroll saw 4": machines of one name in a row, with their numbers."""
    numbers: dict[str, list[str]] = {}
    for machine in machines:
        called = _called(machine)
        bare = called.removesuffix(f" {machine.number}")
        numbers.setdefault(bare, [])
        if bare != called:
            numbers[bare].append(str(machine.number))
    parts = []
    for bare, each in numbers.items():
        parts.append(f"{bare} {listed(each)}".strip())
    return ", ".join(parts)


def _verdict(snapshot: ShopSnapshot, people: set[int]) -> str:
    return joined([machine for machine in snapshot.matrix.machines if _cleared(snapshot, machine, people)])


def _holds(snapshot: ShopSnapshot, sections: Sequence[Section], holds: Iterable[Hold]) -> Iterable[str]:
    """ "Abel Moor, 9 Teak: every machine", one a hold."""
    classes = {pk: of.name for of in sections for pk in snapshot.members_of([of])}
    for hold in holds:
        if hold.student_id in classes:
            yield f"{snapshot.named[hold.student_id]}, {classes[hold.student_id]}: {hold.on_what}"


def _named(snapshot: ShopSnapshot, people: set[int]) -> dict[int, str]:
    """The machines that have names on the sheet."""
    return {machine.pk: _called(machine) for machine in snapshot.matrix.machines if _cleared(snapshot, machine, people)}


def _called(machine: Machine) -> str:
    """A substitute does not know the shop: "Big blue 1, band saw"."""
    return f"{machine}, {machine.kind.spoken}" if machine.what_it_is else str(machine)


def _machines(snapshot: ShopSnapshot, people: set[int]) -> list[sheets.SubstituteMachine]:
    rows = []
    for machine in snapshot.matrix.machines:
        names = _cleared(snapshot, machine, people)
        off = "" if names else _("No one is cleared.")
        if state := snapshot.out_of_use.get(machine.pk):
            off = f"{state.label}: {state.reason}"
        rows.append(sheets.SubstituteMachine(_called(machine), names, off))
    return rows
