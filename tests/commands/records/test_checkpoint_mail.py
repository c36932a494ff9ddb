"""`manage.py logbook checkpoint --mail`, over a real connection to a mail server."""

from typing import Any

import pytest
from django.core.management import CommandError, call_command

from shopsafe.logbook.models import CheckpointCopy
from tests.cast import Cast
from tests.factories.logbook import note
from tests.serving.mail_server import MailServer, mail_server

pytestmark = pytest.mark.django_db


def sends_to(settings: Any, server: MailServer) -> None:
    settings.CHECKPOINT_MAIL = ["head@school.example", "office@school.example"]
    settings.DEFAULT_FROM_EMAIL = "shop@school.example"
    options = {"host": "127.0.0.1", "port": server.port, "timeout": 10}
    settings.MAILERS = {"default": {"BACKEND": "django.core.mail.backends.smtp.EmailBackend", "OPTIONS": options}}


def test_both_people_are_sent_the_root_and_its_short_code(cast: Cast, settings: Any) -> None:
    note(cast.student)
    with mail_server() as server:
        sends_to(settings, server)
        call_command("logbook", "checkpoint", "--mail")
    assert [address for address, _ in server.mails] == ["head@school.example", "office@school.example"]
    mail = server.mails[0][1]
    assert "From: shop@school.example" in mail
    assert "Entries:  1 to 1" in mail
    assert f"--against 1:{bytes(CheckpointCopy.objects.get().checkpoint.root).hex()}" in mail.replace("=\n", "")


def test_address_that_the_server_refuses_is_named_and_the_others_still_get_theirs(cast: Cast, settings: Any) -> None:
    note(cast.student)
    with mail_server("head@school.example") as server:
        sends_to(settings, server)
        with pytest.raises(CommandError, match=r"Not sent to head@school\.example.*550"):
            call_command("logbook", "checkpoint", "--mail")
    assert [address for address, _ in server.mails] == ["office@school.example"]
    assert "550" in CheckpointCopy.objects.get().problem


def test_server_that_is_not_there_is_named(cast: Cast, settings: Any) -> None:
    note(cast.student)
    with mail_server() as server:
        sends_to(settings, server)
    with pytest.raises(CommandError, match=r"Not sent to office@school\.example"):
        call_command("logbook", "checkpoint", "--mail")
    assert server.mails == []
