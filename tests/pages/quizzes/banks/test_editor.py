"""The bank editor: every kind has its form, a bad input names its field and keeps what was typed, two don't collide."""

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts.acts import add_bank
from quizzes.banks.editions.texts import frozen
from quizzes.facts import AllThatApply, Measure, OneAnswer, Order, Pair, Place, Recall, Spot
from quizzes.models import Answer, Attempt, Bank, Picture
from shopsafe.logbook.models import Listing
from shopsafe.school.refusals import Refused
from tests.acts.quizzes.banks.test_change_draft import photo
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one, a_rule
from tests.factories.banks import AT, make_bank
from tests.factories.machines import EditionFactory

BASE = {"revision": "1", "step": "save", "rule": "guard-low", "asks": "Why?"}


@pytest.fixture
def bank(cast: Cast) -> Bank:
    bank = make_bank(cast.school, a_bank())
    bank.draft_pictures = {"saw.svg": {"digest": "a" * 64, "kind": "svg", "width": 480, "height": 360}}
    bank.save(update_fields=["draft_pictures"])
    return bank


def send(client: Client, name: str, parts: list[Any], data: dict[str, Any], **more: Any) -> HttpResponse:
    return client.post(reverse(name, args=parts), data, **more)


def text_of(bank: Bank) -> Any:
    bank.refresh_from_db()
    return draft_of(bank).bank


KINDS: dict[str, tuple[dict[str, str], dict[str, Any]]] = {
    "one": ({"right": "Yes", "wrong": "No\r\n\r\n  Not  so \n"}, {"right": "Yes", "wrong": ("No", "Not so")}),
    "several": ({"right": "A\nB", "wrong": "C"}, {"right": ("A", "B"), "wrong": ("C",)}),
    "order": ({"steps": "A\nB\nC", "may_swap": "3, 2"}, {"steps": ("A", "B", "C"), "may_swap": ((2, 3),)}),
    "pair": (
        {"left-1": "Eyes", "match-1": "Glasses", "left-3": "Ears", "match-3": "Muffs", "extra": "Belt"},
        {"pairs": (("Eyes", "Glasses"), ("Ears", "Muffs")), "extra": ("Belt",)},
    ),
    "spot": (
        {
            "picture": "saw.svg",
            "picture_alt": "A saw.",
            "says-1": "Blade",
            "points-1": "10,10 40,10 40,30.5",
            "says-3": "Table",
            "points-3": "1,1; 2,1; 2,2",
            "right": "3",
        },
        {
            "picture": "saw.svg",
            "places": (
                Place(says="Blade", points=((10, 10), (40, 10), (40, 30.5))),
                Place(says="Table", points=((1, 1), (2, 1), (2, 2))),
            ),
            "right": 2,
        },
    ),
    "measure": ({"value": "guard-gap", "tolerance": "1/64"}, {"value": "guard-gap", "tolerance": "1/64"}),
}
CLASSES = {"one": OneAnswer, "several": AllThatApply, "order": Order, "pair": Pair, "spot": Spot, "measure": Measure}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_added_and_edited(cast: Cast, teacher: Client, bank: Bank, kind: str) -> None:
    sent, kept = KINDS[kind]
    response = send(teacher, "question-add", [bank.pk, "guard-low", kind], BASE | sent)
    assert response.headers["Location"] == f"{reverse('bank', args=[bank.pk])}#why"
    question = text_of(bank).question_by_code["why"]
    assert isinstance(question, CLASSES[kind])
    assert {name: getattr(question, name) for name in kept} == kept
    address = [bank.pk, "why"]
    form = teacher.get(reverse("question-edit", args=address)).context["form"]
    again = {name: form[name].value() or "" for name in form.fields if name != "upload"} | {
        "step": "save",
        "asks": "How?",
    }
    assert send(teacher, "question-edit", address, again).status_code == 302
    changed = text_of(bank).question_by_code["why"]
    assert (changed.asks, {name: getattr(changed, name) for name in kept}) == ("How?", kept)


