"""The closing list: every line answered by a named person, and no run open. Nothing is skipped in silence."""

from collections.abc import Iterable, Mapping, Sequence

from machines.floor.facts import ClosingAnswer, ClosingCode, ClosingLine, ClosingProblem, ClosingState
from shopsafe.language.messages import _, marked, stored

SENTENCES = {
    ClosingCode.RUN_OPEN: marked("{text} is still running on the list. Confirm that it has stopped."),
    ClosingCode.NOT_ANSWERED: marked("“{text}” is not answered."),
    ClosingCode.NOT_SEEN: marked("Say who checked “{text}”."),
    ClosingCode.NO_NOTE: marked("Say what is left to do for “{text}”, and what happens now."),
    ClosingCode.NOT_STILL: marked("“{text}” can’t be done while a run is open."),
    ClosingCode.NO_LINES: marked("The closing list has no lines. Add them in the shop’s settings."),
}
# What a new shop starts with. Common practice; every shop edits its own list.
STARTER_LINES = (
    stored("All machines off and stopped"),
    stored("Power off at the main switch"),
    stored("Guards down"),
    stored("Tools counted, racks full"),
    stored("Goggles back and wiped"),
    stored("Benches and floor clean"),
    stored("Dust collector off"),
)


def closing_state(
    lines: Sequence[ClosingLine], answers: Iterable[ClosingAnswer], open_runs: Mapping[int, str]
) -> ClosingState:
    """What is left before the shop closes. `open_runs`: machine → its name and student, for the sentence.

    An answer to a line that is no longer on the list changes nothing.
    """
    latest = {answer.line: answer for answer in sorted(answers, key=lambda answer: answer.place)}
    problems = [
        ClosingProblem(ClosingCode.RUN_OPEN, _say(ClosingCode.RUN_OPEN, text), key) for key, text in open_runs.items()
    ]
    if not lines:
        problems.append(ClosingProblem(ClosingCode.NO_LINES, _(SENTENCES[ClosingCode.NO_LINES])))
    for line in lines:
        code = _problem(line, latest.get(line.key), bool(open_runs))
        if code is not None:
            problems.append(ClosingProblem(code, _say(code, line.text), line.key))
    answered = [(line, latest[line.key]) for line in lines if line.key in latest]
    return ClosingState(
        problems=tuple(problems),
        not_done=tuple((line, answer) for line, answer in answered if not answer.done),
        answered=len(answered),
        lines=len(lines),
    )


def _problem(line: ClosingLine, answer: ClosingAnswer | None, runs_open: bool) -> ClosingCode | None:
    if answer is None:
        return ClosingCode.NOT_ANSWERED
    if not answer.seen_by.strip():
        return ClosingCode.NOT_SEEN
    if not answer.done and not answer.note.strip():
        return ClosingCode.NO_NOTE
    if line.standstill and answer.done and runs_open:
        return ClosingCode.NOT_STILL
    return None


def _say(code: ClosingCode, text: str) -> str:
    return _(SENTENCES[code], text=text)
