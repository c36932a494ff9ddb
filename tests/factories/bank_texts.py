"""Banks as text for tests of the rules, all invented: a small one with every kind, and random ones of any shape."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from quizzes.facts import (
    AllThatApply,
    BankText,
    Blueprint,
    Measure,
    OneAnswer,
    Order,
    Pair,
    Place,
    Question,
    Recall,
    Rule,
    Spot,
    Value,
)

GAP = Value(code="guard-gap", says="Guard above the wood", amount="1/8", unit="in", source="common practice")
SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))


def a_rule(code: str = "guard-low", **more: Any) -> Rule:
    fields: dict[str, Any] = {
        "says": "Set the guard just above the wood.",
        "why": "A low guard keeps your hand off the blade.",
        "source": "common practice",
        "recall": Recall(text="Set the ____ just above the wood.", key=("guard", "blade guard")),
    }
    return Rule(code=code, **(fields | more))


def a_one(code: str = "guard-low-1", rule: str = "guard-low", **more: Any) -> OneAnswer:
    fields: dict[str, Any] = {
        "asks": "Where does the guard go?",
        "right": "Just above the wood",
        "wrong": ("At the top of the post", "On the left side", "In the drawer"),
    }
    return OneAnswer(code=code, rule=rule, **(fields | more))


def every_kind(rule: str = "guard-low") -> tuple[Question, ...]:
    """One question of each kind, distinguished by its code."""
    return (
        a_one("q-one", rule),
        AllThatApply(
            code="q-several",
            rule=rule,
            asks="What do you check first?",
            right=("The guard", "The blade"),
            wrong=("The clock", "The door"),
        ),
        Order(
            code="q-order",
            rule=rule,
            asks="Put the steps in order.",
            steps=("Glasses on", "Guard down", "Tell the teacher", "Switch on"),
            may_swap=((2, 3),),
        ),
        Pair(
            code="q-pair",
            rule=rule,
            asks="What keeps what safe?",
            pairs=(("Eyes", "Safety glasses"), ("Ears", "Ear muffs")),
            extra=("A wide belt",),
        ),
        Spot(
            code="q-spot",
            rule=rule,
            asks="Where must no finger be?",
            picture="saw.svg",
            picture_alt="A saw seen from the front: blade, table, wheel.",
            places=(
                Place(says="In line with the blade", points=SQUARE),
                Place(says="On the table edge", points=((20, 0), (30, 0), (30, 10))),
                Place(says="On the wheel cover", points=((40, 0), (50, 0), (50, 10))),
            ),
            right=1,
        ),
        Measure(code="q-measure", rule=rule, asks="How far above?", value="guard-gap", tolerance="1/64"),
    )


def a_bank(
    *,
    rules: tuple[Rule, ...] | None = None,
    questions: tuple[Question, ...] | None = None,
    ask: int = 6,
    **more: Any,
) -> BankText:
    fields: dict[str, Any] = {
        "code": "band-saw",
        "subject": "Band saw",
        "language": "en",
        "about": "How to saw and keep your fingers.",
        "values": (GAP,),
        "blueprint": Blueprint(ask=ask),
    }
    return BankText(
        rules=(a_rule(),) if rules is None else rules,
        questions=every_kind() if questions is None else questions,
        **(fields | more),
    )


def plain_bank(rules: int, each: int, *, ask: int, must: int = 0, kinds: int = 1) -> BankText:
    """`rules` rules of `each` questions; the first `must` are must-ask; kinds go round within a rule."""
    question_list: list[Question] = []
    for rule in range(rules):
        for number in range(each):
            code, name = f"r{rule}-q{number}", f"r{rule}"
            if number % kinds == 1:
                question_list.append(AllThatApply(code=code, rule=name, asks="?", right=("a",), wrong=("b", "c")))
            else:
                question_list.append(a_one(code, name))
    return a_bank(
        rules=tuple(a_rule(f"r{rule}", must_ask=rule < must) for rule in range(rules)),
        questions=tuple(question_list),
        ask=ask,
    )


# ---- any bank -------------------------------------------------------------------------------------------------------

TURNING = "".join(map(chr, [*range(0x202A, 0x202F), *range(0x2066, 0x206A)]))  # they turn the direction of a text
printable = st.characters(
    codec="utf-8", exclude_categories=["Cs", "Cc"], exclude_characters=TURNING, include_characters="\n\t"
)
words = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"], exclude_characters=TURNING), min_size=1, max_size=12
).filter(lambda text: bool(text.strip()))
codes = st.from_regex(r"[a-z0-9]{1,6}(-[a-z0-9]{1,3})?", fullmatch=True)


def distinct(least: int, most: int) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(words, min_size=least, max_size=most, unique=True).map(tuple)


@st.composite
def questions(draw: st.DrawFn, kind: str | None = None) -> Question:
    kind = kind or draw(st.sampled_from(["one", "several", "order", "pair", "spot", "measure"]))
    base: dict[str, Any] = {"code": "q", "rule": "guard-low", "asks": draw(words)}
    texts = draw(distinct(4, 7))
    cut = draw(st.integers(2, len(texts) - 1))
    match kind:
        case "one":
            return OneAnswer(**base, right=texts[0], wrong=texts[1:])
        case "several":
            return AllThatApply(**base, right=texts[:cut], wrong=texts[cut:])
        case "order":
            return Order(**base, steps=texts, may_swap=draw(swap_groups(len(texts))))
        case "pair":
            lefts = draw(distinct(cut, cut))
            return Pair(**base, pairs=tuple(zip(lefts, texts[:cut], strict=True)), extra=texts[cut:])
        case "spot":
            places = tuple(Place(says=text, points=SQUARE) for text in texts)
            return Spot(**base, picture="a.svg", picture_alt="x", places=places, right=draw(st.integers(1, len(texts))))
    return Measure(**base, value="guard-gap", tolerance=draw(st.sampled_from(["0", "1/64", "0.01"])))


@st.composite
def swap_groups(draw: st.DrawFn, steps: int) -> tuple[tuple[int, ...], ...]:
    """Groups of 1-based places that touch no place twice."""
    places = draw(st.permutations(range(1, steps + 1)))
    groups, start = [], 0
    while start < steps:
        size = draw(st.integers(1, 3))
        groups.append(tuple(sorted(places[start : start + size])))
        start += size
    return tuple(sorted(group for group in groups if len(group) > 1))


@st.composite
def banks(draw: st.DrawFn) -> BankText:
    """Any bank that a file can hold, with tables of other parts beside it."""
    rule_codes = draw(st.lists(codes, min_size=1, max_size=3, unique=True))
    question_codes = draw(st.lists(codes, max_size=5, unique=True))
    question_list = [draw(questions()) for _ in question_codes]
    flags = st.booleans()
    return BankText(
        code=draw(codes),
        subject=draw(words),
        language="en",
        about=draw(st.text(printable, max_size=20)),
        after=draw(st.sampled_from(["", "Ask your teacher."])),
        blueprint=Blueprint(ask=draw(st.integers(1, 100)), wait_minutes=draw(st.integers(0, 60))),
        values=(GAP,),
        rules=tuple(a_rule(code, must_ask=draw(flags), retired=draw(flags), says=draw(words)) for code in rule_codes),
        questions=tuple(
            replace(question, code=code, rule=draw(st.sampled_from(rule_codes)))
            for question, code in zip(question_list, question_codes, strict=True)
        ),
        extras=draw(extras),
    )


leaves = (
    st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.text(printable, max_size=8)
    | st.floats(allow_nan=False, allow_infinity=False)
)
tables = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(printable, max_size=5), inner, max_size=3),
    max_leaves=8,
)
extras = st.dictionaries(
    st.text(printable, min_size=1, max_size=6).filter(
        lambda key: key not in ("bank", "quiz", "value", "rule", "question")
    ),
    tables,
    max_size=2,
)
