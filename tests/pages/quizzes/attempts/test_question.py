"""One question a page: saved as it is given, kept when it is wrong in form, and working without scripts."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from quizzes.attempts.acts import hand_in, void_attempt
from quizzes.models import Answer, Attempt
from quizzes.questions.form_data import lines_of
from tests.cast import Cast
from tests.counting import queries
from tests.factories.banks import AT, answer_all, key_for, wrong_for


def url_of(attempt: Attempt, number: int = 1) -> str:
    return reverse("attempt-question", args=[attempt.pk, number])


def number_of(attempt: Attempt, kind: str) -> int:
    return next(number for number, line in enumerate(lines_of(attempt.form), 1) if line.kind == kind)


def sent(attempt: Attempt, number: int, **more: str) -> dict:
    return {**key_for(lines_of(attempt.form)[number - 1]), **more}


@pytest.mark.parametrize("kind", ["one", "several", "order", "pair", "measure"])
def test_an_answer_is_saved_and_shown_again(student: Client, attempt: Attempt, kind: str) -> None:
    number = number_of(attempt, kind)
    response = student.post(url_of(attempt, number), sent(attempt, number, revision="0"))
    after = reverse("attempt-check", args=[attempt.pk]) if number == 5 else url_of(attempt, number + 1)
    assert (response.status_code, response.headers["Location"]) == (302, after)
    page = student.get(url_of(attempt, number)).content.decode()
    assert "Saved" in page
    line = lines_of(attempt.form)[number - 1]
    match kind:
        case "one" | "several":
            ticked = re.findall(r'value="(\w+)"[^>]*checked', page)
            assert sorted(ticked) == sorted(key_for(line)["answer"])
        case "order":
            assert [page.count(f'<span aria-hidden="true">{step}</span>') for step in range(1, 5)] == [1] * 4
        case "pair":
            assert page.count(" selected>") == 2
        case "measure":
            assert 'value="1/8 in"' in page


def test_the_question_is_the_heading_and_nothing_is_chosen_beforehand(student: Client, attempt: Attempt) -> None:
    page = student.get(url_of(attempt, number_of(attempt, "one"))).content.decode()
    assert re.search(r"<legend><h1>Where does the guard go\?</h1></legend>", page)
    assert page.count("<h1") == 1
    assert "checked" not in page
    assert "of 5" in page


def test_the_last_question_leads_to_the_check_and_a_change_back_to_it(student: Client, attempt: Attempt) -> None:
    check = reverse("attempt-check", args=[attempt.pk])
    assert student.post(url_of(attempt, 5), sent(attempt, 5)).headers["Location"] == check
    assert student.post(url_of(attempt, 2) + "?check", sent(attempt, 2)).headers["Location"] == check


def test_returning_student_continues_at_the_first_open_question(student: Client, attempt: Attempt) -> None:
    go_on = reverse("attempt-check", args=[attempt.pk]) + "?go=on"
    assert go_on in student.get(reverse("quiz", args=[attempt.bank_id])).content.decode()
    student.post(url_of(attempt, 1), sent(attempt, 1))
    student.post(url_of(attempt, 3), sent(attempt, 3))
    assert student.get(go_on).headers["Location"] == url_of(attempt, 2)
    for number in (2, 4, 5):
        student.post(url_of(attempt, number), sent(attempt, number))
    assert "Check your answers" in student.get(go_on).content.decode()


def test_nothing_chosen_is_asked_for_and_the_title_says_so(student: Client, attempt: Attempt) -> None:
    response = student.post(url_of(attempt, number_of(attempt, "one")), {"revision": "0"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "<title>Error: Question" in page
    assert 'href="#answer"' in page
    assert 'id="answer"' in page
    assert "Choose an answer." in page


def test_an_unreadable_number_is_kept_and_a_friendly_word_said(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "measure")
    response = student.post(url_of(attempt, number), {"answer": "about an inch", "revision": "0"})
    assert response.status_code == 422
    assert 'value="about an inch"' in response.content.decode()
    assert Answer.objects.get().response == {"text": "about an inch"}


def test_a_half_finished_order_is_kept(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "order")
    first = lines_of(attempt.form)[number - 1].options[0].id
    response = student.post(url_of(attempt, number), {f"step-{first}": "3", "revision": "0"})
    assert response.status_code == 422
    assert f'name="step-{first}" value="3"' in response.content.decode()
    assert f'href="#step-{first}"' in response.content.decode()


def test_press_without_scripts_is_saved_and_leads_back_to_the_step_pressed(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "order")
    first, second = (option.id for option in lines_of(attempt.form)[number - 1].options[:2])
    done = student.post(url_of(attempt, number) + "?check", {"press": second, "revision": "0"})
    assert (done.status_code, done.headers["Location"]) == (302, f"{url_of(attempt, number)}?check#step-{second}")
    assert Answer.objects.get().response == {"steps": {second: 1}}
    student.post(url_of(attempt, number), {f"step-{second}": "1", "press": first, "revision": "1"})
    assert Answer.objects.get().response == {"steps": {second: 1, first: 2}}
    page = student.get(url_of(attempt, number)).content.decode()
    assert ", step 2. Press to take it out." in page
    assert page.count(", press to make it step 3.") == 2
    student.post(url_of(attempt, number), {f"step-{second}": "1", "press": second, "revision": "2"})
    assert Answer.objects.get().response == {}


def test_press_on_a_page_of_before_is_a_conflict(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "order")
    first, second = (option.id for option in lines_of(attempt.form)[number - 1].options[:2])
    student.post(url_of(attempt, number), {"press": second, "revision": "0"})
    page = student.post(url_of(attempt, number), {"press": first, "revision": "0"})
    assert page.status_code == 409
    assert Answer.objects.get().response == {"steps": {second: 1}}


def said(page: str) -> str:
    status = re.search(r'id="said" role="status">([^<]*)<', page)
    assert status
    return status[1]


def test_status_line_says_when_the_saved_answer_is_not_finished(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "order")
    assert said(student.get(url_of(attempt, number)).content.decode()) == ""
    first = lines_of(attempt.form)[number - 1].options[0].id
    student.post(url_of(attempt, number), {f"step-{first}": "3", "revision": "0"})
    page = student.get(url_of(attempt, number)).content.decode()
    assert said(page) == "1 of 4 placed. Saved"
    assert re.search(r'<span>Question \d of 5</span><span class="said" id="said" role="status">', page)
    student.post(url_of(attempt, number), sent(attempt, number, revision="1"))
    assert said(student.get(url_of(attempt, number)).content.decode()) == "Saved"


def test_an_old_page_shows_what_was_saved_since(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "one")
    line = lines_of(attempt.form)[number - 1]
    student.post(url_of(attempt, number), {**key_for(line), "revision": "0"})
    student.post(url_of(attempt, number), {**wrong_for(line), "revision": "1"})
    response = student.post(url_of(attempt, number), {**key_for(line), "revision": "1"})
    page = response.content.decode()
    assert response.status_code == 409
    assert "in another tab" in page
    assert said(page) == "", "what was just sent is not saved"
    assert re.findall(r'value="(\w+)"[^>]*checked', page) == wrong_for(line)["answer"]
    assert 'name="revision" value="2"' in page


@pytest.mark.parametrize("revision", ["", "x", "-1", "1e3", "9" * 30, "٣"])
def test_a_revision_made_by_hand_breaks_nothing(student: Client, attempt: Attempt, revision: str) -> None:
    assert student.post(url_of(attempt, 1), sent(attempt, 1, revision=revision)).status_code == 302


def test_an_answer_that_is_not_on_the_form_is_refused(student: Client, attempt: Attempt) -> None:
    response = student.post(url_of(attempt, number_of(attempt, "one")), {"answer": "made-up"})
    assert response.status_code == 422
    assert not Answer.objects.exists()


@pytest.mark.parametrize("number", [0, 6])
def test_question_outside_the_form_returns_404(student: Client, attempt: Attempt, number: int) -> None:
    assert student.get(url_of(attempt, number)).status_code == 404
    assert student.post(url_of(attempt, number), {"answer": "x"}).status_code == 422


def test_a_closed_attempt_leads_to_its_result_and_takes_nothing(cast: Cast, student: Client, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    hand_in(student=cast.student, attempt=attempt.pk, at=AT)
    assert student.get(url_of(attempt)).headers["Location"] == reverse("attempt-result", args=[attempt.pk])
    response = student.post(url_of(attempt), sent(attempt, 1))
    assert response.status_code == 409
    assert "handed in" in response.content.decode()


def test_a_voided_attempt_takes_nothing(cast: Cast, student: Client, attempt: Attempt) -> None:
    void_attempt(by=cast.teacher, attempt=attempt.pk, reason="Wrong class.", at=AT)
    assert student.get(url_of(attempt)).status_code == 302
    assert student.post(url_of(attempt), sent(attempt, 1)).status_code == 409


def test_a_form_of_the_one_before_writes_nothing(cast: Cast, attempt: Attempt) -> None:
    """A shared laptop: the page of one student, posted after the next has signed in."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.student)
    page = client.get(url_of(attempt)).content.decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    assert token
    client.logout()
    client.get(reverse("sign-in"))
    client.force_login(cast.classmate)
    form = {**sent(attempt, 1), "csrfmiddlewaretoken": token[1]}
    assert client.post(url_of(attempt), form).status_code in (403, 404)
    assert not Answer.objects.exists()


