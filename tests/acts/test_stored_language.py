"""What is stored is in English, whatever language the page is in: records mean the same to each reader, for years."""

import re
from collections.abc import Iterator
from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils.translation import override

from machines.holds.acts import lift_hold, place_hold
from machines.models import Hold
from machines.prints.sheets.handouts import pocket_card
from machines.prints.sheets.wall import shop_snapshot
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.sign_offs.acts import sign_off
from machines.tag_outs.acts import tag_out
from tests.acts.reading import entries, last_entry
from tests.factories.machines import NOON, POINTS, Floor
from tests.factories.reports.incidents import begun

PSEUDO = re.compile("[ðĥķļñþŕšţ]")  # letters of en-XA that no name of the cast has


@pytest.fixture(autouse=True)
def other_language() -> Iterator[None]:
    with override("en-xa"):
        yield


def test_sign_off_rests_on_sentences_in_english(floor: Floor) -> None:
    floor.make_ready(floor.cast.student)
    sign_off(
        student=floor.cast.student, machine=floor.saw_2, by=floor.cast.teacher, ticked=POINTS, tap=uuid4(), at=NOON
    )  # fmt: skip
    _kind, payload = last_entry()
    assert payload["rests_on"][-1]["sentence"] == "Band saw quiz: every answer right."


def test_hold_says_why_in_english(floor: Floor) -> None:
    place_hold(
        student=floor.cast.student, machines=None, reason=Hold.Reason.HORSEPLAY, words="Threw a block.",
        lifts=Hold.Lifts.TALK, by=floor.cast.teacher, tap=uuid4(), at=NOON,
    )  # fmt: skip
    _kind, payload = last_entry()
    assert (payload["why"], payload["lifts"]) == ("Horseplay: Threw a block.", "A talk with the teacher.")


def test_lifted_hold_says_what_was_not_done_in_english(floor: Floor) -> None:
    hold = place_hold(
        student=floor.cast.student, machines=None, reason=Hold.Reason.HORSEPLAY, words="Threw a block.",
        lifts=Hold.Lifts.QUIZ, bank=floor.saw_bank, by=floor.cast.teacher, tap=uuid4(), at=NOON,
    )  # fmt: skip
    lift_hold(hold=hold, words="Talked.", anyway=True, by=floor.cast.teacher, at=NOON + timedelta(minutes=1))
    _kind, payload = last_entry()
    assert payload["not_done"] == "The Band saw quiz is not passed again yet."


def test_report_and_its_tag_out_say_what_was_seen_in_english(floor: Floor) -> None:
    report_hazard(
        shop=floor.cast.shop, machine=floor.saw_2, seen=Sighting("cord", "", b""), by=floor.cast.student, tap=uuid4(),
        at=NOON,
    )  # fmt: skip
    tag_out(machine=floor.saw_2, reason="Cord.", by=floor.cast.teacher, tap=uuid4(), at=NOON + timedelta(minutes=1))
    seen = '"seen":"A cord, plug or switch is damaged"'
    assert all(seen in entry for kind in ("report.made", "report.tagged_out") for entry in entries(kind))


def test_incident_keeps_what_the_records_said_in_english(floor: Floor) -> None:
    incident = begun(floor)
    stored = [incident.versions.get().known, *incident.versions.get().accounts.values_list("known", flat=True)]
    assert "Clearance for band saw 2" in str(stored)
    assert not PSEUDO.search(str(stored))


def test_sheet_is_known_again_in_another_language(floor: Floor) -> None:
    """The digest of a sheet's words tells that it is out of date: the reader's language must not."""

    def digests() -> list[str]:
        snapshot = shop_snapshot(floor.cast.shop, NOON)
        card, chart = snapshot.card(floor.saw_2)[1], snapshot.chart(floor.cast.section)[1]
        return [card.words, chart.words, pocket_card(snapshot, floor.cast.student)[1].words]

    tag_out(machine=floor.saw_2, reason="Cord.", by=floor.cast.teacher, tap=uuid4(), at=NOON - timedelta(minutes=1))
    here = digests()
    with override("en"):
        assert digests() == here
