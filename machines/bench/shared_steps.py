"""What stands before many machines at once, for one student: the safety agreement, and the quizzes that they share."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from machines.clearance.loading import SchoolRequirements
from machines.clearance.rules.next_steps import quiz_status_for_staff
from machines.models import Machine
from quizzes.banks.editions.queries import latest_editions
from quizzes.relearning.queries import passes, steps
from shopsafe.school.calendar import local_day, school_year
from shopsafe.school.models import Person, StudentDocument
from shopsafe.school.people.queries import documents_of
from shopsafe.school.people.rules.documents import AGREEMENT


@dataclass(frozen=True)
class SharedSteps:
    agreement: StudentDocument | None
    quizzes: list[tuple[str, str]]  # subject, and how far the student is with it


def for_all_of(student: Person, machines: Sequence[Machine], asks: SchoolRequirements, at: datetime) -> SharedSteps:
    """As it is now, at these machines of the student's school. The number of queries grows with neither the machines
    nor the quizzes."""
    zone = student.school.time_zone
    year = school_year(local_day(at, zone), student.school.year_first_month)
    agreement = documents_of([student], AGREEMENT, year).select_related("recorded_by").first()
    subjects = shared_quizzes(machines, asks)
    next_steps = steps(student, at, latest_editions(student, at).filter(bank__in=subjects))
    counting = {
        quiz_pass.bank: quiz_pass
        for quiz_pass in passes([student.pk], at)
        if not quiz_pass.refresher and quiz_pass.counts(at)
    }
    quiz_statuses = [
        (subject, quiz_status_for_staff(next_steps.get(bank), counting.get(bank), zone))
        for bank, subject in subjects.items()
    ]
    return SharedSteps(agreement, quiz_statuses)


def shared_quizzes(machines: Sequence[Machine], asks: SchoolRequirements) -> dict[int, str]:
    """Bank → subject of each quiz that is not only one kind's own: several kinds of these machines ask for it, or one
    that has another quiz of its own."""
    subjects: dict[int, str] = {}
    kinds: dict[int, set[int]] = defaultdict(set)
    for machine in machines:
        for thing in asks.asked_by(machine)[1]:
            if thing.bank_id is not None:
                subjects[thing.bank_id] = thing.name
                kinds[thing.bank_id].add(machine.kind_id)
    own = {machine.kind.bank_id for machine in machines}
    shared = {bank: name for bank, name in subjects.items() if bank not in own or len(kinds[bank]) > 1}
    return dict(sorted(shared.items(), key=lambda pair: (-len(kinds[pair[0]]), pair[1])))
