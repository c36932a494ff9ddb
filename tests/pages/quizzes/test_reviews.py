"""The acceptance page takes who reviewed an edition, and gives the print to review."""

import pytest
from django.test import Client
from django.utils import timezone

from quizzes.models import Bank, Review
from tests.cast import Cast
from tests.factories.banks import kinds_text, published


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text(), accept=False)


def test_acceptance_page_takes_names_and_days_of_reviewers(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    accept = f"/banks/{bank.pk}/accept/"
    assert "No review of this edition yet." in client.get(accept).content.decode()
    day = timezone.localdate().isoformat()
    fields = {"edition": 1, "name": "Ro Marsh", "role": "Safety officer", "reviewed_on": day}
    page = client.post(f"/banks/{bank.pk}/review/", fields, follow=True).content.decode()
    assert "The review by Ro Marsh is recorded." in page
    assert "<b>Ro Marsh</b>, Safety officer" in page
    review = Review.objects.get()
    withdraw = f"/banks/reviews/{review.pk}/withdraw/"
    assert client.post(withdraw, {"reason": " "}).status_code == 422
    page = client.post(withdraw, {"reason": "Wrong bank"}, follow=True).content.decode()
    assert "Wrong bank" in page
    assert "It was withdrawn by" in client.get(withdraw).content.decode()


def test_error_is_shown_at_its_field(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    fields = {"edition": 1, "name": "", "role": "Safety officer", "reviewed_on": "someday"}
    answer = client.post(f"/banks/{bank.pk}/review/", fields)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Enter the name on the print." in page
    assert "Write the day as 2026-09-08." in page
    assert 'value="Safety officer"' in page
    late = fields | {"name": "Ro Marsh", "reviewed_on": "2100-01-01"}
    answer = client.post(f"/banks/{bank.pk}/review/", late)
    assert (answer.status_code, Review.objects.count()) == (422, 0)


def test_print_is_a_pdf_named_by_bank_and_edition(client: Client, cast: Cast, bank: Bank) -> None:
    client.force_login(cast.teacher)
    answer = client.get(f"/banks/{bank.pk}/reviewers-print/")
    assert answer["Content-Type"] == "application/pdf"
    assert f"Review-{bank.code}-edition-1.pdf" in answer["Content-Disposition"]
    assert answer.content.startswith(b"%PDF")
