"""What a process stored of its work in English is shown in the language of the page."""

from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import translation
from pytest_django import Settings

from machines.jobs.running import run_job
from machines.prints.batches import acts
from machines.prints.batches.making import make_waiting
from shopsafe.language.kept import kept_words
from shopsafe.language.messages import _, sentences_kept
from shopsafe.logbook.acts.note_verification import note_verification
from shopsafe.logbook.models import Verification
from shopsafe.logbook.verification.record_faults import differing, without_entry
from shopsafe.logbook.verification.verify import NAMED, Verdict
from shopsafe.paper.press.worker import NOT_WHOLE, PrintFailed
from shopsafe.school.models import Job, Person
from tests.cast import Cast
from tests.factories.machines import NOON
from tests.factories.prints import asked_for
from tests.language.shown import texts_of, words_left

pytestmark = pytest.mark.django_db
FACT = (("§ 1", "§ 2"), 3, "§ 4", "§ 5")


def shown_to(person: Person, name: str, *args: object) -> set[str]:
    client = Client()
    client.force_login(person)
    with translation.override("en-xa"):
        return texts_of(client.get(reverse(name, args=args)).content.decode())


def test_result_of_a_job_is_in_the_language_of_the_page(cast: Cast) -> None:
    run_job("checkpoint", anyway=True)
    kept = Job.objects.get(code="checkpoint").result
    with translation.override("en-xa"):
        here = kept_words(kept)
    assert kept_words(kept).endswith((" entry.", " entries."))
    assert not words_left(here)
    assert here in shown_to(cast.office, "office")


def test_faults_of_records_are_in_the_language_of_the_page(cast: Cast) -> None:
    with sentences_kept():
        changed = differing(FACT, (*FACT[:3], None), 6, ["§", "§"])
        faults = (changed, *[without_entry(FACT)] * NAMED)
        verdict = Verdict(9, 0, 0, b"", b"", None, ("§",), faults)
    note_verification(verdict=verdict)
    fault = Verification.objects.get().fault
    assert kept_words(fault).startswith(
        "The § 1 3 was changed: it does not say what entry 6 says (§ 2). "
        "Differences: § is § 5 in the record and empty in the entry. The § 1 3 says that it was § 2,"
    )
    assert kept_words(fault).endswith("And 1 more. The database no longer refuses every change: §.")
    with translation.override("en-xa"):
        here = kept_words(fault)
    assert not words_left(here)
    assert any(here in text for text in shown_to(cast.office, "logbook"))


def test_sheet_in_hand_and_failure_of_a_batch_are_in_the_language_of_the_page(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, settings: Settings, tmp_path: Path
) -> None:
    settings.PRINTS = tmp_path
    with time_machine.travel(NOON, tick=False):
        row, shown, real = asked_for(cast), list[set[str]](), acts.report_progress

        def noted(**more: Any) -> bool:
            real(**more)
            shown.append(shown_to(cast.teacher, "print-set", row.key))
            raise PrintFailed

        monkeypatch.setattr(acts, "report_progress", noted)
        make_waiting()
        shown.append(shown_to(cast.teacher, "print-set", row.key))
    with translation.override("en-xa"):
        sheet, why = _("Wall chart, {section}", section=cast.section.name), _(NOT_WHOLE)
    assert sheet in shown[0]
    assert [text for text in shown[1] if text.startswith(why)]
