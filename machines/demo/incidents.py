"""What happened in the demo shop weeks ago: a small injury, a near miss and a misuse, each written up."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from machines.demo.days import Lived
from machines.incidents.acts.follow_ups import add_follow_up, finish_follow_up
from machines.incidents.acts.reports import open_incident, write_report
from machines.incidents.acts.settings import set_incident_settings
from machines.incidents.facts import Informed, OwnPart, ReportText
from machines.incidents.report import Report
from machines.models import Machine, TagOut
from machines.reports.facts import LineAnswer
from machines.reports.inspections.lists import lists_of_kind
from machines.tag_outs.acts import ReturnWords, return_to_service
from shopsafe.school.models import Person
from shopsafe.school.people.queries import students_of

if TYPE_CHECKING:
    from machines.demo.build import Demo

OFFCUT = ReportText(
    doing="working on it",
    words="A short offcut jumped and hit the left thumb. The student pressed stop.",
    informed=(Informed("office", "09:41"), Informed("nurse", "09:42"), Informed("parent or guardian", "10:15")),
)
CLAMP = ReportText(
    doing="working on it",
    words="The workpiece spun with the bit because it was held by hand. No one was touched.",
    nobody_informed=True,
)
BLOCK = ReportText(
    doing="something else",
    doing_words="Trying to push a second board through at once",
    words="Two boards were fed together. The teacher stopped it.",
    informed=(Informed("office", "11:05"),),
)


def incidents(demo: "Demo") -> list[Lived]:
    return [_settings(demo), _thumb(demo), _spun(demo), _two_boards(demo)]


def _machine(demo: "Demo", kind: str) -> Machine:
    return next(machine for machine in demo.machines if machine.kind.code == kind)


def _settings(demo: "Demo") -> Lived:
    at = demo.ago(59)
    yield at
    phone = demo.plan["office_phone"]
    set_incident_settings(emergency_number="911", office_phone=phone, due_days=7, by=demo.office, at=at)


def _thumb(demo: "Demo") -> Lived:
    """Begun with who alone, completed the same day; the machine is looked at and comes back."""
    student, teacher, saw = _student(demo, 0, 3), demo.staff["ferrant"], _machine(demo, "band-saw")
    happened = demo.ago(33, 38)
    at = happened + timedelta(minutes=6)
    yield at
    report = Report(sort="incident", happened_at=happened, machine=saw, concerned=[student])
    incident = open_incident(shop=saw.shop, report=report, by=teacher, tap=uuid4(), at=at)
    at += timedelta(minutes=50)
    yield at
    own = OwnPart("to the nurse", "Left thumb, cut", ("pressed and bandaged",))
    whole = Report(
        sort="incident", happened_at=happened, machine=saw, concerned=[student], text=OFFCUT, own={student.pk: own},
        wants_complete=True,
    )  # fmt: skip
    write_report(incident=incident, report=whole, seen=1, by=teacher, tap=uuid4(), at=at)
    words = "Stop the saw before anyone clears offcuts. Say it at the start of each demonstration."
    follow_up = add_follow_up(incident=incident, words=words, by=teacher, tap=uuid4(), at=at)
    at += timedelta(minutes=60)
    yield at
    row = TagOut.objects.get(machine=saw, returned_at=None)
    _return(row, "Guard, blade and table insert are whole. Test cut.", teacher, at)
    at = demo.ago(30, 20)
    yield at
    finish_follow_up(follow_up=follow_up, words="Said in both classes.", by=teacher, at=at)


def _return(row: TagOut, finding: str, teacher: Person, at: datetime) -> None:
    """Back in service by the teacher who tagged it out, every line of its list answered yes."""
    lists = lists_of_kind(row.machine.kind, at)
    answers = dict.fromkeys(range(len(lists.lines())), LineAnswer.YES)
    words = ReturnWords(finding, "", "")
    return_to_service(tag_out=row, answers=answers, seen=lists.digest(), words=words, by=teacher, at=at)


def _spun(demo: "Demo") -> Lived:
    """A near miss: what is to change is not done yet."""
    student, teacher, drill = _student(demo, 2, 4), demo.staff["quarles"], _machine(demo, "drill-press")
    happened = demo.ago(24, 65)
    at = happened + timedelta(minutes=20)
    yield at
    own = OwnPart("no one")
    report = _whole("near-miss", happened, drill, student, CLAMP, own)
    incident = open_incident(shop=drill.shop, report=report, by=teacher, tap=uuid4(), at=at)
    words = "A clamp on a chain at each drill press."
    add_follow_up(incident=incident, words=words, by=teacher, tap=uuid4(), at=at)


def _two_boards(demo: "Demo") -> Lived:
    student, teacher, saw = _student(demo, 0, 7), demo.staff["ferrant"], _machine(demo, "band-saw")
    happened = demo.ago(19, 120)
    at = happened + timedelta(minutes=12)
    yield at
    report = _whole("misuse", happened, saw, student, BLOCK, OwnPart("no one"))
    open_incident(shop=saw.shop, report=report, by=teacher, tap=uuid4(), at=at)


def _whole(sort: str, happened: datetime, machine: Machine, student: Person, text: ReportText, own: OwnPart) -> Report:
    return Report(
        sort=sort, happened_at=happened, machine=machine, concerned=[student], text=text, own={student.pk: own},
        wants_complete=True,
    )  # fmt: skip


def _student(demo: "Demo", section: int, place: int) -> Person:
    return list(students_of(demo.sections[section]))[place]
