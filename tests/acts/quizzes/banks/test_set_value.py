"""A shop's own number goes out as an edition; keys and pages follow, and an attempt under way keeps its own."""

from typing import Any

import pytest
from django.http import Http404
from django.test import Client
from django.utils import timezone

from machines.prints.sheets.wall import rules_of
from quizzes.attempts.acts import hand_in, save_answer, start_attempt
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.acts import set_value
from quizzes.banks.editions.texts import text_of
from quizzes.banks.rules.own_numbers import OwnNumber
from quizzes.models import Attempt, Bank, Edition
from quizzes.questions.form_data import lines_of
from quizzes.relearning.queries import passes
from shopsafe.logbook.models import Body, Listing
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY, MINUTE, answer_all, kinds_text, published, take
from tests.pages.white_space import show_pages_as_a_browser

OWN: dict[str, Any] = {"edition": 1, "value": "guard-gap", "amount": "1/4", "source": "manual, page 3", "note": ""}


@pytest.fixture(autouse=True)
def pages_as_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    show_pages_as_a_browser(Client, monkeypatch)


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text())


def set_own(bank: Bank, by: Any, **more: Any) -> Edition:
    arguments = {"by": by, "bank": bank.pk, "earlier": "count", "at": AT, "unit": "in", **OWN, **more}
    own = OwnNumber(
        amounts=(arguments.pop("amount"),),
        unit=arguments.pop("unit"),
        source=arguments.pop("source"),
        note=arguments.pop("note"),
    )
    return set_value(own=own, **arguments)


def code_of(bank: Bank, by: Any, **more: Any) -> str:
    with pytest.raises(Refused) as caught:
        set_own(bank, by, **more)
    return caught.value.code


def graded(attempt: Attempt, measure: str) -> bool:
    """Whether the attempt is perfect with this answer to its measure question."""
    answer_all(attempt, AT + MINUTE)
    number = next(n for n, line in enumerate(lines_of(attempt.form), 1) if line.kind == "measure")
    fields = {"student": attempt.student, "attempt": attempt.pk, "number": number, "revision": None}
    save_answer(sent={"answer": [measure]}, at=AT + 2 * MINUTE, **fields)
    return hand_in(student=attempt.student, attempt=attempt.pk, at=AT + 3 * MINUTE).perfect


def test_it_is_the_next_edition_accepted_and_in_the_draft(cast: Cast, bank: Bank) -> None:
    edition = set_own(bank, cast.teacher)
    own = text_of(edition).bank.value_by_code["guard-gap"]
    assert (edition.number, own.amount, own.source) == (2, "1/4", "manual, page 3")
    bank.refresh_from_db()
    assert (draft_of(bank).bank, bank.draft_revision) == (text_of(edition).bank, 2)
    assert edition.acceptances.get().by == cast.teacher
    payload = bytes(Body.objects.get(entry=Listing.objects.get(kind="value.set").entry).payload).decode()
    assert '"before":"1/8 in"' in payload
    assert '"after":"1/4 in"' in payload


def test_open_attempt_keeps_its_number_and_the_next_uses_the_new_one(cast: Cast, bank: Bank) -> None:
    begun = start_attempt(student=cast.student, bank=bank.pk, at=AT - DAY / 2)
    set_own(bank, cast.teacher)
    assert graded(begun, "1/8 in")
    after = start_attempt(student=cast.classmate, bank=bank.pk, at=AT)
    assert not graded(after, "1/8 in")
    assert [attempt.perfect for attempt in Attempt.objects.order_by("started_at")] == [True, False]


def test_number_is_asked_for_in_the_unit_of_the_shop(cast: Cast, bank: Bank) -> None:
    edition = set_own(bank, cast.teacher, amount="3", unit="mm")
    assert text_of(edition).bank.value_by_code["guard-gap"].reads == "3 mm"
    assert graded(start_attempt(student=cast.student, bank=bank.pk, at=AT), "3")


def test_the_new_number_is_the_key(cast: Cast, bank: Bank) -> None:
    set_own(bank, cast.teacher)
    assert graded(start_attempt(student=cast.student, bank=bank.pk, at=AT), "6.35 mm")


@pytest.mark.parametrize(("earlier", "ends"), [("count", None), ("stop", AT)])
def test_earlier_passes_count_as_the_teacher_says(cast: Cast, bank: Bank, earlier: str, ends: Any) -> None:
    take(cast.student, bank, AT - DAY / 2)
    set_own(bank, cast.teacher, earlier=earlier)
    assert [quiz_pass.counts_until for quiz_pass in passes([cast.student.pk], AT + DAY)] == [ends]


