"""How the rules of clearance speak: each gap and each ground as a sentence a student can read, and who acts next.

Staff read another sentence of a gap, which speaks of the student.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import assert_never
from zoneinfo import ZoneInfo

from machines.clearance.amounts import AskedAmount
from machines.clearance.facts import (
    ClearedFirst,
    Gap,
    GapCode,
    Ground,
    HoldFact,
    HoldWay,
    MachineRequirements,
    NextActor,
    QuizPass,
    QuizRequirement,
    Reason,
    SignOffFact,
)
from machines.clearance.rules.lifting import BY_STUDENT
from shopsafe.conventions import written_day, written_time
from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import full_minute_after
from shopsafe.school.people.rules.documents import AGREEMENT, DocumentKind

SHOW = marked("Next, show your teacher at the machine. You may not use it yet.")
SHOW_LATER = marked("Then show your teacher at the machine.")
SHOW_AGAIN = marked("Show your teacher at the machine again.")
SHOWS = marked("The student shows a teacher at the machine. Not cleared yet.")
SHOWS_LATER = marked("Then the student shows a teacher at the machine.")
SHOWS_AGAIN = marked("The student shows a teacher at the machine again.")


def reasons(asked: MachineRequirements, gaps: Sequence[Gap]) -> tuple[Reason, ...]:
    """The gaps as reasons, in the same order."""
    alone = len(gaps) == 1
    return tuple(_reason(asked, gap, alone=alone) for gap in gaps)


def _reason(asked: MachineRequirements, gap: Gap, *, alone: bool) -> Reason:
    match gap.what:
        case HoldFact() as hold:
            return _hold(hold)
        case QuizRequirement() as bank:
            return _bank(gap.code, bank)
        case ClearedFirst() as first:
            staff = _("The student must be cleared on {first} first.", first=first.name)
            return Reason(gap.code, NextActor.STUDENT, _("First: {first}.", first=first.name), "bench", staff=staff)
        case DocumentKind() as kind:
            staff = kind.missing_for_staff
            return Reason(gap.code, NextActor.GUARDIAN, kind.missing, "document", kind.code, staff=staff)
        case AskedAmount() as amount:
            return _amount(asked, gap.code, amount)
        case None:
            return _of_machine(asked, gap.code, alone=alone)
    assert_never(gap.what)


def _of_machine(asked: MachineRequirements, code: GapCode, *, alone: bool) -> Reason:
    """A gap that is about nothing but the machine itself."""
    match code:
        case GapCode.DEMONSTRATION if alone:
            return _show(asked, code, _("Every answer was right.") if asked.banks else "", SHOW, SHOWS)
        case GapCode.DEMONSTRATION:
            return _show(asked, code, "", SHOW_LATER, SHOWS_LATER)
        case GapCode.TERM_OVER:
            return _show(asked, code, _("The term is over."))
        case GapCode.YEAR_OVER:
            return _show(asked, code, _("The year is over."))
        case GapCode.HOLD | GapCode.QUIZ | GapCode.QUIZ_CHANGED | GapCode.RULES_NOT_APPROVED | GapCode.OTHER_MACHINE:
            raise ValueError(f"a gap {code} says what it is about")
        case GapCode.REFRESHER_DUE | GapCode.NOT_USED | GapCode.AMOUNT:
            raise ValueError(f"a gap {code} names the amount")
        case GapCode.AGREEMENT | GapCode.DOCUMENT:
            raise ValueError(f"a gap {code} names the kind of document")
    assert_never(code)


def _show(
    asked: MachineRequirements, code: GapCode, why: str, you: str = SHOW_AGAIN, they: str = SHOWS_AGAIN
) -> Reason:
    """What only a demonstration fixes; a student's words and a staff member's."""
    sentence, staff = (f"{why} {_(show)}" if why else _(show) for show in (you, they))
    return Reason(code, NextActor.TEACHER, sentence, "sign-off", str(asked.machine), staff=staff)


def _hold(hold: HoldFact) -> Reason:
    """In kind words for the student; plainly, with why and what lifts it, for the staff."""
    by, detail = hold.by or _("your teacher"), " ".join(part for part in (hold.why, hold.lifts) if part)
    placed = _("On hold, placed by {by}.", by=hold.by) if hold.by else _("On hold.")
    if hold.way in BY_STUDENT and not hold.done:
        learns = hold.way == HoldWay.RULES
        sentence, staff = _held_until_done(learns, by)
        staff = f"{placed} {staff}"
        return Reason(
            GapCode.HOLD, NextActor.STUDENT, sentence, "hold-rules" if learns else "hold-quiz", hold.ref, detail, staff
        )
    if hold.way == HoldWay.OFFICE:
        sentence = _("Paused for now. The office decides. You can talk to {by}.", by=by)
        staff = _("The office decides.")
        return Reason(GapCode.HOLD, NextActor.OFFICE, sentence, "hold", hold.ref, detail, f"{placed} {staff}")
    if hold.done:
        sentence = _("You have done your part. Talk to {by}.", by=by)
        staff = _("The student's part is done. Talk, then lift it.")
    elif hold.way == HoldWay.DATE and hold.last_day:
        sentence = _("Your teacher has paused this one until {last_day}. Talk to {by}.", last_day=hold.last_day, by=by)
        staff = _("It ends by itself after {last_day}.", last_day=hold.last_day)
    else:
        sentence = _("Your teacher has paused this one. Talk to {by}.", by=by)
        staff = _("A talk with the student lifts it.")
    return Reason(GapCode.HOLD, NextActor.TEACHER, sentence, "hold", hold.ref, detail, f"{placed} {staff}")


def _held_until_done(learns: bool, by: str) -> tuple[str, str]:
    """Of a hold that the student's own work lifts: by learning rules again, or by a quiz."""
    if learns:
        sentence = _("Your teacher has paused this one. Learn its rules again. Then talk to {by}.", by=by)
        return sentence, _("The student learns its rules again first.")
    sentence = _("Your teacher has paused this one. Take its quiz again. Then talk to {by}.", by=by)
    return sentence, _("The student takes its quiz again first.")


