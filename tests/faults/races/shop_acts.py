"""Inspections, services, incidents, reviews, tries without a sign-off, and documents of students."""

from machines.reports.facts import Interval
from tests.factories.reports.inspections import sent_answers
from tests.faults.races.scene import DAY, Scene
from tests.faults.races.sending import teacher
from tests.faults.races.servers import Fields, Request


def inspect(scene: Scene, actor: int) -> Request:
    """The first line is answered no, so that the machine is kept off."""
    answers = sent_answers(scene.machine, Interval.WEEKLY) | {"line-0": "no", "tap": scene.key(f"inspect {actor}")}
    fields = {name: [value] for name, value in answers.items()} | {"words": [""]}
    return teacher(scene, actor, "inspect", [scene.machine.pk, "weekly"], fields)


def service(scene: Scene, actor: int) -> Request:
    fields = {
        "tap": [scene.key(f"service {actor}")], "day": [str(scene.today)], "did": ["New belt"], "done_by": ["A. Smith"],
    }  # fmt: skip
    return teacher(scene, actor, "machine-service", scene.machine.pk, fields)


def incident(scene: Scene, actor: int) -> Request:
    """At the machine, so that it is tagged out."""
    fields = _report(scene, "incident") | {"tap": [scene.key(f"incident {actor}")]}
    return teacher(scene, actor, "incident-open", scene.place.section.shop_id, fields)


def incident_version(scene: Scene, actor: int) -> Request:
    """Both teachers go on from the first version. The machine is tagged out by the second."""
    assert scene.incident
    fields = _report(scene, "near-miss") | {"tap": [scene.key(f"version {actor}")], "seen": ["1"], "keep_off": ["on"]}
    return teacher(scene, actor, "incident-report", scene.incident.pk, fields)


def _report(scene: Scene, sort: str) -> dict[str, list[str]]:
    day = scene.today - DAY
    return {
        "sort": [sort], "day": [str(day)], "time": ["10:05"], "machine": [str(scene.machine.pk)],
        "who": [str(scene.student.pk)], "words": ["A short offcut jumped."],
    }  # fmt: skip


def review(scene: Scene, actor: int) -> Request:
    """Both teachers record the same signed print."""
    fields = {"edition": ["1"], "name": ["Rowan Hale"], "role": ["Safety officer"], "reviewed_on": [str(scene.today)]}
    return teacher(scene, actor, "bank-review", scene.bank.pk, fields)


def not_yet(scene: Scene, actor: int) -> Request:
    watched, again = scene.machine.kind.demonstration[:1], scene.machine.kind.demonstration[1:2]
    fields = {
        "tap": [scene.key(f"not yet {actor}")], "point": watched, "again": again, "note": [""], "step": ["record"],
    }  # fmt: skip
    return teacher(scene, actor, "not-yet", [scene.machine.pk, scene.student.pk], fields)


def document(scene: Scene, actor: int) -> Request:
    fields = {"student": [str(scene.student.pk)], "signed_on": [str(scene.today)]}
    return teacher(scene, actor, "documents-record", scene.place.section.pk, fields)


def withdraw_document(scene: Scene, actor: int) -> Request:
    fields: Fields = {"reason": ["For another student"]}
    section, student = scene.place.section, scene.student
    return teacher(scene, actor, "document-withdraw", [section.pk, student.pk, "agreement"], fields)
