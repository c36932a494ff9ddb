"""What is there after two acts have met, in one line without keys and moments."""

import itertools
from collections.abc import Iterator

from machines.models import (
    EndOfRuns,
    HazardReport,
    Hold,
    Incident,
    NotYet,
    PresenceConfirmation,
    Run,
    RunHelper,
    ServiceRecord,
    ShopOpening,
    SignOff,
    SupervisingGrant,
    TagOut,
    WaitingStudent,
)
from quizzes.models import Acceptance, Attempt, Review
from quizzes.questions.form_data import lines_of
from shopsafe.school.models import Enrollment, Person, RosterImport, StudentDocument
from tests.faults.races.scene import Scene


def outcome_line(scene: Scene, statuses: list[int]) -> str:
    """The statuses, the entries, and what is on record."""
    entries = ", ".join(_kinds(scene)) or "no entry"
    return f"{' '.join(map(str, statuses))} | {entries} | {'; '.join(_facts(scene)) or 'nothing'}"


def _kinds(scene: Scene) -> list[str]:
    kinds = (entry.kind for entry in scene.entries())
    return [f"{kind} ×{len(list(same))}" for kind, same in itertools.groupby(kinds)]


def _facts(scene: Scene) -> list[str]:
    lines = (_quiz_lines, _machine_lines, _floor_lines, _class_lines, _document_lines, _shop_lines, _bank_lines)
    return [fact for group in lines for fact in group(scene)]


def _quiz_lines(scene: Scene) -> Iterator[str]:
    """Each attempt's state, how often its answers were saved, and which option stands for the first question."""
    for attempt in Attempt.objects.filter(student=scene.student).order_by("started_at"):
        state = "open" if attempt.handed_in_at is None else "passed" if attempt.perfect else "missed"
        saved = sum(attempt.answers.values_list("revision", flat=True))
        first = lines_of(attempt.form)[0]
        answer = attempt.answers.filter(question=first.code).first()
        chosen = (option.place for option in first.options if answer and option.id in str(answer.response))
        voided = ", voided" if attempt.voided_at else ""
        yield f"{state}{voided}, {saved} saves, option {next(chosen, 'none')}"


def _machine_lines(scene: Scene) -> Iterator[str]:
    for sign_off in SignOff.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"sign-off by {_letter(scene, sign_off.by_id)}{'' if sign_off.stands else ', withdrawn'}"
    for not_yet in NotYet.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"not yet by {_letter(scene, not_yet.by_id)}"
    for hold in Hold.objects.filter(student=scene.student).order_by("pk"):
        yield f"hold by {_letter(scene, hold.placed_by_id)}{', lifted' if hold.lifted_at else ''}"
    for tag_out in TagOut.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"tag-out by {_letter(scene, tag_out.by_id)}{', returned' if tag_out.returned_at else ''}"
    for report in HazardReport.objects.filter(machine=scene.machine).order_by("pk"):
        ended = ", tagged out" if report.tag_out_id else ", cleared" if report.ended_at else ""
        yield f"report{ended}"
    for service in ServiceRecord.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"service by {_letter(scene, service.by_id)}"


def _floor_lines(scene: Scene) -> Iterator[str]:
    for run in Run.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"run by {_letter(scene, run.given_by_id)}, {_run_state(run)}"
        for help_row in RunHelper.objects.filter(run=run).order_by("pk"):
            yield f"helper{', released' if help_row.ended_at else ''}"
    for help_row in RunHelper.objects.filter(student=scene.student).order_by("pk"):
        yield f"helps at a run{', released' if help_row.ended_at else ''} that is {_run_state(help_row.run)}"
    for waiting in WaitingStudent.objects.filter(machine=scene.machine).order_by("pk"):
        yield f"waiting{', left' if waiting.left_at else ''}"
    for opening in ShopOpening.objects.filter(shop=scene.place.section.shop_id).order_by("pk"):
        yield f"shop {'closed' if opening.closed_at else 'open'}"
        yield from ["runs ended"] * EndOfRuns.objects.filter(opening=opening, lifted_at=None).count()
        presence = PresenceConfirmation.objects.filter(opening=opening).order_by("-pk")[0]
        if "supervised" in scene.state:
            yield f"supervised by {_letter(scene, presence.by_id)}"
    for grant in SupervisingGrant.objects.filter(substitute=scene.substitute).order_by("pk"):
        yield f"supervising{', withdrawn' if grant.withdrawn_at else ''}"


def _run_state(run: Run) -> str:
    return "stopped" if run.ended_at else "running" if run.started_at else "given"


def _class_lines(scene: Scene) -> Iterator[str]:
    """Where the student is, if the race is about leaving a class: of no other race would it tell anything."""
    if not {"other class", "leaving", "taken out", "nothing recorded"} & scene.state:
        return
    rows = Enrollment.objects.filter(student=scene.student.pk).order_by("pk")
    for row in rows:
        place = "own" if row.section_id == scene.place.section.pk else "other"
        days = f" for {(row.until_day - scene.today).days} days" if row.until_day else ""
        yield f"in {place} class{days}"
    if not rows:
        yield "in no class"


def _document_lines(scene: Scene) -> Iterator[str]:
    """The agreements, if the race is about them."""
    if {"document", "no document"} & scene.state:
        for document in StudentDocument.objects.filter(student=scene.student.pk).order_by("pk"):
            yield f"agreement{', withdrawn' if document.taken_back_at else ''}"


def _shop_lines(scene: Scene) -> Iterator[str]:
    for incident in Incident.objects.filter(versions__machine=scene.machine).distinct().order_by("pk"):
        yield f"incident of {incident.versions.count()} versions"


def _bank_lines(scene: Scene) -> Iterator[str]:
    imports = RosterImport.objects.filter(key__in=scene.keys.values()).count()
    new = Person.objects.filter(local_id__startswith=f"n{scene.number}-").count()
    if imports:
        yield f"{imports} imports of {new} students"
    for edition in scene.bank.editions.filter(number__gt=1).order_by("number"):
        yield f"edition {edition.number}"
    accepted = Acceptance.objects.filter(edition__bank=scene.bank, taken_back_at=None)
    for number in accepted.values_list("edition__number", flat=True).order_by("edition"):
        yield f"{number} accepted"
    for review in Review.objects.filter(edition__bank=scene.bank).order_by("pk"):
        yield f"review by {_letter(scene, review.by_id)} of edition {review.edition.number}"


def _letter(scene: Scene, pk: int) -> str:
    """A for the first teacher, B for the second."""
    return "A" if pk == scene.place.teachers[0].pk else "B"