def _bank(code: GapCode, bank: QuizRequirement) -> Reason:
    match code:
        case GapCode.RULES_NOT_APPROVED:
            sentence = _(
                "Your teacher has not accepted the {subject} rules yet. Until then it is practice only.",
                subject=bank.subject,
            )
            staff = _(
                "No teacher of the shop has accepted the {subject} rules yet. Until then it is practice only.",
                subject=bank.subject,
            )
            return Reason(code, NextActor.TEACHER, sentence, "accept", str(bank.bank), staff=staff)
        case GapCode.QUIZ_CHANGED:
            sentence = _("The {subject} quiz has changed. Take the new one.", subject=bank.subject)
            staff = _("The {subject} quiz has changed. The student takes the new one.", subject=bank.subject)
        case _:
            sentence = _("Take the {subject} quiz. Every answer must be right.", subject=bank.subject)
            staff = _("The student takes the {subject} quiz. Every answer must be right.", subject=bank.subject)
    return Reason(code, NextActor.STUDENT, sentence, "quiz", str(bank.bank), staff=staff)


def _amount(asked: MachineRequirements, code: GapCode, amount: AskedAmount) -> Reason:
    kind, number = amount
    if kind.renewed:
        return _renewed(asked, code, kind.missing(number))
    staff = kind.missing_for_staff(number) if kind.missing_for_staff else ""
    return Reason(code, NextActor.TEACHER, kind.missing(number), about=kind.column, staff=staff)


def _renewed(asked: MachineRequirements, code: GapCode, why: str) -> Reason:
    """A clearance that has run out: a refresher renews it, or a demonstration where the type has no quiz."""
    if asked.own_bank is None:
        return _show(asked, code, why)
    sentence = f"{why} {_('A short refresher brings it back.')}"
    return Reason(code, NextActor.STUDENT, sentence, "refresher", str(asked.own_bank))


def document_met(kind: DocumentKind, at: datetime) -> Ground:
    return Ground("agreement" if kind.code == AGREEMENT.code else "document", kind.met, at)


def bank_met(bank: QuizRequirement, quiz_pass: QuizPass) -> Ground:
    return Ground("bank", _("{subject} quiz: every answer right.", subject=bank.subject), quiz_pass.at, quiz_pass.ref)


def prerequisite_met(first: ClearedFirst) -> Ground:
    return Ground("first", _("Cleared on {first}.", first=first.name))


def amount_met(amount: AskedAmount, met: Callable[[int], str]) -> Ground:
    return Ground("amount", met(amount.number))


def demonstration_met(sign_off: SignOffFact) -> Ground:
    return Ground(
        "demonstration",
        _("Shown at the machine and signed off by {by}.", by=sign_off.by or _("the teacher")),
        sign_off.at,
        sign_off.ref,
    )


def clock_text(at: datetime, zone: str) -> str:
    """ "October 12, 2026 at 10:42 AM", at the school."""
    return _("{day} at {time_of_day}", day=day(at, zone), time_of_day=time_of_day(at, zone))


def day(at: datetime, zone: str) -> str:
    """ "October 12, 2026", at the school."""
    return written_day(at.astimezone(ZoneInfo(zone)).date())


def clock_text_after(end: datetime | None, zone: str) -> str:
    """ "10:43 AM" of a wait that is over at 10:42:08; nothing of nothing."""
    return time_of_day(full_minute_after(end), zone) if end else ""


def time_of_day(at: datetime, zone: str) -> str:
    """ "10:42 AM", at the school."""
    return written_time(at.astimezone(ZoneInfo(zone)))
