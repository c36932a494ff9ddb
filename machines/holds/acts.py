"""A teacher stops a student's use of some machines or of all, and lifts that again."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from machines.clearance.rules.wording import clock_text
from machines.holds.queries import rules_now, way_for
from machines.models import Hold, Machine
from quizzes.models import Bank
from quizzes.relearning.opened_card import NOT_OPENED, opened_at
from quizzes.relearning.rules.recalling import is_recalled
from shopsafe.act import act
from shopsafe.language.messages import _, marked
from shopsafe.language.stored import as_stored, shown_and_stored
from shopsafe.logbook.append import append
from shopsafe.school.access import allow, allow_with, one_of
from shopsafe.school.calendar import end_of_day, local_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from shopsafe.school.taps import is_repeated

NAMED = {
    Hold.Lifts.RULES: marked("Choose the quiz whose rules are to be learned again."),
    Hold.Lifts.QUIZ: marked("Choose the quiz to be taken again."),
}


@act
def place_hold(
    *,
    student: Person,
    machines: Sequence[Machine] | None,
    reason: str,
    lifts: str,
    by: Person,
    tap: UUID,
    at: datetime | None = None,
    words: str = "",
    last_day: date | None = None,
    bank: Bank | None = None,
    rules: Sequence[str] = (),
) -> Hold:
    """From now on `student` may not use `machines`, or, where that is None, any machine.

    `reason` and `lifts` are codes of Hold.Reason and Hold.Lifts; `bank`, and codes of its `rules`, say which quiz to
    take and which rules to learn again. A `tap` sent again gives the same hold. Refused: access.not-yours,
    hold.tap-used, .no-machine, .elsewhere, .no-reason, .no-words, .no-way-out, .no-rules, .no-day, .day-passed.
    """
    allow_with(by, "place a hold", student)
    lock(student)
    at = act_moment(student.school_id, at)
    hold_terms = {"reason": reason, "words": words, "lifts": lifts, "last_day": last_day, "rules": sorted(rules)}
    if is_repeated(tap, "hold", by=by, at=at, asked=_asked(student, machines, bank) | hold_terms):
        return Hold.objects.get(tap=tap)
    _is_complete(student, machines, reason, words)
    hold = Hold.objects.create(
        school_id=student.school_id,
        student=student,
        everywhere=machines is None,
        reason=reason,
        words=words.strip()[:300],
        lifts=lifts,
        **_way(student, lifts, last_day, bank, rules, at),
        placed_by=by,
        placed_at=at,
        tap=tap,
    )
    return _entered(hold, machines, by, at)


def _entered(hold: Hold, machines: Sequence[Machine] | None, by: Person, at: datetime) -> Hold:
    """The hold with its machines and its entry in the logbook."""
    hold.machines.set(machines or [])
    codes = {"reason_code": hold.reason, "words": hold.words, "lifts_code": hold.lifts, "lifts_words": hold.lifts_words}
    about = {"bank": {"id": hold.bank.pk, "name": hold.bank.subject}} if hold.bank else {}
    words = as_stored(lambda: {"why": hold.why, "lifts": hold.what_lifts_it})
    hold.entry = _record("hold.placed", hold, machines, by, at, **words, **codes, **about)
    hold.save(update_fields=["entry"])
    return hold


@act
def lift_hold(*, hold: Hold, by: Person, words: str, at: datetime | None = None, anyway: bool = False) -> Hold:
    """The student may go on where the rest is met. `words`: what was done about it. What the office decides only the
    office lifts; `anyway` lifts it although the rules are not learned or the quiz is not passed again.

    Refused: access.not-yours, hold.office, hold.lifted-already, hold.over, hold.not-done, lift.no-words.
    """
    _may_lift(hold, by)
    lock(hold.student)
    at = act_moment(hold.school_id, at)
    rows = Hold.objects.select_related("lifted_by", "student", "school", "bank").defer("bank__draft")
    row = rows.get(pk=hold.pk)
    zone = row.school.time_zone
    if row.lifted_at is not None and row.lifted_by is not None:
        raise Refused(
            "hold.lifted-already",
            _("{person} lifted this hold on {when}.", person=row.lifted_by.name, when=clock_text(row.lifted_at, zone)),
        )
    if row.last_day is not None and at >= end_of_day(row.last_day, zone):
        raise Refused("hold.over", _("This hold is over: its last day has passed."))
    way = way_for(row, at)
    left, stored_left = shown_and_stored(lambda: way.not_done(at))
    if left and not anyway:
        raise Refused("hold.not-done", f"{left} {_('Wait for that, or check the box to lift it anyway.')}")
    if not words.strip():
        raise Refused("lift.no-words", _("Say what was done about it."), 422)
    row.lifted_by, row.lifted_at, row.lifted_words = by, at, words.strip()[:300]
    row.save(update_fields=["lifted_by", "lifted_at", "lifted_words"])
    machines = None if row.everywhere else list(row.machines.select_related("kind"))
    _record("hold.lifted", row, machines, by, at, words=row.lifted_words, not_done=stored_left)
    return row


def _may_lift(hold: Hold, by: Person) -> None:
    if hold.lifts == Hold.Lifts.OFFICE:
        if by.is_teacher:
            raise Refused("hold.office", _("The office decides about this hold. Talk to the office."), 403)
        allow_with(by, "decide about a hold", hold.student)
    else:
        allow_with(by, "lift a hold", hold.student)


@act
def learn_held_rule(
    *, student: Person, hold: Hold, rule: str, word: str, opened: str, at: datetime | None = None
) -> bool:
    """Whether the student, with the card covered, filled in the word of a rule of their own hold; then that is kept.

    `opened` is the note that the card's page carries.
    Refused: access.not-yours, hold.lifted-already, hold.no-rules, card.not-opened.
    """
    allow(student, "take a quiz")
    lock(student)
    at = act_moment(student.school_id, at)
    row = one_of(Hold.objects.select_related("bank"), pk=hold.pk, student=student.pk)
    if row.lifted_at is not None:
        raise Refused("hold.lifted-already", _("This hold is lifted. My machines shows what you may use now."))
    if rule not in row.rules or row.bank is None:
        raise Refused("hold.no-rules", _("That rule is not one of yours to learn again."), 422)
    if rule in row.learned:
        return True
    moment = opened_at(opened, student.pk, f"hold {row.pk}", rule)
    if moment is None:
        raise Refused("card.not-opened", _(NOT_OPENED))
    text = rules_now(row.bank, at)
    card = text.rule_by_code.get(rule) if text else None
    if card is not None and card.recall is not None and not is_recalled(card.recall, word):
        return False
    row.learned = row.learned | {rule: at.isoformat()}
    row.save(update_fields=["learned"])
    about = {"id": row.bank_id, "name": row.bank.subject}
    says = card.says if card else rule
    payload = {
        "student": student.as_record(),
        "bank": about,
        "hold": row.pk,
        "rule": {"code": rule, "says": says},
        "opened_at": min(moment, at),
    }
    append(kind="hold.rule_learned", school=row.school_id, at=at, payload=payload)
    return True


def _asked(student: Person, machines: Sequence[Machine] | None, bank: Bank | None) -> dict[str, Any]:
    """Whom and what a hold is about, by keys."""
    where = "every machine" if machines is None else sorted(machine.pk for machine in machines)
    return {"student": student.pk, "machines": where, "bank": bank.pk if bank else None}


def _is_complete(student: Person, machines: Sequence[Machine] | None, reason: str, words: str) -> None:
    if machines is not None and not machines:
        raise Refused("hold.no-machine", _("Choose the machines, or all of them."), 422)
    if any(machine.school_id != student.school_id for machine in machines or ()):
        raise Refused("hold.elsewhere", _("That machine belongs to another school."), 403)
    if reason not in Hold.Reason.values:
        raise Refused("hold.no-reason", _("Choose a reason."), 422)
    if reason == Hold.Reason.OTHER and not words.strip():
        raise Refused("hold.no-words", _("Say what happened."), 422)


def _way(
    student: Person, lifts: str, last_day: date | None, bank: Bank | None, rules: Sequence[str], at: datetime
) -> dict[str, Any]:
    """The last day, or what the student is to learn, as fields of the hold; nothing where it is lifted another way."""
    _has_way_out(student, lifts, last_day, bank, at)
    if lifts == Hold.Lifts.DATE:
        return {"last_day": last_day}
    if lifts not in NAMED or bank is None:
        return {}
    if lifts == Hold.Lifts.QUIZ:
        return {"bank": bank, "lifts_words": bank.subject}
    edition = rules_now(bank, at)
    chosen = [rule.code for rule in edition.live_rules if rule.code in set(rules)] if edition else []
    if not chosen or len(chosen) != len(set(rules)):
        raise Refused("hold.no-rules", _("Check the rules to study again."), 422)
    count = "1 rule" if len(chosen) == 1 else f"{len(chosen)} rules"
    return {"bank": bank, "rules": chosen, "lifts_words": f"{bank.subject}, {count}"}


def _has_way_out(student: Person, lifts: str, last_day: date | None, bank: Bank | None, at: datetime) -> None:
    if lifts not in Hold.Lifts.values:
        raise Refused("hold.no-way-out", _("Choose what lifts the hold."), 422)
    if lifts in NAMED and bank is None:
        raise Refused("hold.no-way-out", _(NAMED[Hold.Lifts(lifts)]), 422)
    if bank is not None and bank.school_id != student.school_id:
        raise Refused("hold.elsewhere", _("That quiz belongs to another school."), 403)
    if lifts != Hold.Lifts.DATE:
        return
    if last_day is None:
        raise Refused("hold.no-day", _("Give the last day of the hold."), 422)
    if last_day < local_day(at, student.school.time_zone):
        raise Refused("hold.day-passed", _("The last day of the hold has passed already."), 422)


def _record(kind: str, hold: Hold, machines: Sequence[Machine] | None, by: Person, at: datetime, **more: Any) -> Any:
    where = "every machine" if machines is None else [machine.as_record() for machine in machines]
    payload = {
        "student": hold.student.as_record(),
        "machines": where,
        "by": by.as_record(),
        "hold": hold.pk,
        "rules": list(hold.rules),
        "last_day": hold.last_day,
        **more,
    }
    return append(kind=kind, school=hold.school_id, at=at, payload=payload)
