"""A new edition that ends earlier passes on a day says so on the bench, with what to do."""

from datetime import date

import time_machine
from django.test import Client

from quizzes.banks.draft_rows import draft_text
from quizzes.banks.editions.acts import publish_edition
from tests.cast import Cast
from tests.factories.banks import bank_text
from tests.factories.machines import NOON, make_floor


def test_the_bench_says_until_when_an_earlier_pass_counts(client: Client, cast: Cast) -> None:
    floor, last = make_floor(cast), date(2026, 10, 22)
    floor.make_cleared(cast.student)
    floor.saw_bank.draft = draft_text(bank_text(subject="Band saw", about="New."))
    floor.saw_bank.save(update_fields=["draft"])
    publish_edition(
        by=cast.teacher, bank=floor.saw_bank.pk, revision=1, earlier="until", until=last, accept=True, at=NOON
    )
    with time_machine.travel(NOON, tick=False):
        client.force_login(cast.student)
        page = client.get("/bench/").content.decode()
    assert "clearance expires on October 22, 2026: a quiz has changed. Take the new one before that day." in page
    assert "Take the new quiz" in page
