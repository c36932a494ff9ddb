"""What a browser sends for an answer, given the form and the answer as places in the bank."""

from quizzes.facts import Answer, FormQuestion


def sent_for(line: FormQuestion, answer: Answer) -> dict[str, list[str]]:
    ids = {option.place: option.id for option in line.options}
    match answer:
        case None:
            return {}
        case str():
            return {"answer": [answer]}
        case int():
            return {"answer": [ids[answer]]}
        case frozenset():
            return {"answer": [ids[place] for place in sorted(answer)]}
        case tuple() if line.lefts:
            return {f"pair-{left.id}": [ids[answer[left.place]]] for left in line.lefts if left.place < len(answer)}
    return {f"step-{ids[place]}": [str(step)] for step, place in enumerate(answer, 1)}