def test_a_bank_that_is_practice_only_stays_so(cast: Cast) -> None:
    unread = published(cast.teacher, kinds_text(), accept=False)
    assert not set_own(unread, cast.teacher).acceptances.exists()


def test_a_draft_that_has_gone_on_is_not_published_with_it(cast: Cast, bank: Bank) -> None:
    Bank.objects.filter(pk=bank.pk).update(draft=bank.draft.replace("A low guard", "A guard set low"))
    edition = set_own(bank, cast.teacher)
    assert text_of(edition).bank.rules[0].why.startswith("A low guard")
    bank.refresh_from_db()
    draft = draft_of(bank).bank
    assert (draft.rules[0].why[:11], draft.value_by_code["guard-gap"].amount) == ("A guard set", "1/4")


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"amount": "a bit"}, "value.amount"),
        ({"amount": "-1"}, "value.amount"),
        ({"amount": "0"}, "value.unlikely"),
        ({"amount": "3"}, "value.unlikely"),
        ({"amount": "3", "unit": "rpm"}, "value.same"),
        ({"source": " "}, "value.source"),
        ({"amount": "1/8", "source": "common practice"}, "value.same"),
        ({"earlier": "maybe"}, "publish.earlier"),
    ],
)
def test_invalid_own_number_is_refused(cast: Cast, bank: Bank, more: dict[str, str], code: str) -> None:
    assert code_of(bank, cast.teacher, **more) == code
    assert bank.editions.count() == 1


def test_two_small_steps_are_no_way_round(cast: Cast, bank: Bank) -> None:
    set_own(bank, cast.teacher, amount="1")
    assert code_of(bank, cast.teacher, edition=2, amount="3") == "value.unlikely"


def test_second_teacher_is_refused_when_number_was_already_set(cast: Cast, bank: Bank) -> None:
    set_own(bank, cast.teacher)
    assert code_of(bank, cast.colleague, amount="3/8") == "value.newer"


def test_refuses_everyone_but_teachers_of_the_school(cast: Cast, bank: Bank) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(bank, person) == "access.not-yours"
    for person, changes in ((cast.stranger_teacher, {}), (cast.teacher, {"value": "no-such"})):
        with pytest.raises(Http404):
            set_own(bank, person, **changes)
    assert bank.editions.count() == 1


def test_the_page_sets_it_and_study_pages_follow(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    path = f"/banks/{bank.pk}/own/guard-gap/"
    assert '<option value="in" selected>inches</option>' in client.get(path).content.decode()
    sent = OWN | {"earlier": "count"}
    refused = client.post(path, sent)
    assert (refused.status_code, "Check the box to confirm that you checked" in refused.content.decode()) == (422, True)
    page = client.post(path, sent | {"checked": "on"}, follow=True).content.decode()
    assert "1/4 in" in page
    assert "manual, page 3" in page
    missed = take(cast.student, bank, timezone.now(), wrong=["guard-low"])
    client.force_login(cast.student)
    card = client.get(f"/attempts/{missed.pk}/cards/1/").content.decode()
    assert "1/4 in" in card
    assert "1/8" not in card


def test_from_reading_the_rules_one_comes_back_to_them(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    accept = f"/banks/{bank.pk}/accept/?next=/first-run/rules/"
    page = client.get(accept).content.decode()
    own = (
        f"/banks/{bank.pk}/own/guard-gap/?next=%2Fbanks%2F{bank.pk}%2Faccept%2F%3Fnext%3D%252Ffirst-run%252Frules%252F"
    )
    assert f'href="{own}"' in page
    assert "At first:" not in page
    wrong = client.post(own, OWN | {"earlier": "count", "checked": "on", "amount": "12"})
    assert wrong.status_code == 422
    assert 'id="id_amount_error">The bank had 1/8 in; 12 in is ten times that' in wrong.content.decode()
    done = client.post(own, OWN | {"earlier": "count", "checked": "on"})
    assert done.headers["Location"] == f"/banks/{bank.pk}/accept/?next=%2Ffirst-run%2Frules%2F"
    page = client.get(accept).content.decode()
    assert "Your shop’s own. At first: 1/8 in (common practice)." in page
    assert "The bank had at first: <b>1/8 in</b>" in client.get(own).content.decode()


def test_wall_cards_print_the_number_the_questions_ask_for(cast: Cast, bank: Bank) -> None:
    before = rules_of({bank.pk}, AT)[bank.pk]
    set_own(bank, cast.teacher, at=AT + DAY)
    after = rules_of({bank.pk}, AT + DAY)[bank.pk]
    assert (before[-1], after[-1]) == ("Guard above the wood: 1/8 in", "Guard above the wood: 1/4 in")
    assert before[:-1] == after[:-1]
