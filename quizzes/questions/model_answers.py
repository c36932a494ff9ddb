"""What a student would send who knows the key, or misses it: for the demo school and for tests, never for a page."""

from collections.abc import Mapping

from quizzes.facts import AllThatApply, FormQuestion, Measure, Order, Pair, Question, Spot, Value
from quizzes.questions.answering import Sent


def right_answer(question: Question, line: FormQuestion, values: Mapping[str, Value]) -> Sent:
    """A form that grades as the key."""
    ids = {option.place: option.id for option in line.options}
    match question:
        case AllThatApply(right=texts):
            return {"answer": [ids[place] for place in range(len(texts))]}
        case Order():
            return {f"step-{name}": [str(place + 1)] for place, name in ids.items()}
        case Pair():
            return {f"pair-{left.id}": [ids[left.place]] for left in line.lefts}
        case Spot(right=place):
            return {"answer": [ids[place - 1]]}
        case Measure(value=code, row=row):
            return {"answer": [f"{values[code].key(row)} {values[code].unit}"]}
    return {"answer": [ids[0]]}


def wrong_answer(question: Question, line: FormQuestion) -> Sent:
    """A full answer that is not the key: for each kind the plainest mistake."""
    ids = {option.place: option.id for option in line.options}
    last = max(ids, default=0)
    match question:
        case Order():
            return {f"step-{name}": [str(last + 1 - place)] for place, name in ids.items()}
        case Pair():
            return {f"pair-{left.id}": [ids[(left.place + 1) % len(ids)]] for left in line.lefts}
        case Spot(right=place):
            return {"answer": [ids[0 if place != 1 else 1]]}
        case Measure():
            return {"answer": ["999"]}
    return {"answer": [ids[last]]}
