"""A bank file goes out, comes in, is looked at line by line, and is taken over."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.rules.editing import put_rule
from quizzes.models import Bank, BankUpload
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one, a_rule
from tests.factories.banks import bank_text, make_bank


def choose(client: Client, content: bytes, name: str = "bank.toml") -> str:
    response = client.post(reverse("bank-import"), {"file": SimpleUploadedFile(name, content)})
    return response.headers["Location"]


def test_the_draft_is_saved_as_a_file(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school)
    response = teacher.get(reverse("bank-file", args=[bank.pk]))
    assert response.content == write_bank(bank_text()).encode()
    assert response.headers["Content-Disposition"] == 'attachment; filename="band-saw.toml"'


def test_a_file_is_looked_at_by_lines_and_taken_over(cast: Cast, teacher: Client) -> None:
    text = write_bank(a_bank(questions=(a_one(),)))
    address = choose(teacher, text.encode())
    page = teacher.get(address).content.decode()
    line = text.splitlines().index("[[question]]") + 1
    assert f"<td>{line}</td><td>Question</td>" in page
    assert "Rules: 1. Questions: 1. Pictures: 0." in page
    assert not Bank.objects.exists()
    page = teacher.post(address, {"revision": "0"}, follow=True).content.decode()
    assert "Imported as a draft." in page
    assert teacher.get(address).headers["Location"] == reverse("bank", args=[Bank.objects.get().pk])


def test_import_preview_lists_changes_to_an_existing_rule_set(cast: Cast, teacher: Client) -> None:
    bank = make_bank(cast.school)
    address = choose(teacher, write_bank(put_rule(bank_text(), a_rule("new", says="Sweep up."))).encode())
    page = teacher.get(address).content.decode()
    assert "<b>Added</b> <span>Rule: Sweep up.</span>" in page
    assert teacher.post(address, {"revision": "7"}).status_code == 409
    assert teacher.post(address, {"revision": "1"}).status_code == 302
    bank.refresh_from_db()
    assert bank.draft_revision == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'[bank]\ncode = "x"\nsubject =\n', "<td>3</td>"),
        (b"PK\x03\x04", "This zip is broken."),
        (b"\xff\xfe", "Save it as UTF-8."),
    ],
)
def test_invalid_file_shows_the_line_and_stores_nothing(teacher: Client, content: bytes, said: str) -> None:
    address = choose(teacher, content)
    page = teacher.get(address).content.decode()
    assert said in page
    assert "Take it over" not in page
    assert teacher.post(address, {"revision": "0"}).status_code == 422
    assert not Bank.objects.exists()


def test_no_file_is_asked_for(teacher: Client) -> None:
    for sent in ({}, {"file": BytesIO(b"")}):
        response = teacher.post(reverse("bank-import"), sent)
        assert response.status_code == 422
        assert "Choose another." in response.content.decode()
    assert not BankUpload.objects.exists()
