"""/logbook/: whether it holds, checked in the background, and up to where checkpoints protect it."""

import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from machines.records.views import checkpoints as checkpoint_views
from machines.records.views import logbook as views
from shopsafe.logbook import asked_check
from shopsafe.logbook.acts.note_copy import note_copy
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.acts.verification_runs import ask_for_verification, claim_verification, report_reading
from shopsafe.logbook.asked_check import read_if_asked
from shopsafe.logbook.models import CheckpointCopy, Verification, VerificationRun
from shopsafe.logbook.rules.checkpoint_codes import short_code
from tests.cast import Cast
from tests.factories.logbook import note
from tests.logbook.logbook_bypass import lifted
from tests.logbook.record import run

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.office)
    return client


@pytest.fixture(autouse=True)
def started(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """The processes that the pages would have started."""
    commands: list[tuple[str, ...]] = []
    for module in (views, checkpoint_views):
        monkeypatch.setattr(module, "start_worker", lambda *arguments: commands.append(arguments))
    return commands


def page(client: Client, **query: Any) -> str:
    return client.get(reverse("logbook"), query).content.decode()


def check(client: Client, **fields: str) -> None:
    client.post(reverse("logbook-verify"), fields)
    call_command("logbook", "verify", "--asked")


class TestCheck:
    def test_nothing_is_claimed_before_the_first_check(self, client: Client) -> None:
        assert "Not checked yet" in page(client)
        assert "It last held" not in page(client)

    def test_request_verifies_nothing_and_starts_one_process(
        self, client: Client, cast: Cast, started: list[tuple[str, ...]]
    ) -> None:
        note(cast.student)
        for _ in range(2):
            assert client.post(reverse("logbook-verify")).status_code == 302
        assert started == [("logbook", "verify", "--asked")]
        assert not Verification.objects.exists()
        assert "The check begins in a moment" in page(client)

    def test_check_says_that_the_logbook_holds_and_when(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        check(client)
        text = page(client)
        assert "The logbook holds" in text
        assert re.search(r"It last held on [^,]+, \d{4}, [0-9:]+ [AP]M, when 1\s+entry was checked", text)
        assert 'hx-trigger="every 2s"' not in text

    def test_check_names_what_is_wrong_and_when_it_last_held(self, client: Client, cast: Cast) -> None:
        entry = note(cast.student)
        check(client)
        with lifted(connection):
            run(["UPDATE logbook_body SET payload = %s WHERE seq = %s"], [b"{}", entry.seq])
        check(client)
        text = page(client)
        assert "Something is wrong" in text
        assert f"The body of entry {entry.seq} was changed" in text
        assert "It last held on" in text
        assert Verification.objects.count() == 2

    def test_page_shows_how_far_the_check_is(self, client: Client) -> None:
        claim = uuid4()
        ask_for_verification()
        claim_verification(claim=claim, to_read=200)
        report_reading(claim=claim, read=50)
        text = page(client, part="state")
        assert "25 % read" in text
        assert 'value="50"' in text
        assert 'hx-trigger="every 2s"' in text
        assert "<h1>" not in text

    def test_check_that_was_ended_from_outside_can_be_started_again(
        self, client: Client, started: list[tuple[str, ...]]
    ) -> None:
        ask_for_verification(at=timezone.now() - timedelta(minutes=5))
        assert "stopped before its end" in page(client)
        client.post(reverse("logbook-verify"))
        assert len(started) == 1
        assert VerificationRun.objects.count() == 1

    def test_check_that_fails_says_so(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        def broken(*given: Any) -> None:
            raise OSError("disk")

        monkeypatch.setattr(asked_check, "verify", broken)
        client.post(reverse("logbook-verify"))
        with pytest.raises(OSError, match="disk"):
            read_if_asked()
        assert "The check stopped before its end." in page(client)
        assert not Verification.objects.exists()

    def test_process_that_no_one_asked_for_ends_at_once(self) -> None:
        assert read_if_asked() is None
        assert not VerificationRun.objects.exists()


class TestCode:
    @pytest.fixture
    def code(self, cast: Cast) -> str:
        note(cast.student)
        taken = take_checkpoint()
        note(cast.classmate)
        return short_code(taken.size, bytes(taken.root).hex())

    def test_code_from_a_chart_is_compared(self, client: Client, code: str) -> None:
        check(client, code=code)
        assert f"The code {code} matches: entries 1 to 1" in page(client)

    def test_mistyped_code_is_not_reported_as_a_fault_of_the_logbook(self, client: Client, code: str) -> None:
        typed = code[:-1] + ("0" if code[-1] != "0" else "1")
        check(client, code=typed)
        text = page(client)
        assert f"The code {typed} does not match" in text
        assert "The logbook holds" in text
        check(client, code=f"99{code}")
        assert f"The code 99{code} does not match" in page(client)

    def test_rewritten_logbook_does_not_give_the_code(self, client: Client, cast: Cast, code: str) -> None:
        """Someone writes all again, checkpoints included: only the code on paper shows it."""
        with lifted(connection):
            tables = ("subject", "listing", "body", "checkpoint", "entry")
            run([f"DELETE FROM logbook_{table}" for table in tables])  # noqa: S608  our own tables
        note(cast.classmate), note(cast.student)
        check(client)
        assert "The logbook holds" in page(client)
        check(client, code=code)
        assert f"The code {code} does not match" in page(client)

    @pytest.mark.parametrize("text", ["soon", "12:34", "1:" + "g" * 20])
    def test_anything_else_is_refused(self, client: Client, text: str) -> None:
        response = client.post(reverse("logbook-verify"), {"code": text})
        assert response.status_code == 422
        assert "Enter the code as it is printed" in response.content.decode()
        assert not VerificationRun.objects.exists()


class TestCheckpoint:
    def test_no_entry_is_protected_without_a_copy(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        assert "No entry is protected yet." in page(client)
        client.post(reverse("logbook-checkpoint"))
        assert "No entry is protected yet." in page(client)

    def test_download_protects_the_entries_up_to_it(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        client.post(reverse("logbook-checkpoint"))
        response = client.post(reverse("logbook-checkpoint-file"))
        assert response["Content-Disposition"] == 'attachment; filename="Logbook checkpoint 1.txt"'
        assert "Entries:  1 to 1" in response.content.decode()
        assert "Entries 1 to 1 are protected." in page(client)
        assert "not protected yet" not in page(client)
        note(cast.classmate)
        assert "1 newer entry is not protected yet." in page(client)

    def test_only_the_office_takes_one(self, client: Client, cast: Cast) -> None:
        assert "Take a checkpoint</button>" in page(client)
        client.force_login(cast.teacher)
        assert "Take a checkpoint</button>" not in page(client)

    def test_download_without_a_checkpoint_leads_back_with_a_reason(self, client: Client) -> None:
        answer = client.post(reverse("logbook-checkpoint-file"))
        assert answer.headers["Location"] == reverse("logbook")
        assert "No checkpoint yet." in client.get(reverse("logbook")).content.decode()

    def test_copy_of_fewer_entries_does_not_take_protection_away(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        first = take_checkpoint()
        note(cast.student)
        note_copy(checkpoint=take_checkpoint(), way=CheckpointCopy.Way.CHART)
        note_copy(checkpoint=first, way=CheckpointCopy.Way.DOWNLOAD)
        assert "Entries 1 to 2 are protected." in page(client)
        assert "on a wall chart" in page(client)


class TestMail:
    @pytest.fixture(autouse=True)
    def addresses(self, settings: Any) -> None:
        settings.CHECKPOINT_MAIL = ["one@school.example", "two@school.example"]
        settings.DEFAULT_FROM_EMAIL = "shop@school.example"

    def test_office_has_it_mailed_by_a_process(
        self, client: Client, cast: Cast, started: list[tuple[str, ...]]
    ) -> None:
        note(cast.student)
        client.post(reverse("logbook-checkpoint"))
        assert started == [("logbook", "checkpoint", "--mail")]

    def test_each_address_gets_one_and_it_protects(self, client: Client, cast: Cast) -> None:
        note(cast.student)
        call_command("logbook", "checkpoint", "--mail")
        assert [message.to for message in mail.outbox] == [["one@school.example"], ["two@school.example"]]
        assert "Entries:  1 to 1" in mail.outbox[0].body
        assert "Entries 1 to 1 are protected." in page(client)

    def test_mail_that_fails_is_shown_and_does_not_protect(
        self, client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refused(*given: Any, **more: Any) -> None:
            raise ConnectionRefusedError("no server")

        monkeypatch.setattr("django.core.mail.EmailMessage.send", refused)
        note(cast.student)
        with pytest.raises(CommandError, match=r"Not sent to two@school\.example: no server"):
            call_command("logbook", "checkpoint", "--mail")
        assert "Not sent to two@school.example: no server" in page(client)
        assert "No entry is protected yet." in page(client)
