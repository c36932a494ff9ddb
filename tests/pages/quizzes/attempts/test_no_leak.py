"""Nothing a student is sent depends on the key before grading, nor tells afterwards which question was wrong.

Two banks differ only in which option is right. A student takes both with the same seed and picks the same texts: every
response is the same, byte for byte, once tokens and numbers of rows are masked.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.attempts import acts
from quizzes.attempts.acts import start_attempt
from quizzes.banks.draft_rows import draft_text, picture_data
from quizzes.banks.editions.texts import text_of
from quizzes.facts import (
    AllThatApply,
    BankPicture,
    BankText,
    FormQuestion,
    OneAnswer,
    Order,
    Pair,
    Question,
    Spot,
    option_texts,
)
from quizzes.models import Attempt, Bank
from quizzes.models import Picture as PictureRow
from quizzes.questions.form_data import lines_of
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule, every_kind
from tests.factories.banks import AT, answer_all, make_bank, publish, published, read_cards
from tests.pages.notes import note_on

DRAWING = BankPicture(digest="5" * 64, kind="svg", width=60, height=40)
SEED = 20260914
MASKS = [
    (r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", "ATTEMPT"),
    (r'(csrfmiddlewaretoken" value=")\w+', r"\1TOKEN"),
    (r"/(quizzes|rules)/\d+/", r"/\1/BANK/"),
    (r'(name="opened" value=")[^"]+', r"\1NOTE"),
]


def with_another_key(question: Question) -> Question:
    match question:
        case OneAnswer():
            return replace(question, right=question.wrong[0], wrong=(question.right, *question.wrong[1:]))
        case AllThatApply():
            right, wrong = question.right, question.wrong
            return replace(question, right=(right[0], wrong[0]), wrong=(right[1], wrong[1]))
        case Order():
            return replace(question, steps=question.steps[::-1])
        case Pair():
            (left, first_match), (second_left, second_match) = question.pairs
            return replace(question, pairs=((left, second_match), (second_left, first_match)))
        case Spot():
            return replace(question, right=2)
    return question


def banks_of(teacher: Person) -> Iterator[Bank]:
    """The same bank with two keys; the measure's key is the stored value."""
    kinds = every_kind()
    other = tuple(with_another_key(question) for question in kinds)
    for code, questions, amount in (("key-a", kinds, "1/8"), ("key-b", other, "1/4")):
        yield keyed(teacher, a_bank(code=code, questions=questions, values=(replace(GAP, amount=amount),)))


def keyed(teacher: Person, text: BankText) -> Bank:
    bank = make_bank(teacher.school, text)
    bank.draft_pictures = picture_data({"saw.svg": DRAWING})
    bank.draft = draft_text(text)
    bank.save()
    PictureRow.objects.get_or_create(school=teacher.school, digest=DRAWING.digest, kind="svg", content=b"<svg/>")
    publish(bank, teacher)
    return bank


def masked(response: HttpResponse) -> tuple[object, ...]:
    body, headers = response.content.decode(), "\n".join(f"{name}: {value}" for name, value in response.items())
    for pattern, mask in MASKS:
        body, headers = re.sub(pattern, mask, body), re.sub(pattern, mask, headers)
    return response.status_code, headers, len(response.content), body


def picked(attempt: Attempt, line: FormQuestion, turn: int) -> dict[str, list[str]]:
    """An answer given by what is on the page and not by places in the bank. `turn` gives different ones."""
    texts = option_texts(text_of(attempt.edition).bank.question_by_code[line.code])
    ids = [option.id for option in sorted(line.options, key=lambda option: texts[option.place])]
    ids = ids[turn % max(1, len(ids)) :] + ids[: turn % max(1, len(ids))]
    match line.kind:
        case "several":
            return {"answer": ids[: 1 + turn % 3]}
        case "order":
            return {f"step-{name}": [str(step)] for step, name in enumerate(ids, 1)}
        case "pair":
            return {f"pair-{left.id}": [name] for left, name in zip(line.lefts, ids, strict=False)}
        case "measure":
            return {"answer": [("1/8", "1/4 in", "3 mm", "7")[turn]]}
    return {"answer": ids[:1]}


def crawl(client: Client, attempt: Attempt, turn: int) -> Iterator[tuple[object, ...]]:
    """Everything a student can ask for before handing in, with every answer given."""
    for number, line in enumerate(lines_of(attempt.form), 1):
        question = reverse("attempt-question", args=[attempt.pk, number])
        saving = reverse("answer-save", args=[attempt.pk, number])
        answer = picked(attempt, line, turn)
        for response in (
            client.get(question),
            client.post(reverse("attempt-hand-in", args=[attempt.pk])),
            client.post(saving, answer),
            client.post(saving, {**answer, "revision": "9"}),
            client.post(question, answer),
            client.get(question),
            client.head(question),
            client.get(reverse("attempt-check", args=[attempt.pk])),
            client.get(reverse("attempt-result", args=[attempt.pk])),
        ):
            yield masked(response)
    yield masked(client.get(reverse("bank-picture", args=[DRAWING.digest, "svg"])))