def test_markup_in_an_answer_is_shown_as_text(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "measure")
    page = student.post(url_of(attempt, number), {"answer": '"><script>x</script>'}).content.decode()
    assert "<script>x" not in page


@pytest.mark.parametrize("saved", [0, 5])
def test_a_page_takes_as_few_queries_whatever_is_saved(student: Client, attempt: Attempt, saved: int) -> None:
    if saved:
        answer_all(attempt, AT)
    student.get(url_of(attempt))
    with queries() as sent:
        student.get(url_of(attempt))
    assert len(sent) == 3, sent  # person, attempt, answers; the session comes with the person


def test_saving_takes_few_queries(student: Client, attempt: Attempt) -> None:
    student.post(url_of(attempt), key_for(lines_of(attempt.form)[0]))
    with queries() as sent:
        student.post(url_of(attempt, 2), key_for(lines_of(attempt.form)[1]))
    assert len(sent) <= 8, sent


# ---- the page stays, the answer is saved: what a page with scripts sends --------------------------------------------


def save_of(attempt: Attempt, number: int = 1) -> str:
    return reverse("answer-save", args=[attempt.pk, number])


def test_a_save_tells_the_revision_and_what_is_missing(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "order")
    first = lines_of(attempt.form)[number - 1].options[0].id
    half = student.post(save_of(attempt, number), {f"step-{first}": "3", "revision": "0"})
    assert half.json() == {"revision": 1, "lacks": "Press each step until every step has a number."}
    assert student.post(save_of(attempt, number), sent(attempt, number, revision="1")).json() == {
        "revision": 2,
        "lacks": "",
    }


