"""How the facts of the moment read in a report. These words are stored and never worked out again."""

from collections.abc import Iterator

from machines.incidents.facts import FactLine, MachineThen, StudentThen, TagOutFact


def machine_lines(then: MachineThen | None) -> tuple[FactLine, ...]:
    """What is on record about the machine; nothing without a machine."""
    return tuple(_machine(then)) if then else ()


def student_lines(then: StudentThen) -> tuple[FactLine, ...]:
    return tuple(_student(then))


def _machine(then: MachineThen) -> Iterator[FactLine]:
    yield FactLine("Machine", f"{then.name}: {_state(then.stands)}")
    if then.before:
        last = then.before[0]
        count = "1 earlier tag-out" if len(then.before) == 1 else f"{len(then.before)} earlier tag-outs"
        text = f"{count}. The last: {last.since}, {last.reason.rstrip('.')}. Returned to service {last.returned}"
        yield FactLine("Tag-outs", f"{text}: {last.repaired.rstrip('.')}.")
    else:
        yield FactLine("Tag-outs", "None before.")
    yield from then.more


def _state(stands: TagOutFact | None) -> str:
    if stands is None:
        return "in service."
    return f"tagged out since {stands.since} by {stands.by}: {stands.reason.rstrip('.')}."


def _student(then: StudentThen) -> Iterator[FactLine]:
    if then.machine:
        yield FactLine(f"Clearance for {then.machine}", _clearance(then))
        yield FactLine("Sign-off", then.signed or "None on this machine.")
    yield FactLine("Holds", " ".join(then.holds) or "None.")
    yield FactLine("Class", "; ".join(then.classes) or "In no class of this shop.")
    yield from then.more


def _clearance(then: StudentThen) -> str:
    if not then.status:
        return "Not known: the machine was not in the shop at that moment."
    sentences = then.grounds if then.status == "cleared" else then.reasons
    status = then.status.capitalize()
    if sentences and sentences[0].startswith(status):  # "On hold, placed by Ms Ferrant." says it already
        return " ".join(sentences)
    return " ".join([f"{status}.", *sentences])