@pytest.mark.parametrize(
    ("kind", "wrong", "field", "said"),
    [
        ("one", {"right": " "}, "right", "Right answer: this is empty. Write it."),
        ("one", {"wrong": ""}, "wrong", "Wrong answers: write at least a line."),
        ("one", {"wrong": "x" * 601}, "wrong", "line 1 is longer than 600"),
        ("one", {"asks": ""}, "asks", "Question: this is empty. Write what is asked."),
        ("one", {"rule": "nothing"}, "rule", "not one of the available choices"),
        ("several", {"wrong": "\n".join("abcdefghijklm")}, "wrong", "12 lines at most"),
        ("several", {"wrong": "\n".join("abcdefghijkl")}, "wrong", "12 answers in all at most"),
        ("order", {"may_swap": "2"}, "may_swap", "a group needs two steps"),
        ("order", {"may_swap": "a b"}, "may_swap", "write the numbers of the steps"),
        ("order", {"may_swap": "2 9"}, "may_swap", "the steps are 1 to 3"),
        ("order", {"may_swap": "1 2; 2 3"}, "may_swap", "each step once"),
        ("pair", {"match-3": ""}, "match-3", "Pair 3: write both sides"),
        ("spot", {"points-1": "10,10 40,10"}, "points-1", "Place A: write at least 3 corners, such as 10,10"),
        ("spot", {"points-1": "here"}, "points-1", "Place A: write at least 3 corners"),
        ("spot", {"points-1": "10,10 500,10 40,30"}, "points-1", "the corner 500,10 is outside the picture"),
        ("spot", {"says-3": ""}, "says-3", "Place C: say what is there."),
        ("spot", {"right": "2"}, "right", "there is no place B yet"),
        ("spot", {"right": ""}, "right", "Right place: choose its letter."),
        ("spot", {"picture": ""}, "picture", "Picture: choose one"),
        ("measure", {"tolerance": "a bit"}, "tolerance", "Give or take:"),
        ("measure", {"value": ""}, "value", "Number to know: choose one."),
    ],
)
def test_a_bad_input_names_its_field_and_keeps_what_was_typed(
    teacher: Client, bank: Bank, kind: str, wrong: dict[str, str], field: str, said: str
) -> None:
    response = send(teacher, "question-add", [bank.pk, "guard-low", kind], BASE | KINDS[kind][0] | wrong)
    assert response.status_code == 422
    form = response.context["form"]
    assert any(said in error for error in form.errors[field]), form.errors
    assert "Error:" in response.content.decode()
    assert all(form[name].value() == text for name, text in (KINDS[kind][0] | wrong).items())
    assert text_of(bank) == a_bank()


def test_a_rule_is_added_with_its_card(teacher: Client, bank: Bank) -> None:
    sent = {
        "revision": "1",
        "says": "Tie long hair back.",
        "why": "A spindle winds it in.",
        "source": "common practice",
        "must_ask": "on",
        "recall_text": "Tie long ____ back.",
        "recall_keys": "hair\nlong hair",
    }
    assert send(teacher, "rule-add", [bank.pk], sent).status_code == 302
    rule = text_of(bank).rule_by_code["tie-long-hair-back"]
    assert (rule.must_ask, rule.recall) == (True, Recall(text="Tie long ____ back.", key=("hair", "long hair")))


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"says": ""}, "says"),
        ({"recall_text": "no blank", "recall_keys": "x"}, "recall_text"),
        ({"recall_text": "A ____.", "recall_keys": ""}, "recall_keys"),
        ({"recall_text": "", "recall_keys": "x"}, "recall_text"),
    ],
)
def test_a_rule_that_can_not_be_read_is_not_kept(teacher: Client, bank: Bank, wrong: dict, field: str) -> None:
    response = send(teacher, "rule-edit", [bank.pk, "guard-low"], {"revision": "1", "says": "Do it."} | wrong)
    assert response.status_code == 422
    assert field in response.context["form"].errors


def test_a_stored_value_is_changed_and_its_questions_follow(teacher: Client, bank: Bank) -> None:
    sent = {"revision": "1", "says": "Guard above the wood", "amount": "1/4", "unit": "in", "source": "our shop"}
    assert send(teacher, "value-edit", [bank.pk, "guard-gap"], sent).status_code == 302
    assert text_of(bank).value_by_code["guard-gap"].amount == "1/4"
    assert send(teacher, "value-edit", [bank.pk, "guard-gap"], sent | {"amount": "low"}).status_code == 422


def test_the_subject_is_changed(teacher: Client, bank: Bank) -> None:
    assert send(teacher, "bank-subject", [bank.pk], {"revision": "1", "subject": "Saw", "about": ""}).status_code == 302
    assert (text_of(bank).subject, bank.subject) == ("Saw", "Saw")


def test_stale_question_save_shows_the_conflict_and_keeps_the_text(
    cast: Cast, teacher: Client, bank: Bank, as_person: Any
) -> None:
    colleague, address = as_person(cast.colleague), [bank.pk, "q-one"]
    theirs = BASE | {"right": "Low", "wrong": "High", "asks": "Where now?"}
    mine = BASE | {"right": "Down", "wrong": "Up"}
    assert send(colleague, "question-edit", address, theirs).status_code == 302
    response = send(teacher, "question-edit", address, mine)
    page = response.content.decode()
    assert response.status_code == 409
    assert f"{cast.colleague.name}, " in page
    assert "changed the question “Where now?”" in page
    assert "<dt>Right answer</dt><dd>Low</dd>" in page, "theirs is shown where it differs"
    assert 'value="Down"' in page, "mine is kept"
    assert text_of(bank).question_by_code["q-one"].right == "Low"
    assert send(teacher, "question-edit", address, mine | {"revision": response.context["form"]["revision"].value()})
    assert text_of(bank).question_by_code["q-one"].right == "Down"
    history = teacher.get(reverse("bank", args=[bank.pk])).content.decode().partition("History of the draft")[2]
    assert history.index(cast.teacher.name) < history.index(cast.colleague.name), "the latest first"


