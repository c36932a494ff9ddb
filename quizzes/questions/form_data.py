"""A form as plain data, in and out: how an attempt keeps it, with what it was drawn from, so that it can be rebuilt."""

from collections.abc import Mapping
from typing import Any

from quizzes.facts import FormQuestion, History, QuestionSet, ShownOption


def form_data(form: QuestionSet, history: History) -> dict[str, Any]:
    return {
        "lines": [_line_data(line) for line in form.lines],
        "lacks": [[short.code, short.rule, short.lacks] for short in form.shortfalls],
        "from": {
            "seen": dict(history.seen),
            "missed_rules": list(history.missed_rules),
            "missed_questions": sorted(history.missed_questions),
            "nearby": dict(history.nearby),
        },
    }


def _line_data(line: FormQuestion) -> dict[str, Any]:
    data: dict[str, Any] = {"code": line.code, "rule": line.rule, "kind": line.kind}
    for name in ("options", "lefts"):
        if shown := getattr(line, name):
            data[name] = [[option.id, option.place] for option in shown]
    return data


def lines_of(data: Mapping[str, Any]) -> tuple[FormQuestion, ...]:
    return tuple(line_of(line) for line in data["lines"])


def line_of(data: Mapping[str, Any]) -> FormQuestion:
    return FormQuestion(
        code=data["code"],
        rule=data["rule"],
        kind=data["kind"],
        options=tuple(ShownOption(name, place) for name, place in data.get("options", ())),
        lefts=tuple(ShownOption(name, place) for name, place in data.get("lefts", ())),
    )


def history_of(data: Mapping[str, Any]) -> History:
    """What the form was drawn from: with the edition and the seed it gives the same form again."""
    history = data["from"]
    return History(
        seen=history["seen"],
        missed_rules=tuple(history["missed_rules"]),
        missed_questions=frozenset(history["missed_questions"]),
        nearby=history.get("nearby", {}),  # an earlier version did not look at the forms of others
    )
