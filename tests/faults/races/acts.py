"""The acts that meet: what must be there before each, and what is sent.

To add an act, add it to ACTS: a name, what its scene must hold (`Scene.state`), and the request. Every pair with it is
then raced. `actor` is 0 or 1: the first teacher sends at the first server, the second at the second.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from quizzes.questions.form_data import lines_of
from tests.factories.reports.inspections import sent_return
from tests.faults.races import floor_acts, shop_acts
from tests.faults.races.scene import DAY, Scene
from tests.faults.races.sending import class_route, student, teacher
from tests.faults.races.servers import Request
from tests.rules.quizzes.attempts.sending import sent_for

OPEN, PASSED = "open quiz", "passed quiz"
CLEARED = frozenset({PASSED, "signed off"})


@dataclass(frozen=True)
class Act:
    name: str
    needs: frozenset[str]
    request: Callable[[Scene, int], Request]


def start(scene: Scene, actor: int) -> Request:
    return student(scene, "attempt-start", scene.bank.pk, {})


def save(scene: Scene, actor: int) -> Request:
    """Each tab another wrong answer to the first question, from a page that shows the right one."""
    assert scene.attempt
    answer = sent_for(lines_of(scene.attempt.form)[0], 1 + actor)
    return student(scene, "answer-save", [scene.attempt.pk, 1], {**answer, "revision": ["1"]})


def hand_in(scene: Scene, actor: int) -> Request:
    assert scene.attempt
    return student(scene, "attempt-hand-in", scene.attempt.pk, {})


def void(scene: Scene, actor: int) -> Request:
    assert scene.attempt
    return teacher(scene, actor, "attempt-void", scene.attempt.pk, {"reason": ["To be done again"]})


def sign_off(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"sign-off {actor}")], "point": scene.machine.kind.demonstration}
    return teacher(scene, actor, "sign-off", [scene.machine.pk, scene.student.pk], fields)


def withdraw(scene: Scene, actor: int) -> Request:
    assert scene.signed
    fields = {"tap": [scene.key(f"withdraw {actor}")], "reason": ["Left the guard up"]}
    return teacher(scene, actor, "sign-off-withdraw", scene.signed.pk, fields)


def here_today(scene: Scene, actor: int) -> Request:
    """Each teacher marks the student away, or no one; both from a page opened before either saved."""
    fields = {"version": [""], "away": [str(scene.student.pk)] if actor else []}
    return teacher(scene, actor, "here-today", scene.place.section.pk, fields)


def move(scene: Scene, actor: int) -> Request:
    assert scene.other_class
    return class_route(scene, actor, "student-move", {"to": [str(scene.other_class.pk)]})


def take_out(scene: Scene, actor: int) -> Request:
    """One teacher says today, the other teacher next week."""
    return class_route(scene, actor, "enrollment-end", {"last_day": [str(scene.today + 7 * actor * DAY)]})


def keep(scene: Scene, actor: int) -> Request:
    return class_route(scene, actor, "enrollment-keep", {})


def remove(scene: Scene, actor: int) -> Request:
    return class_route(scene, actor, "student-remove", {})


def hold(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"hold {actor}")], "where": ["all"], "reason": ["injury"], "lifts": ["talk"]}
    return teacher(scene, actor, "hold-place", [scene.place.section.pk, scene.student.pk], fields)


def lift(scene: Scene, actor: int) -> Request:
    assert scene.held
    return teacher(scene, actor, "hold-lift", scene.held.pk, {"words": ["Came with closed shoes"]})


def tag_out(scene: Scene, actor: int) -> Request:
    fields = {"tap": [scene.key(f"tag-out {actor}")], "reason": ["Guard loose"]}
    return teacher(scene, actor, "tag-out", scene.machine.pk, fields)


def return_to_service(scene: Scene, actor: int) -> Request:
    assert scene.out
    sent = sent_return(scene.machine, "New blade, test cut", tap=scene.key(f"return {actor}"))
    return teacher(scene, actor, "return-to-service", scene.out.pk, {name: [value] for name, value in sent.items()})


def report(scene: Scene, actor: int) -> Request:
    """A student's, from two tabs, or beside what a teacher does at the machine."""
    fields = {"tap": [scene.key(f"report {actor}")], "words": ["The guard rattles"]}
    sent = student(scene, "report-machine", scene.machine.pk, fields)
    return replace(sent, path=f"{sent.path}?seen=guard")