def test_a_save_that_comes_late_or_twice_changes_nothing(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "one")
    line = lines_of(attempt.form)[number - 1]
    old, new = {**key_for(line), "revision": "0"}, {**wrong_for(line), "revision": "1"}
    for _ in range(2):
        assert student.post(save_of(attempt, number), old).json()["revision"] == 1
    for _ in range(2):
        assert student.post(save_of(attempt, number), new).json()["revision"] == 2
    assert student.post(save_of(attempt, number), old).status_code == 409
    assert Answer.objects.get().response == {"chosen": wrong_for(line)["answer"][0]}


def test_a_save_says_the_same_of_a_right_and_a_wrong_answer(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "one")
    line = lines_of(attempt.form)[number - 1]
    right = student.post(save_of(attempt, number), key_for(line))
    Answer.objects.all().delete()
    wrong = student.post(save_of(attempt, number), wrong_for(line))
    assert right.content == wrong.content


def test_a_save_without_an_answer_keeps_what_was_there(student: Client, attempt: Attempt) -> None:
    number = number_of(attempt, "several")
    assert student.post(save_of(attempt, number), {}).json() == {"revision": 0, "lacks": "Choose at least one answer."}
    student.post(save_of(attempt, number), sent(attempt, number))
    assert student.post(save_of(attempt, number), {}).json()["revision"] == 1
    assert Answer.objects.get().response


def test_unchecking_every_box_removes_the_answer_on_every_page(student: Client, attempt: Attempt) -> None:
    answer_all(attempt, AT)
    number = number_of(attempt, "several")
    response = student.post(url_of(attempt, number), {"revision": "1"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "Choose at least one answer." in page
    assert not re.findall(r'value="(\w+)"[^>]*checked', page)
    assert 'name="revision" value="2"' in page
    check = student.get(reverse("attempt-check", args=[attempt.pk])).content.decode()
    assert check.count("Not answered yet.") == 1
    assert "4 of 5 answers saved." in check