def test_sending_a_new_rule_twice_adds_it_once(teacher: Client, bank: Bank) -> None:
    sent = {"revision": "1", "says": "Sweep up."}
    assert [send(teacher, "rule-add", [bank.pk], sent).status_code for _ in range(2)] == [302, 409]
    assert [rule.code for rule in text_of(bank).rules] == ["guard-low", "sweep-up"]


def test_many_words_that_fill_a_blank_are_all_seen(teacher: Client, cast: Cast) -> None:
    recall = Recall(text="Set the ____ low.", key=("guard", "blade guard", "upper guard", "top guard", "shield"))
    bank = make_bank(cast.school, a_bank(rules=(a_rule(recall=recall),)))
    page = teacher.get(reverse("rule-edit", args=[bank.pk, "guard-low"])).content.decode()
    assert re.search(r'<textarea name="recall_keys"[^>]* rows="5"', page)


def test_saved_rule_shows_its_message_next_to_the_rule(teacher: Client, bank: Bank) -> None:
    page = send(teacher, "rule-add", [bank.pk], {"revision": "1", "says": "Sweep up."}, follow=True)
    assert page.redirect_chain[-1][0].endswith("#sweep-up")
    beside = page.content.decode().partition('id="sweep-up"')[2].partition("<h3>")[0]
    assert '<p class="said">Saved in the draft: added the rule “Sweep up.”</p>' in beside


def test_saved_question_opens_with_its_message(teacher: Client, bank: Bank) -> None:
    sent = BASE | {"right": "Yes", "wrong": "No"}
    page = send(teacher, "question-edit", [bank.pk, "q-one"], sent, follow=True).content.decode()
    beside = page.partition('id="q-one"')[2].partition("<h4>")[0]
    assert "Saved in the draft: changed the question “Why?”" in beside
    assert "<details open>" in page


def test_a_draft_with_changes_that_no_one_gets_says_so(teacher: Client, bank: Bank) -> None:
    publish, places = reverse("bank-publish", args=[bank.pk]), (reverse("bank", args=[bank.pk]), reverse("banks"))
    strong, quiet = f'<a class="button" href="{publish}">', f'<a class="button second" href="{publish}">'
    bank_page, list_page = (teacher.get(place).content.decode() for place in places)
    assert strong in bank_page, "nothing is out"
    assert "that no student gets" not in bank_page
    EditionFactory(bank=bank, content=frozen(text_of(bank), {})[0], digest="e" * 64, published_at=AT)
    bank_page, list_page = (teacher.get(place).content.decode() for place in places)
    assert quiet in bank_page
    assert "no student gets" not in bank_page
    assert publish not in list_page
    send(teacher, "rule-add", [bank.pk], {"revision": "1", "says": "Sweep up."})
    bank_page, list_page = (teacher.get(place).content.decode() for place in places)
    assert "The draft has 1 change that no student gets until it is published." in bank_page
    assert strong in bank_page
    assert "<b>Changes not published yet.</b>" in list_page
    assert f'href="{publish}"' in list_page


def test_rules_and_questions_are_moved_and_retired_with_buttons(teacher: Client, bank: Bank) -> None:
    assert send(teacher, "bank-arrange", [bank.pk], {"revision": "1", "do": "down:question:q-one"}).status_code == 302
    assert [question.code for question in text_of(bank).questions][:2] == ["q-several", "q-one"]
    stale = send(teacher, "bank-arrange", [bank.pk], {"revision": "1", "do": "up:question:q-one"}, follow=True)
    assert "Not done. Someone changed the draft since you opened it." in stale.content.decode()
    assert [question.code for question in text_of(bank).questions][:2] == ["q-several", "q-one"]
    assert send(teacher, "bank-arrange", [bank.pk], {"revision": "2", "do": "retire:question:q-one"}).status_code == 302
    assert text_of(bank).question_by_code["q-one"].retired
    page = teacher.get(reverse("bank", args=[bank.pk])).content.decode()
    assert "restore:question:q-one" in page
    for wrong in ("", "burn:rule:guard-low", "up:rule:nothing", "up:value:guard-gap", "up"):
        assert send(teacher, "bank-arrange", [bank.pk], {"revision": "3", "do": wrong}).status_code == 422


