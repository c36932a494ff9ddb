"""Whether a run may start now, and every reason against it, the most dangerous first."""

from datetime import datetime

from machines.floor.facts import (
    HelperNow,
    ShopStatus,
    StartFacts,
    StartReason,
    StartRefusal,
    StudentNow,
)
from machines.floor.rules.presence import shop_state
from shopsafe.language.messages import _, counted, marked

SENTENCES = {
    StartRefusal.TAGGED_OUT: marked("{machine} is tagged out: {why}"),
    StartRefusal.KEPT_OFF: marked("Keep off {machine}: {why}"),
    StartRefusal.SHOP_CLOSED: marked("The shop is closed. A teacher must open it first."),
    StartRefusal.PRESENCE_OVER: marked("No teacher has confirmed being here. Press “I’m here” first."),
    StartRefusal.CLOCK_CHANGED: marked("The server’s clock was changed. Press “I’m here” first."),
    StartRefusal.RUNS_ENDED: marked("All runs were ended. Let machines run again first."),
    StartRefusal.IN_USE: marked("{who} is at {machine}. One student works at each machine."),
    StartRefusal.ON_HOLD: marked("{who} is on hold. {why}"),
    StartRefusal.NOT_CLEARED: marked("{who} is not cleared on {machine}. {why}"),
    StartRefusal.NOT_HERE: marked("{who} is not marked as here today."),
    StartRefusal.ELSEWHERE: marked("{who} is at {why}. End that run first."),
    StartRefusal.NOT_CHECKED: marked("The pre-use check of {machine} is not done."),
    StartRefusal.NO_HELPER: marked("{machine} needs {why}."),
    StartRefusal.HELPER_NOT_CLEARED: marked("{who} may not help at {machine}."),
    StartRefusal.HELPER_ON_HOLD: marked("{who} is on hold and may not help. {why}"),
    StartRefusal.HELPER_ELSEWHERE: marked("{who} is at {why} and can’t help here."),
    StartRefusal.HELPER_NOT_HERE: marked("{who} is not marked as here today and can’t help."),
}
SHOP_REFUSALS = {
    ShopStatus.CLOSED: StartRefusal.SHOP_CLOSED,
    ShopStatus.PRESENCE_OVER: StartRefusal.PRESENCE_OVER,
    ShopStatus.CLOCK_CHANGED: StartRefusal.CLOCK_CHANGED,
    ShopStatus.RUNS_ENDED: StartRefusal.RUNS_ENDED,
}


def reasons_against_giving(facts: StartFacts, at: datetime) -> tuple[StartReason, ...]:
    """Why the teacher can't give the student the machine now; empty if nothing speaks against it.

    The pre-use check comes after the machine is given, so it is not asked for here.
    """
    shop = shop_state(facts.shop, at)
    shop_reasons = [] if shop.is_open else [_reason(SHOP_REFUSALS[shop.status], facts)]
    return (*_machine_reasons(facts), *shop_reasons, *_student_reasons(facts), *_helper_reasons(facts))


def reasons_against_start(facts: StartFacts, at: datetime) -> tuple[StartReason, ...]:
    """Why the machine may not be switched on now; empty if it may. Everything is asked again, and the pre-use check."""
    checked = facts.checked_at is not None and facts.given_at is not None and facts.checked_at >= facts.given_at
    missing = () if checked else (_reason(StartRefusal.NOT_CHECKED, facts),)
    return (*reasons_against_giving(facts, at), *missing)


def may_start(facts: StartFacts, at: datetime) -> bool:
    return not reasons_against_start(facts, at)


def _machine_reasons(facts: StartFacts) -> list[StartReason]:
    machine = facts.machine
    reasons = []
    if machine.tagged_out:
        reasons.append(_reason(StartRefusal.TAGGED_OUT, facts, why=machine.tagged_out))
    if machine.kept_off:
        reasons.append(_reason(StartRefusal.KEPT_OFF, facts, why=machine.kept_off))
    if machine.user_key is not None and machine.user_key != facts.student.key:
        reasons.append(_reason(StartRefusal.IN_USE, facts, who=machine.user, about=machine.user_key))
    return reasons


def _student_reasons(facts: StartFacts) -> list[StartReason]:
    student = facts.student
    reasons = []
    if student.on_hold:
        reasons.append(_about(StartRefusal.ON_HOLD, facts, student, student.on_hold))
    elif not student.cleared:
        reasons.append(_about(StartRefusal.NOT_CLEARED, facts, student, student.why_not))
    if student.here is False:
        reasons.append(_about(StartRefusal.NOT_HERE, facts, student))
    if student.busy_at:
        reasons.append(_about(StartRefusal.ELSEWHERE, facts, student, student.busy_at))
    return reasons


def _helper_reasons(facts: StartFacts) -> list[StartReason]:
    """A helper counts only if nothing speaks against the helper. More helpers than asked for are checked as well."""
    reasons = []
    able: set[int] = set()
    for helper in facts.helpers:
        against = _reasons_against_helper(facts, helper)
        reasons += against
        if not against and helper.key != facts.student.key:
            able.add(helper.key)
    if len(able) < facts.machine.helpers:
        helpers = counted("a helper", "{count} helpers", count=facts.machine.helpers)
        reasons.append(_reason(StartRefusal.NO_HELPER, facts, why=helpers))
    return reasons


def _reasons_against_helper(facts: StartFacts, helper: HelperNow) -> list[StartReason]:
    reasons = []
    if helper.on_hold:
        reasons.append(_about(StartRefusal.HELPER_ON_HOLD, facts, helper, helper.on_hold))
    elif not helper.may_help:
        reasons.append(_about(StartRefusal.HELPER_NOT_CLEARED, facts, helper))
    if helper.here is False:
        reasons.append(_about(StartRefusal.HELPER_NOT_HERE, facts, helper))
    if helper.busy_at:
        reasons.append(_about(StartRefusal.HELPER_ELSEWHERE, facts, helper, helper.busy_at))
    return reasons


def _about(code: StartRefusal, facts: StartFacts, person: StudentNow | HelperNow, why: str = "") -> StartReason:
    return _reason(code, facts, who=person.name, why=why, about=person.key)


def _reason(
    code: StartRefusal, facts: StartFacts, *, who: str = "", why: str = "", about: int | None = None
) -> StartReason:
    sentence = _(SENTENCES[code], machine=facts.machine.name, who=who, why=why).strip()
    return StartReason(code, sentence[:1].upper() + sentence[1:], about)
