"""How the facts of the moment read in a report. These words are stored and never worked out again."""

from collections.abc import Iterator

from machines.clearance.facts import Standing
from machines.incidents.facts import FactLine, MachineThen, StudentThen, TagOutFact
from shopsafe.language.messages import marked

# The labels are stored in English with their texts, and looked up where they are shown.
LABELS = (
    marked("Machine"),
    marked("Tag-outs"),
    marked("Last inspection"),
    marked("Open hazard reports"),
    marked("Shop"),
    marked("Other machines in use"),
    marked("Run"),
    marked("Check before use"),
    marked("Clearance for {machine}"),
    marked("Sign-off"),
    marked("Holds"),
    marked("Class"),
)


def machine_lines(facts: MachineThen | None) -> tuple[FactLine, ...]:
    """What is on record about the machine; nothing without a machine."""
    return tuple(_machine(facts)) if facts else ()


def student_lines(facts: StudentThen) -> tuple[FactLine, ...]:
    return tuple(_student(facts))


def _machine(facts: MachineThen) -> Iterator[FactLine]:
    yield FactLine("Machine", f"{facts.name}: {_state(facts.stands)}")
    if facts.before:
        last = facts.before[0]
        count = "1 earlier tag-out" if len(facts.before) == 1 else f"{len(facts.before)} earlier tag-outs"
        text = f"{count}. The last: {last.since}, {last.reason.rstrip('.')}. Returned to service {last.returned}"
        yield FactLine("Tag-outs", f"{text}: {last.repaired.rstrip('.')}.")
    else:
        yield FactLine("Tag-outs", "None before.")
    yield from facts.more


def _state(stands: TagOutFact | None) -> str:
    if stands is None:
        return "in service."
    return f"tagged out since {stands.since} by {stands.by}: {stands.reason.rstrip('.')}."


def _student(facts: StudentThen) -> Iterator[FactLine]:
    if facts.machine:
        yield FactLine(f"Clearance for {facts.machine}", _clearance(facts))
        yield FactLine("Sign-off", facts.signed or "None on this machine.")
    yield FactLine("Holds", " ".join(facts.holds) or "None.")
    yield FactLine("Class", "; ".join(facts.classes) or "In no class of this shop.")
    yield from facts.more


def _clearance(facts: StudentThen) -> str:
    if facts.status is None:
        return "Not known: the machine was not in the shop at that moment."
    sentences = facts.grounds if facts.status is Standing.CLEARED else facts.reasons
    status = facts.status.capitalize()
    if sentences and sentences[0].startswith(status):  # "On hold, placed by Ms Ferrant." says it already
        return " ".join(sentences)
    return " ".join([f"{status}.", *sentences])
