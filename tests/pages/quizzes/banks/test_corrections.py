"""A corrected starter bank on Today and on its page: compared by rule, taken or declined."""

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quizzes.banks.corrections.acts import offer_corrections
from quizzes.banks.editions.starter_banks import load_shelf
from quizzes.models import Edition, StarterCorrection
from tests.acts.quizzes.banks.test_corrections import corrected, write
from tests.cast import Cast
from tests.factories.banks import DAY, bank_text


@pytest.fixture
def offer(cast: Cast, tmp_path: Path) -> StarterCorrection:
    write(tmp_path, bank_text())
    load_shelf(school=cast.school, shelf=tmp_path, at=timezone.now() - DAY)
    (offer,) = offer_corrections(
        school=cast.school, shelf=write(tmp_path, corrected(bank_text())), at=timezone.now() - DAY / 2
    )
    return offer


def address(offer: StarterCorrection, name: str = "bank-corrections") -> str:
    return reverse(name, args=[offer.pk])


def test_today_leads_each_teacher_to_the_corrections(teacher: Client, offer: StarterCorrection) -> None:
    page = teacher.get(reverse("today-needs")).content.decode()
    assert "<b>1</b> starter bank was corrected" in page
    assert "Nothing changes until a teacher decides." in page
    assert address(offer) in page


def test_page_compares_before_and_after(teacher: Client, offer: StarterCorrection) -> None:
    page = teacher.get(address(offer)).content.decode()
    assert "A low guard keeps your hand off the blade." in page
    assert "Its new reason." in page
    assert 'value="r1"' in page
    assert "Keep rule number 2." not in page


def test_publishing_makes_the_edition_and_says_what_it_corrected(teacher: Client, offer: StarterCorrection) -> None:
    sent = {"edition": 1, "rules": ["r1"], "earlier": "stop", "accept": "on"}
    page = teacher.post(address(offer), sent, follow=True).content.decode()
    assert "Edition 2 is out with the corrections. Attempts count." in page
    assert "What edition 2 corrected" in page
    assert "Stopped counting" in page
    assert "starter bank was corrected" not in teacher.get(reverse("today-needs")).content.decode()


def test_choosing_no_rule_shows_the_reason_at_the_list(teacher: Client, offer: StarterCorrection) -> None:
    response = teacher.post(address(offer), {"edition": 1, "earlier": "count"})
    assert response.status_code == 422
    assert "Choose at least one rule, or decline the correction." in response.content.decode()
    assert Edition.objects.filter(bank=offer.bank).count() == 1


def test_declining_needs_a_reason_and_keeps_the_bank(teacher: Client, offer: StarterCorrection) -> None:
    decline = address(offer, "bank-corrections-decline")
    refused = teacher.post(decline, {"reason": ""})
    assert refused.status_code == 422
    assert "Say why your shop keeps its own text." in refused.content.decode()
    page = teacher.post(decline, {"reason": "Our manual differs."}, follow=True).content.decode()
    assert "stays as it is" in page
    assert Edition.objects.filter(bank=offer.bank).count() == 1


def test_decided_correction_leads_to_the_bank(teacher: Client, offer: StarterCorrection) -> None:
    teacher.post(address(offer, "bank-corrections-decline"), {"reason": "Our manual differs."})
    assert teacher.get(address(offer)).headers["Location"] == reverse("bank", args=[offer.bank_id])


def test_correction_is_hidden_from_students(student: Client, offer: StarterCorrection) -> None:
    assert student.get(address(offer)).status_code in (403, 404)
