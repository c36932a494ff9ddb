"""The evidence file: who may have it, what is in it, and that the PDF carries what is proved."""

import json
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from machines.evidence.file import heading_of
from machines.evidence.printed import as_asked
from machines.records.views.evidence import CHECKER
from shopsafe.logbook.models import Body
from shopsafe.logbook.verify_evidence import check
from shopsafe.paper.press.render import PrintFailed
from tests.acts.reading import entries
from tests.cast import Cast
from tests.factories.logbook import note
from tests.factories.people import PersonFactory
from tests.paper import looking

pytestmark = pytest.mark.django_db

QUESTION = {
    "number": 1,
    "code": "guard-low-1",
    "kind": "one",
    "asks": "How low is the guard?",
    "shown": ["A: <Just> above the wood", "B: As high as it goes"],
    "answered": ["A: <Just> above the wood"],
    "right": True,
}


@pytest.fixture
def student(cast: Cast) -> Any:
    bank = {"bank": {"id": 1, "name": "Band saw"}, "edition": {"id": 1, "name": "3"}}
    note(cast.student, kind="attempt.passed", asked=1, correct=1, missed_rules=[], questions=[QUESTION], **bank)
    note(
        cast.student,
        kind="signoff.made",
        machine={"id": 2, "name": "Band saw 2"},
        by=cast.teacher.as_record(),
        points=["Lowers the guard to the stock", "Stands out of the line of the cut"],
    )
    note(cast.classmate)
    return cast.student


@pytest.fixture
def client(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.teacher)
    return client


def made(client: Client, student: Any, form: str) -> bytes:
    response = client.post(reverse("evidence", args=[student.pk]), {"form": form})
    assert response.status_code == 200
    assert f"{student.name}.{form}" in response.headers["Content-Disposition"]
    return response.content


class TestJson:
    def test_is_proved_and_holds_the_entry_that_says_it_was_made(self, client: Client, student: Any) -> None:
        whole = json.loads(made(client, student, "json"))
        assert check(whole) is None
        assert [entry["kind"] for entry in whole["entries"]] == ["attempt.passed", "signoff.made", "record.exported"]
        assert json.loads(whole["entries"][0]["payload"])["questions"] == [QUESTION]

    def test_record_keeps_the_name_of_the_exporting_teacher(self, client: Client, student: Any, cast: Cast) -> None:
        made(client, student, "json")
        assert json.loads(entries("record.exported")[0])["by"] == cast.teacher.as_record()


class TestPdf:
    def test_carries_the_same_json_inside(self, client: Client, student: Any) -> None:
        with pikepdf.open(BytesIO(made(client, student, "pdf"))) as pdf:
            assert list(pdf.attachments) == ["evidence.json"]
            carried = pdf.attachments["evidence.json"]
            assert check(json.loads(carried.get_file().read_bytes())) is None
            assert pdf.Root.AF[0].AFRelationship == "/Data"
            assert pdf.docinfo["/Title"] == f"Evidence file: {student.name}"
            assert pdf.Root.MarkInfo.Marked
            with pdf.open_metadata() as about:
                assert (about["pdfaid:part"], about["pdfaid:conformance"]) == ("3", "A")

    def test_shows_each_question_point_and_number(self, client: Client, student: Any) -> None:
        text = " ".join(looking.text(made(client, student, "pdf")).split())
        for words in (
            "1. How low is the guard? A: <Just> above the wood; B: As high as it goes",
            "2 of 2 points",
            "Stands out of the line of the cut",
            "entry 2",
            "1 of 1",
            f"Evidence file {student.name}",
            "It shows that the named teacher attested it",
        ):
            assert words in text

    def test_says_each_fact_once_and_its_digests_last(self, client: Client, student: Any) -> None:
        pdf = made(client, student, "pdf")
        text = looking.text(pdf)
        assert text.count("Perfect attempt") == text.count("2 of 2 points") == 1
        with pikepdf.open(BytesIO(pdf)) as opened:
            whole = json.loads(opened.attachments["evidence.json"].get_file().read_bytes())
        proof = text.index("How this file is proved")
        for entry in whole["entries"]:
            assert text.index(entry["hash"]) > proof

    def test_term_of_a_student_takes_few_pages(self, client: Client, student: Any, cast: Cast) -> None:
        """Seven quizzes of 14 questions and seven sign-offs of nine points."""
        questions = [QUESTION | {"number": number} for number in range(1, 15)]
        bank = {"bank": {"id": 1, "name": "Band saw"}, "edition": {"id": 1, "name": "3"}}
        for _ in range(7):
            note(
                cast.student, kind="attempt.passed", asked=14, correct=14, missed_rules=[], questions=questions, **bank
            )
            points = [f"Stands out of the line of the cut, point {number}" for number in range(9)]
            machine = {"id": 2, "name": "Band saw 2"}
            note(cast.student, kind="signoff.made", machine=machine, by=cast.teacher.as_record(), points=points)
        pdf = made(client, student, "pdf")
        assert len(looking.page_sizes(pdf)) <= 4
        assert looking.text(pdf).count("How low is the guard?") == 7 * 14 + 1

    def test_measured_answer_shows_its_unit_once(self) -> None:
        asked = {"number": 1, "unit": "in", "answered": ["1/8 in"]}
        assert as_asked(asked)["answered"] == "1/8 in"
        assert as_asked(asked | {"answered": ["1/8"]})["answered"] == "1/8 in"
        assert as_asked(asked | {"answered": []})["answered"] == ""

    def test_an_entry_written_again_stands_under_its_first_kind(self, cast: Cast) -> None:
        restates = {"entry": 1, "kind": "hold.placed", "at": "2026-09-14T15:05:09Z"}
        entry = {"kind": "logbook.restated", "payload": json.dumps({"restates": restates})}
        assert heading_of(entry) == "Holds"

    def test_prints_the_checkpoint_it_is_proved_against(self, client: Client, student: Any) -> None:
        pdf = made(client, student, "pdf")
        with pikepdf.open(BytesIO(pdf)) as opened:
            mark = json.loads(opened.attachments["evidence.json"].get_file().read_bytes())["checkpoint"]
        assert f"{mark['size']}:{mark['root']}" in looking.text(pdf)

    def test_says_where_the_script_is_and_what_the_file_inside_is_called(self, client: Client, student: Any) -> None:
        text = " ".join(looking.text(made(client, student, "pdf")).split())
        assert "python3 verify_evidence.py evidence.json" in text
        assert f"/{CHECKER.name}" in text.replace(" ", "")