@pytest.mark.parametrize("turn", [0, 2])
def test_before_grading_nothing_depends_on_the_key(
    cast: Cast, student: Client, turn: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def graded(*_: object) -> None:
        raise AssertionError("an answer was graded before the quiz was handed in")

    monkeypatch.setattr(acts, "grade", graded)
    first_attempt, second_attempt = (
        start_attempt(student=cast.student, bank=bank.pk, at=AT, seed=SEED) for bank in banks_of(cast.teacher)
    )
    assert first_attempt.form["lines"] != second_attempt.form["lines"], "the keys are the same"
    seen = list(crawl(student, first_attempt, turn))
    assert len(seen) == 6 * 9 + 1
    for mine, theirs in zip(seen, crawl(student, second_attempt, turn), strict=True):
        assert mine == theirs


def test_a_crawl_would_find_a_leak(cast: Cast, student: Client) -> None:
    """The comparison is not blind: another answer, or another option, is a difference."""
    bank = next(banks_of(cast.teacher))
    attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT, seed=SEED)
    assert list(crawl(student, attempt, 0)) != list(crawl(student, attempt, 1))


AFTER = ("attempt-result", "relearn-card", "relearn-recall", "relearn-check")


def after_a_miss(client: Client, attempt: Attempt) -> Iterator[tuple[object, ...]]:
    client.force_login(attempt.student)
    for name in AFTER:
        numbers = [] if name == "attempt-result" else [1]
        yield masked(client.get(reverse(name, args=[attempt.pk, *numbers])))
    card = reverse("relearn-card", args=[attempt.pk, 1])
    yield masked(client.post(card, {"opened": note_on(client.get(card), "opened")}))
    yield masked(client.post(reverse("relearn-recall", args=[attempt.pk, 1]), {"said": "no such word"}))
    yield masked(client.get(reverse("attempt-question", args=[attempt.pk, 1])))
    read_cards(attempt, timezone.now())
    check = reverse("relearn-check", args=[attempt.pk, 1])
    yield masked(client.get(check))
    yield masked(client.post(check))


def missed_with(student: Person, bank: Bank, wrong: list[int], at: datetime = AT) -> Attempt:
    """An attempt whose questions of these numbers (from 1) are wrong."""
    attempt = start_attempt(student=student, bank=bank.pk, at=at, seed=SEED)
    answer_all(attempt, at)
    for number in wrong:
        line = lines_of(attempt.form)[number - 1]
        answer = next(option.id for option in line.options if option.place)
        acts.save_answer(
            student=student, attempt=attempt.pk, number=number, sent={"answer": [answer]}, revision=1, at=at
        )
    return acts.hand_in(student=student, attempt=attempt.pk, at=at)


# Where a page names the person who is signed in.
NAMED = r'data-who="\d+"|<dialog class="unused-page".*?</dialog>'


def test_after_a_miss_nothing_tells_which_question_was_wrong(cast: Cast, client: Client) -> None:
    """One rule, three questions: whichever was missed, and however many, what follows is the same."""
    text = a_bank(
        rules=(a_rule(),), questions=tuple(a_one(f"guard-low-{n}", asks=f"Case {n}?") for n in range(6)), ask=3
    )
    bank = published(cast.teacher, text)
    cast.classmate.name = cast.student.name = "Inga Vale"
    cast.student.save(update_fields=["name"])
    cast.classmate.save(update_fields=["name"])
    # Two hours apart: within one hour their forms would differ.
    tries = ((cast.student, [1], AT), (cast.classmate, [2, 3], AT + timedelta(hours=2)))
    seen = [
        re.sub(NAMED, "", str(list(after_a_miss(client, missed_with(student, bank, wrong, at)))))
        for student, wrong, at in tries
    ]
    assert "1 rule to learn again" in seen[0]
    assert seen[0] == seen[1]


def test_a_miss_says_the_same_whichever_option_was_right(cast: Cast, student: Client) -> None:
    """Both attempts are wrong in every question, with the same texts picked.

    A rule's stored value is on its card as on the page of rules, whatever was asked and answered.
    """
    pages = []
    for bank in banks_of(cast.teacher):
        attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT, seed=SEED)
        list(crawl(student, attempt, 3))
        done = acts.hand_in(student=cast.student, attempt=attempt.pk, at=AT)
        shown = str(list(after_a_miss(student, done)))
        assert shown.count("<b>1/") == 1, "the value on the card"
        pages.append(re.sub(r"<b>1/[48] in</b>", "<b>VALUE</b>", shown))
        assert not done.perfect
    assert pages[0] == pages[1]


def test_pictures_are_named_by_their_bytes_alone(cast: Cast, student: Client) -> None:
    for bank in banks_of(cast.teacher):
        attempt = start_attempt(student=cast.student, bank=bank.pk, at=AT, seed=SEED)
        number = next(n for n, line in enumerate(lines_of(attempt.form), 1) if line.kind == "spot")
        page = student.get(reverse("attempt-question", args=[attempt.pk, number])).content.decode()
        assert re.findall(r'(?:href|src)="([^"]*(?:svg|png|jpg|webp))"', page.split("<main")[1]) == [
            f"/banks/pictures/{DRAWING.digest}.svg"
        ]
        assert "saw.svg" not in page
