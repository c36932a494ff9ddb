"""Reads what a student sent for one question on a form, says what is missing, and turns it into an answer to grade.

A response is kept as it was given, also when it is not finished or a number can't be read:
one, spot {"chosen": id} · several {"chosen": [ids]} · order {"steps": {id: step}} · pair {"pairs": {left: right}} ·
measure {"text": as typed} · taken away again {}, which counts as no answer.
"""

from collections.abc import Collection, Mapping, Sequence
from itertools import count
from typing import Any, assert_never

from quizzes.facts import Answer, FormQuestion, ShownOption
from quizzes.questions.lengths import LONGEST, Unreadable, read_quantity
from shopsafe.language.messages import _, marked

Sent = Mapping[str, Sequence[str]]
Response = dict[str, Any]

TAKEN_AWAY: Response = {}
PRESS = "press"  # in what was sent: the item of an order that was pressed, on a page without scripts


class NotOnForm(ValueError):
    """The answer names something that the form does not show: made by hand, or of another attempt."""


def read_response(line: FormQuestion, sent: Sent) -> Response | None:
    """The response in a sent form; None where nothing was chosen or typed. Raises NotOnForm."""
    match line.kind:
        case "one" | "spot":
            chosen = _known(sent.get("answer", ()), line.options)
            return {"chosen": chosen[-1]} if chosen else None
        case "several":
            ticked = _known(sent.get("answer", ()), line.options)
            return {"chosen": [option.id for option in line.options if option.id in ticked]} if ticked else None
        case "order":
            steps = {
                option.id: _step(text, len(line.options))
                for option in line.options
                if (text := _last(sent, f"step-{option.id}"))
            }
            if pressed := _last(sent, PRESS):
                steps = _after_press(steps, *_known((pressed,), line.options))
            return {"steps": steps} if steps else None
        case "pair":
            pairs = {left.id: text for left in line.lefts if (text := _last(sent, f"pair-{left.id}"))}
            _known(tuple(pairs.values()), line.options)
            return {"pairs": pairs} if pairs else None
        case "measure":
            text = _last(sent, "answer").strip()
            return {"text": text[: LONGEST + 1]} if text else None
        case _:
            assert_never(line.kind)


def can_be_taken_away(line: FormQuestion) -> bool:
    """Whether a page lets its student go back to no answer. Of a choice of one it does not: one stays chosen."""
    return line.kind not in ("one", "spot")


def _last(sent: Sent, name: str) -> str:
    return (sent.get(name) or ("",))[-1]


def _known(ids: Sequence[str], options: Sequence[ShownOption]) -> Sequence[str]:
    if not set(ids) <= {option.id for option in options}:
        raise NotOnForm("an answer that is not on the form")
    return ids


def _step(text: str, most: int) -> int:
    if text not in {str(number) for number in range(1, most + 1)}:
        raise NotOnForm("a step that is not on the form")
    return int(text)


def lowest_free(taken: Collection[int]) -> int:
    return next(step for step in count(1) if step not in taken)


def _after_press(steps: Mapping[str, int], item: str) -> dict[str, int]:
    """The steps after a press on `item`: it takes the lowest free number, or gives up the number that it has."""
    if item in steps:
        return {other: step for other, step in steps.items() if other != item}
    return {**steps, item: lowest_free(steps.values())}


def missing(line: FormQuestion, response: Response | None, unit: str = "") -> str:
    """What still has to be done before this response can be handed in, in a student's words; empty when nothing."""
    if not response:
        return _(NOTHING_YET[line.kind])
    match line.kind:
        case "order":
            return _missing_steps(list(response["steps"].values()), len(line.options))
        case "pair":
            return _missing_pairs(response["pairs"], len(line.lefts))
        case "measure":
            try:
                read_quantity(response["text"], unit)
            except Unreadable as error:
                return error.sentence
    return ""


NOTHING_YET = {
    "one": marked("Choose an answer."),
    "several": marked("Choose at least one answer."),
    "order": marked("Press the steps in order."),
    "pair": marked("Choose a match for each item."),
    "spot": marked("Choose a place."),
    "measure": marked("Write a number."),
}


def _missing_steps(steps: list[int], items: int) -> str:
    twice = sorted({step for step in steps if steps.count(step) > 1})
    if twice:
        return _("Two items have step {step}. Press one to take it out. Then press it again.", step=twice[0])
    return "" if len(steps) == items else _("Press each step until every step has a number.")


def _missing_pairs(pairs: Mapping[str, str], count: int) -> str:
    if len(pairs) < count:
        return _("Choose a match for each item.")
    return "" if len(set(pairs.values())) == len(pairs) else _("You used one match twice. Use each match once.")


def answer_of(line: FormQuestion, response: Response | None) -> Answer:
    """The response as places in the bank, ready to grade."""
    if not response:
        return None
    places = {option.id: option.place for option in line.options}
    match line.kind:
        case "one" | "spot":
            return places[response["chosen"]]
        case "several":
            return frozenset(places[chosen] for chosen in response["chosen"])
        case "order":
            steps = response["steps"]
            return tuple(places[name] for name in sorted(steps, key=steps.__getitem__))
        case "pair":
            lefts = sorted(line.lefts, key=lambda left: left.place)
            pairs = response["pairs"]
            return tuple(places[pairs[left.id]] for left in lefts if left.id in pairs)
    text: str = response["text"]
    return text
