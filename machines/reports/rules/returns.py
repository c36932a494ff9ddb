"""Whether a tagged-out machine may return to service, and every reason against it.

The model is the removal of a lockout or tagout device in 29 CFR 1910.147(e)(3): the person who put it on takes it off;
otherwise a second person does, and why is on record. Students are not employees: a model, not an obligation.
"""

from collections import Counter
from datetime import UTC

from machines.reports.facts import LineAnswer, ReturnFacts, ReturnReason, ReturnRefusal
from shopsafe.language.messages import _, marked

SENTENCES = {
    ReturnRefusal.NOT_ANSWERED: marked("“{line}” is not answered."),
    ReturnRefusal.ANSWERED_NO: marked("“{line}” is answered no. The machine stays out of service."),
    ReturnRefusal.ANSWERED_TWICE: marked("“{line}” is answered twice. Answer it once."),
    ReturnRefusal.ANSWERED_EARLY: marked("The list was answered before the machine was tagged out. Answer it again."),
    ReturnRefusal.NO_WORDS: marked("Say what was repaired and checked."),
    ReturnRefusal.NO_REASON: marked("{name} tagged this machine out. Say why you return it instead."),
}


def reasons_against_return(facts: ReturnFacts) -> tuple[ReturnReason, ...]:
    """Why the machine stays out; empty if it may return. Each line needs "yes" or "doesn't apply"."""
    reasons = []
    if facts.answered_at.astimezone(UTC) < facts.tagged_out_at.astimezone(UTC):
        reasons.append(_reason(ReturnRefusal.ANSWERED_EARLY))
    times = Counter(answer.line for answer in facts.answers)
    answers = {answer.line: answer.answer for answer in facts.answers}
    for key, line in facts.lines.items():
        code = _against_line(times[key], answers.get(key))
        if code is not None:
            reasons.append(_reason(code, line=line, key=key))
    if not facts.finding.strip():
        reasons.append(_reason(ReturnRefusal.NO_WORDS))
    if facts.by != facts.tagged_out_by and not facts.reason.strip():
        reasons.append(_reason(ReturnRefusal.NO_REASON, name=facts.tagged_out_name))
    return tuple(reasons)


def _against_line(times: int, answer: LineAnswer | None) -> ReturnRefusal | None:
    if answer is None:
        return ReturnRefusal.NOT_ANSWERED
    if times > 1:
        return ReturnRefusal.ANSWERED_TWICE
    return ReturnRefusal.ANSWERED_NO if answer is LineAnswer.NO else None


def _reason(code: ReturnRefusal, *, line: str = "", name: str = "", key: int | None = None) -> ReturnReason:
    return ReturnReason(code, _(SENTENCES[code], line=line, name=name), key)
