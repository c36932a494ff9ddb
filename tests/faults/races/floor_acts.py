"""The acts of the shop in use: opened, supervised, given, helped, waited for, run, closed."""

from machines.floor.checks import check_lines
from machines.floor.forms import digest_of
from machines.floor.rules.closing import STARTER_LINES
from tests.faults.races.scene import Scene
from tests.faults.races.sending import student, teacher
from tests.faults.races.servers import Fields, Request


def give(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"give {actor}")], "student": [str(scene.student.pk)]}
    return teacher(scene, actor, "run-give", scene.machine.pk, fields)


def run_start(scene: Scene, actor: int) -> Request:
    """The check is confirmed, list by list."""
    assert scene.run
    lines = digest_of(check_lines(scene.machine.kind))
    fields = {"tap": [scene.key(f"run start {actor}")], "me": ["on"], "it": ["on"], "lines": [lines]}
    return teacher(scene, actor, "run-check", scene.run.pk, fields)


def stop(scene: Scene, actor: int) -> Request:
    assert scene.run
    return teacher(scene, actor, "run-end", scene.run.pk, {"tap": [scene.key(f"stop {actor}")]})


def end_all(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"end all {actor}")]}
    return teacher(scene, actor, "shop-end-all", scene.place.section.shop_id, fields)


def close(scene: Scene, actor: int) -> Request:
    """Every line is done, and was checked by the one who sends it."""
    by = str(scene.place.teachers[actor].pk)
    fields: Fields = {"tap": [scene.key(f"close {actor}")], "shown": [digest_of(STARTER_LINES)]}
    for line in range(len(STARTER_LINES)):
        fields |= {f"done-{line}": ["yes"], f"by-{line}": [by]}
    return teacher(scene, actor, "shop-closing", scene.place.section.shop_id, fields)


def open_shop(scene: Scene, actor: int) -> Request:
    section = scene.place.section
    fields = {"tap": [scene.key(f"open {actor}")], "section": [str(section.pk)]}
    return teacher(scene, actor, "shop-open", section.shop_id, fields)


def here(scene: Scene, actor: int) -> Request:
    """The teacher who opened the shop, from a second device if need be: any other is always refused."""
    fields = {"tap": [scene.key(f"here {actor}")]}
    return teacher(scene, 0, "shop-here", scene.place.section.shop_id, fields)


def take_over(scene: Scene, actor: int) -> Request:
    """The colleague of the teacher who opened the shop."""
    fields = {"tap": [scene.key(f"take over {actor}")], "take_over": ["yes"]}
    return teacher(scene, 1, "shop-here", scene.place.section.shop_id, fields)


def allow(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"allow {actor}")]}
    return teacher(scene, actor, "shop-allow", scene.place.section.shop_id, fields)


def helper(scene: Scene, actor: int) -> Request:
    """A classmate helps at the run of the student."""
    assert scene.run
    assert scene.classmate
    fields = {"tap": [scene.key(f"helper {actor}")], "student": [str(scene.classmate.pk)]}
    return teacher(scene, actor, "run-helper", scene.run.pk, fields)


def help_another(scene: Scene, actor: int) -> Request:
    """The student helps at the run of a classmate, at another machine."""
    assert scene.other_run
    fields = {"tap": [scene.key(f"help {actor}")], "student": [str(scene.student.pk)]}
    return teacher(scene, actor, "run-helper", scene.other_run.pk, fields)


def release(scene: Scene, actor: int) -> Request:
    assert scene.helping
    return teacher(scene, actor, "helper-release", scene.helping.pk, {"tap": [scene.key(f"release {actor}")]})


def wait(scene: Scene, actor: int) -> Request:
    return student(scene, "waiting-join", scene.machine.pk, {"tap": [scene.key(f"wait {actor}")]})


def stop_waiting(scene: Scene, actor: int) -> Request:
    assert scene.waiting
    return student(scene, "waiting-leave", scene.waiting.pk, {"tap": [scene.key(f"stop waiting {actor}")]})


def supervising(scene: Scene, actor: int) -> Request:
    assert scene.substitute
    fields = {"tap": [scene.key(f"supervising {actor}")], "substitute": [str(scene.substitute.pk)]}
    fields |= {"day": [str(scene.today)]}
    return teacher(scene, actor, "supervising", scene.place.section.pk, fields)


def supervising_end(scene: Scene, actor: int) -> Request:
    assert scene.grant
    return teacher(scene, actor, "supervising-end", scene.grant.pk, {"tap": [scene.key(f"supervising end {actor}")]})