def test_uploaded_picture_stays_when_another_field_is_invalid(teacher: Client, bank: Bank) -> None:
    upload = SimpleUploadedFile("IMG_0001.jpg", photo(), "image/jpeg")
    response = send(teacher, "rule-edit", [bank.pk, "guard-low"], {"revision": "1", "says": "", "upload": upload})
    assert response.status_code == 422
    name = f"p-{Picture.objects.get().digest[:12]}.webp"
    assert response.context["form"]["picture"].value() == name
    again = {"revision": "1", "says": "Do it.", "picture": name, "picture_alt": "A hand."}
    assert send(teacher, "rule-edit", [bank.pk, "guard-low"], again).status_code == 302
    assert text_of(bank).rule_by_code["guard-low"].picture == name


def test_a_hostile_picture_gets_a_sentence(teacher: Client, bank: Bank) -> None:
    upload = SimpleUploadedFile("saw.png", b"<?php", "image/png")
    response = send(teacher, "rule-edit", [bank.pk, "guard-low"], {"revision": "1", "says": "Do it.", "upload": upload})
    assert response.status_code == 422
    assert "This picture cannot be read." in response.content.decode()
    assert text_of(bank) == a_bank()


def test_a_question_is_looked_at_before_it_is_saved(teacher: Client, bank: Bank) -> None:
    sent = BASE | {"step": "look", "right": "Just so", "wrong": "Not so"}
    response = send(teacher, "question-add", [bank.pk, "guard-low", "one"], sent)
    assert response.status_code == 200
    assert "As a student sees it" in response.content.decode()
    assert text_of(bank) == a_bank()


def test_a_question_is_tried_and_nothing_is_recorded(teacher: Client, bank: Bank) -> None:
    address = reverse("question-preview", args=[bank.pk, "q-one"])
    asked = teacher.get(address).context["asked"]
    ids = {option.text: option.id for option in asked.options}
    assert "That is the key." in teacher.post(address, {"answer": ids["Just above the wood"]}).content.decode()
    assert "That is not the key." in teacher.post(address, {"answer": ids["In the drawer"]}).content.decode()
    assert teacher.post(address, {}).status_code == 422
    assert not Attempt.objects.exists()
    assert not Answer.objects.exists()


@pytest.mark.parametrize("name", ["rule-edit", "question-edit", "question-preview", "value-edit"])
def test_unknown_item_of_a_draft_returns_404(teacher: Client, bank: Bank, name: str) -> None:
    assert teacher.get(reverse(name, args=[bank.pk, "nothing"])).status_code == 404


def test_a_kind_that_there_is_not_is_not_found(teacher: Client, bank: Bank) -> None:
    assert teacher.get(reverse("question-add", args=[bank.pk, "guard-low", "essay"])).status_code == 404


# ---- a new bank, and its check --------------------------------------------------------------------------------------


def test_a_bank_is_begun_from_nothing_once(cast: Cast, teacher: Client) -> None:
    sent = {"subject": "Bench vice", "about": "How to clamp."}
    response = teacher.post(reverse("bank-add"), sent, follow=True)
    assert "Write its first rule." in response.content.decode()
    assert (text_of(Bank.objects.get()).code, Listing.objects.get().kind) == ("bench-vice", "bank.added")
    again = teacher.post(reverse("bank-add"), sent | {"subject": "bench VICE"})
    assert again.status_code == 409
    assert "There is a bank of that name already." in again.content.decode()
    assert teacher.post(reverse("bank-add"), {"subject": ""}).status_code == 422
    assert Bank.objects.count() == 1


def test_only_teachers_begin_a_bank(cast: Cast) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        with pytest.raises(Refused, match="not yours"):
            add_bank(by=person, subject="Saw", about="", at=AT)


def test_each_finding_links_to_the_form_that_fixes_it(cast: Cast, teacher: Client) -> None:
    text = a_bank(rules=(a_rule(source=""),), questions=(a_one(wrong=("All of the above", "Up")),), ask=1)
    bank = make_bank(cast.school, text)
    page = teacher.get(reverse("bank-check", args=[bank.pk])).content.decode()
    assert "2 of 3 must be fixed" in page
    for name, code in (("question-edit", "guard-low-1"), ("rule-edit", "guard-low")):
        assert f'href="{reverse(name, args=[bank.pk, code])}"' in page
    assert "2 must be fixed before you publish." in teacher.get(reverse("bank", args=[bank.pk])).content.decode()


@pytest.mark.parametrize("numbers", ["9", "two"])
def test_question_form_refuses_a_sentence_that_the_rule_does_not_have(
    teacher: Client, bank: Bank, numbers: str
) -> None:
    sent = {"revision": "1", "rule": "guard-low", "asks": "Where?", "right": "Low", "wrong": "High\nOff"}
    response = send(teacher, "question-add", [bank.pk, "guard-low", "one"], sent | {"decided_by": numbers})
    assert response.status_code == 422
    assert "Sentences of the rule that decide it" in response.content.decode()