class TestPage:
    def test_names_the_file_as_it_is_saved_and_hands_out_the_script(self, client: Client, student: Any) -> None:
        text = client.get(reverse("evidence", args=[student.pk])).content.decode()
        assert f'python3 verify_evidence.py "Evidence file {student.name}.json"' in text
        answer = Client().get(reverse("evidence-checker"))
        assert answer.content == CHECKER.read_bytes()
        assert answer.headers["Content-Disposition"] == 'attachment; filename="verify_evidence.py"'

    def test_says_how_much_there_is(self, client: Client, student: Any) -> None:
        assert "2 entries" in client.get(reverse("evidence", args=[student.pk])).content.decode()

    def test_page_offers_no_file_for_a_student_without_entries(self, client: Client, cast: Cast) -> None:
        text = client.get(reverse("evidence", args=[cast.student.pk])).content.decode()
        assert "0 entries" in text
        assert "to hand over" not in text

    @pytest.mark.parametrize("form", ["", "xlsx"])
    def test_another_form_is_refused_and_notes_nothing(self, client: Client, student: Any, form: str) -> None:
        assert client.post(reverse("evidence", args=[student.pk]), {"form": form}).status_code == 422
        assert entries("record.exported") == []

    def test_failed_pdf_shows_a_true_message(self, client: Client, student: Any, monkeypatch: Any) -> None:
        def fail(*_: Any) -> bytes:
            raise PrintFailed

        monkeypatch.setattr("machines.evidence.file.as_pdf", fail)
        answer = client.post(reverse("evidence", args=[student.pk]), {"form": "pdf"})
        page_text = answer.content.decode()
        assert answer.status_code == 503
        assert "No PDF was made" in page_text
        assert "Nothing was changed" not in page_text
        assert entries("record.exported")

    def test_the_student_s_logbook_leads_here(self, client: Client, student: Any) -> None:
        text = client.get(reverse("logbook"), {"student": student.pk}).content.decode()
        assert reverse("evidence", args=[student.pk]) in text

    def test_a_broken_logbook_proves_nothing(self, client: Client, student: Any, monkeypatch: Any) -> None:
        real = Body.objects.in_bulk

        def without(keys: Any) -> Any:
            return {key: body for key, body in real(keys).items() if key != 1}

        monkeypatch.setattr(type(Body.objects), "in_bulk", staticmethod(without))
        response = client.post(reverse("evidence", args=[student.pk]), {"form": "json"})
        assert response.status_code == 409
        assert "The body of entry 1 is missing" in response.content.decode()


class TestCommand:
    def said(self, *arguments: str) -> str:
        output = StringIO()
        call_command("logbook", "export", *arguments, stdout=output)
        return output.getvalue()

    def test_prints_json_for_the_student_meant(self, student: Any) -> None:
        for text in (str(student.pk), student.name):
            assert check(json.loads(self.said(text))) is None
        assert json.loads(entries("record.exported")[0])["at_console"] is True

    def test_writes_a_file_and_a_pdf_where_asked(self, student: Any, tmp_path: Path) -> None:
        assert json.loads(self.said(str(student.pk), "--out", str(tmp_path / "e.json")))["entries"] == 3
        assert check(json.loads((tmp_path / "e.json").read_text())) is None
        self.said(str(student.pk), "--out", str(tmp_path / "e.pdf"))
        assert (tmp_path / "e.pdf").read_bytes()[:5] == b"%PDF-"

    def test_no_one_is_guessed(self, student: Any, cast: Cast) -> None:
        twin = PersonFactory(school=cast.school, role="student", name=student.name)
        with pytest.raises(CommandError, match=f"any of 2 students: {student.pk} is"):
            self.said(student.name)
        PersonFactory(school=cast.school, role="student", local_id=str(twin.pk))
        with pytest.raises(CommandError, match="any of 2 students"):
            self.said(str(twin.pk))
        with pytest.raises(CommandError, match="There is no student “Nobody”"):
            self.said("Nobody")

    def test_unwritable_file_prints_an_error(self, student: Any, tmp_path: Path) -> None:
        with pytest.raises(CommandError, match="No such file or directory"):
            self.said(str(student.pk), "--out", str(tmp_path / "no" / "e.json"))
