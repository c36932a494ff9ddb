"""A question as a student sees it and as the logbook keeps it: texts in the order of the form, nothing of the key."""

from dataclasses import dataclass, replace
from string import ascii_uppercase
from typing import Any

from quizzes.facts import (
    BankPicture,
    EditionText,
    FormQuestion,
    Measure,
    Place,
    Question,
    QuestionKind,
    Spot,
    Value,
    option_texts,
    pair_left_texts,
)
from quizzes.questions.answering import Response, lowest_free
from quizzes.questions.lengths import LENGTHS, spoken_unit


@dataclass(frozen=True)
class OptionView:
    id: str
    text: str
    letter: str = ""
    checked: bool = False
    chosen: str = ""  # the step or the match that was chosen for it


@dataclass(frozen=True)
class Callout:
    """A letter on a picture, in the picture's own units."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True, kw_only=True)
class QuestionView:
    number: int
    code: str
    kind: QuestionKind
    asks: str
    options: tuple[OptionView, ...] = ()
    lefts: tuple[OptionView, ...] = ()
    unit: str = ""
    chart: Value | None = None  # the stored value whose table the question refers to
    picture: BankPicture | None = None
    alt: str = ""
    callouts: tuple[Callout, ...] = ()
    typed: str = ""

    @property
    def first_field(self) -> str:
        """The id of the first thing to fill in, for a link to it."""
        match self.kind:
            case "order":
                return f"step-{self.options[0].id}"
            case "pair":
                return f"pair-{self.lefts[0].id}"
        return "answer"

    @property
    def says_all(self) -> bool:
        """Its own words say that all that apply are asked for: the page need not."""
        return "choose all that" in self.asks.casefold()

    @property
    def placed(self) -> int:
        """How many items of an order have their step."""
        return sum(option.chosen != "" for option in self.options)

    @property
    def is_half_ordered(self) -> bool:
        return self.kind == "order" and 0 < self.placed < len(self.options)

    @property
    def next_step(self) -> int:
        """The step that the next item pressed gets."""
        return lowest_free({int(option.chosen) for option in self.options if option.chosen})

    @property
    def unit_name(self) -> str:
        return spoken_unit(self.unit)

    @property
    def takes_lengths(self) -> bool:
        return self.unit in LENGTHS

    @property
    def steps(self) -> list[str]:
        return [str(step) for step in range(1, len(self.options) + 1)]


def show(edition: EditionText, line: FormQuestion, number: int) -> QuestionView:
    question = edition.bank.question_by_code[line.code]
    texts, lefts = option_texts(question), pair_left_texts(question)
    letters = ascii_uppercase if isinstance(question, Spot) else [""] * len(line.options)
    return QuestionView(
        number=number,
        code=line.code,
        kind=line.kind,
        asks=question.asks,
        options=tuple(
            OptionView(shown.id, texts[shown.place], letter)
            for shown, letter in zip(line.options, letters, strict=False)
        ),
        lefts=tuple(OptionView(shown.id, lefts[shown.place]) for shown in line.lefts),
        **_number(edition, question),
        **_picture(edition, line, question),
    )


def filled(asked: QuestionView, response: Response | None) -> QuestionView:
    """The question with the answer that was saved, so that a page shows it as it was given."""
    answer = response or {}
    match asked.kind:
        case "one" | "several" | "spot":
            chosen = answer.get("chosen", ())
            ticked = (chosen,) if isinstance(chosen, str) else chosen
            return replace(asked, options=tuple(replace(item, checked=item.id in ticked) for item in asked.options))
        case "order":
            steps = answer.get("steps", {})
            return replace(
                asked, options=tuple(replace(item, chosen=str(steps.get(item.id, ""))) for item in asked.options)
            )
        case "pair":
            pairs = answer.get("pairs", {})
            return replace(asked, lefts=tuple(replace(item, chosen=pairs.get(item.id, "")) for item in asked.lefts))
    return replace(asked, typed=answer.get("text", ""))


def unit_of(edition: EditionText, question: Question) -> str:
    return edition.bank.value_by_code[question.value].unit if isinstance(question, Measure) else ""


def _number(edition: EditionText, question: Question) -> dict[str, Any]:
    if not isinstance(question, Measure):
        return {}
    value = edition.bank.value_by_code[question.value]
    return {"unit": value.unit, "chart": value if value.table else None}


def _picture(edition: EditionText, line: FormQuestion, question: Question) -> dict[str, Any]:
    if not isinstance(question, Spot):
        return {}
    places = [question.places[shown.place] for shown in line.options]
    callouts = tuple(Callout(letter, *center_of(place)) for letter, place in zip(ascii_uppercase, places, strict=False))
    return {"picture": edition.pictures.get(question.picture), "alt": question.picture_alt, "callouts": callouts}


def center_of(place: Place) -> tuple[float, float]:
    """The middle of a polygon by its area; of its corners where it has none. To a tenth of the picture's unit."""
    corners = list(zip(place.points, (*place.points[1:], place.points[0]), strict=True))
    twice = sum(x * v - u * y for (x, y), (u, v) in corners)
    if abs(twice) < 1e-9:
        xs, ys = zip(*place.points, strict=True)
        return round(sum(xs) / len(xs), 1), round(sum(ys) / len(ys), 1)
    across = sum((x + u) * (x * v - u * y) for (x, y), (u, v) in corners) / (3 * twice)
    down = sum((y + v) * (x * v - u * y) for (x, y), (u, v) in corners) / (3 * twice)
    return round(across, 1), round(down, 1)


def answer_in_words(asked: QuestionView, response: Response | None) -> list[str]:
    """The answer a student gave, as texts: one for a choice, one a line for steps and pairs."""
    if not response:
        return []
    texts = {option.id: f"{option.letter}: {option.text}" if option.letter else option.text for option in asked.options}
    match asked.kind:
        case "one" | "spot":
            return [texts[response["chosen"]]]
        case "several":
            return [texts[chosen] for chosen in response["chosen"]]
        case "order":
            steps = sorted(response["steps"].items(), key=lambda item: (item[1], texts[item[0]]))
            return [f"{step}. {texts[name]}" for name, step in steps]
        case "pair":
            pairs = response["pairs"]
            return [f"{left.text}: {texts[pairs[left.id]]}" for left in asked.lefts if left.id in pairs]
    typed: str = response["text"]
    return [typed]


def as_record(asked: QuestionView, response: Response | None, *, right: bool) -> dict[str, Any]:
    """One question for the logbook: as it was shown, what was answered, and whether that was right."""
    record: dict[str, Any] = {
        "number": asked.number,
        "code": asked.code,
        "kind": asked.kind,
        "asks": asked.asks,
        "answered": answer_in_words(asked, response),
        "right": right,
    }
    if asked.options:
        record["shown"] = [
            f"{option.letter}: {option.text}" if option.letter else option.text for option in asked.options
        ]
    if asked.lefts:
        record["left"] = [left.text for left in asked.lefts]
    if asked.unit:
        record["unit"] = asked.unit
    if asked.chart:
        record["chart"] = [f"{size}: {amount} {asked.unit}" for size, amount in asked.chart.table]
    if asked.picture:
        record["picture"] = asked.picture.digest
    return record