def clear_report(scene: Scene, actor: int) -> Request:
    assert scene.report
    return teacher(scene, actor, "report-clear", scene.report.pk, {"found": ["Screwed on again"]})


def class_list(scene: Scene, actor: int) -> Request:
    """Three students who are new, by number, and the one who is here. Both teachers bring the same list."""
    rows = [f"Berg\tRo{letter}\tn{scene.number}-{letter}" for letter in "abc"]
    rows.append(f"{scene.student.family_name}\t{scene.student.given_name}\t{scene.student.local_id}")
    text = "\n".join(["Last name\tFirst name\tID", *rows])
    fields = {"text": [text], "key": [scene.key(f"class list {actor}")], "step": ["apply"]}
    return teacher(scene, actor, "roster-import", scene.place.section.pk, fields)


def publish(scene: Scene, actor: int) -> Request:
    fields = {"revision": [str(scene.bank.draft_revision)], "earlier": ["stop"], "accept": ["on"]}
    return teacher(scene, actor, "bank-publish", scene.bank.pk, fields)


def accept(scene: Scene, actor: int) -> Request:
    return teacher(scene, actor, "bank-accept", scene.bank.pk, {"edition": ["2"], "agree": ["on"]})


ACTS = {
    act.name: act
    for act in (
        Act("start", frozenset(), start),
        Act("save", frozenset({OPEN}), save),
        Act("hand-in", frozenset({OPEN}), hand_in),
        Act("void", frozenset({PASSED}), void),
        Act("sign-off", frozenset({PASSED}), sign_off),
        Act("withdraw", frozenset({PASSED, "signed off"}), withdraw),
        Act("here today", frozenset(), here_today),
        Act("move", frozenset({"other class"}), move),
        Act("take out", frozenset({"taken out"}), take_out),
        Act("keep in class", frozenset({"leaving"}), keep),
        Act("remove", frozenset({"nothing recorded"}), remove),
        Act("hold", frozenset(), hold),
        Act("lift", frozenset({"on hold"}), lift),
        Act("tag-out", frozenset(), tag_out),
        Act("return", frozenset({"tagged out"}), return_to_service),
        Act("report", frozenset(), report),
        Act("clear report", frozenset({"reported"}), clear_report),
        Act("class list", frozenset(), class_list),
        Act("publish", frozenset({"draft changed"}), publish),
        Act("accept", frozenset({"not accepted"}), accept),
        Act("give", CLEARED | {"open shop"}, floor_acts.give),
        Act("run start", CLEARED | {"given"}, floor_acts.run_start),
        Act("run end", CLEARED | {"given"}, floor_acts.stop),
        Act("end all", frozenset({"open shop"}), floor_acts.end_all),
        Act("close", frozenset({"open shop"}), floor_acts.close),
        Act("open", frozenset({"closed shop"}), floor_acts.open_shop),
        Act("here", frozenset({"open shop", "supervised"}), floor_acts.here),
        Act("take over", frozenset({"open shop", "supervised"}), floor_acts.take_over),
        Act("allow runs", frozenset({"open shop", "runs ended"}), floor_acts.allow),
        Act("helper", CLEARED | {"given", "helper"}, floor_acts.helper),
        Act("help", frozenset({"open shop", "run of another"}), floor_acts.help_another),
        Act("release helper", CLEARED | {"given", "helped"}, floor_acts.release),
        Act("wait", CLEARED | {"open shop"}, floor_acts.wait),
        Act("stop waiting", CLEARED | {"open shop", "waits"}, floor_acts.stop_waiting),
        Act("supervising", frozenset({"substitute"}), floor_acts.supervising),
        Act("supervising end", frozenset({"supervising"}), floor_acts.supervising_end),
        Act("inspect", frozenset(), shop_acts.inspect),
        Act("service", frozenset(), shop_acts.service),
        Act("incident", frozenset(), shop_acts.incident),
        Act("incident version", frozenset({"incident"}), shop_acts.incident_version),
        Act("review", frozenset({"own bank"}), shop_acts.review),
        Act("not yet", frozenset({PASSED}), shop_acts.not_yet),
        Act("document", frozenset({"no document"}), shop_acts.document),
        Act("withdraw document", frozenset({"document"}), shop_acts.withdraw_document),
    )
}


def state_of(first: Act, second: Act) -> frozenset[str]:
    """What both need. A quiz that is still open can't be passed already: it is passed by being handed in."""
    state = first.needs | second.needs
    return state - {PASSED} if OPEN in state else state
