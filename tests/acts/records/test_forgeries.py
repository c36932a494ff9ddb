"""What someone with the whole database may do to the records: verify names the record, and the entry where one is."""

# ruff: noqa: S608  the statements are written here, and are the point

from datetime import timedelta

import pytest
from django.db import connection, transaction

from machines.models import SignOff
from machines.records.acts import erase_student
from shopsafe.logbook.append import append
from shopsafe.logbook.models import Listing
from shopsafe.logbook.verification.verify import Verdict, verify
from shopsafe.school.people.acts.moves import end_enrollment
from tests.acts.records.forgeries import Recorded, copied, hexadecimal, key, make_records
from tests.acts.reports.forged_reports import FORGED_REPORTS, Forgery
from tests.factories.banks import AT
from tests.logbook.logbook_bypass import lifting
from tests.logbook.record import run

pytestmark = pytest.mark.django_db


@pytest.fixture
def records() -> Recorded:
    return make_records()


def forged(*statements: str) -> Verdict:
    """What verify says once the triggers were lifted, the statements run, and the same triggers put back."""
    with transaction.atomic():
        down, up = lifting(connection)
        run([*down, *statements, *up])
        verdict = verify()
        transaction.set_rollback(True)
    assert not verdict.unguarded
    return verdict


def test_records_hold_when_no_one_forged_them(records: Recorded) -> None:
    verdict = verify()
    assert verdict.says_wrong == ""
    assert verdict.holds


def test_records_hold_when_a_student_was_erased(records: Recorded) -> None:
    student, at = records.cast.student, AT + timedelta(days=60)
    end_enrollment(section=records.cast.section, student=student, by=records.cast.teacher, at=AT + timedelta(days=2))
    erase_student(student=student, reason="The family asked.", by=records.cast.office, at=at)
    assert not SignOff.objects.filter(student=student.pk).exists()
    assert verify().says_wrong == ""


CHANGED: dict[str, tuple[Forgery, str, str]] = FORGED_REPORTS | {
    "a hold lifted": (
        lambda r: [
            "UPDATE machines_hold SET lifted_at = placed_at, lifted_by_id = placed_by_id, lifted_words = 'Talked' "
            f"WHERE id = {r.hold.pk}"
        ],
        "hold {r.hold.pk}",
        "",
    ),
    "a lifted hold put back": (
        lambda r: [
            "UPDATE machines_hold SET lifted_at = NULL, lifted_by_id = NULL, lifted_words = '' "
            f"WHERE id = {r.lifted.pk}"
        ],
        "hold {r.lifted.pk}",
        "hold.lifted",
    ),
    "a hold on another machine": (
        lambda r: [f"UPDATE machines_hold_machines SET machine_id = {r.second_saw.pk} WHERE hold_id = {r.hold.pk}"],
        "hold {r.hold.pk}",
        "hold.placed",
    ),
    "a hold on no machine": (
        lambda r: [f"DELETE FROM machines_hold_machines WHERE hold_id = {r.hold.pk}"],
        "hold {r.hold.pk}",
        "hold.placed",
    ),
    "a hold for another reason": (
        lambda r: [f"UPDATE machines_hold SET reason = 'dress' WHERE id = {r.hold.pk}"],
        "hold {r.hold.pk}",
        "hold.placed",
    ),
    "a hold deleted": (
        lambda r: [
            f"DELETE FROM machines_hold_machines WHERE hold_id = {r.hold.pk}",
            f"DELETE FROM machines_hold WHERE id = {r.hold.pk}",
        ],
        "hold {r.hold.pk}",
        "hold.placed",
    ),
    "a rule of a hold not studied": (
        lambda r: [f"UPDATE machines_hold SET learned = '{{}}' WHERE id = {r.lifted.pk}"],
        "rule of hold {r.lifted.pk}",
        "hold.rule_learned",
    ),
    "a sign-off no longer undone": (
        lambda r: [
            f"UPDATE machines_signoff SET student_id = {r.cast.classmate.pk}, machine_id = {r.saw.pk}, "
            f"undone_at = NULL, undone_by_id = NULL WHERE id = {r.undone.pk}"
        ],
        "sign-off {r.undone.pk}",
        "signoff.undone",
    ),
    "a sign-off undone": (
        lambda r: [f"UPDATE machines_signoff SET undone_at = at, undone_by_id = by_id WHERE id = {r.sign_off.pk}"],
        "sign-off {r.sign_off.pk}",
        "",
    ),
    "a withdrawal for another reason": (
        lambda r: [f"UPDATE machines_signoff SET withdrawn_reason = 'None' WHERE id = {r.withdrawn.pk}"],
        "sign-off {r.withdrawn.pk}",
        "signoff.withdrawn",
    ),
    "another signer": (
        lambda r: [f"UPDATE machines_signoff SET by_id = {r.cast.colleague.pk} WHERE id = {r.sign_off.pk}"],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "another student": (
        lambda r: [f"UPDATE machines_signoff SET student_id = {r.cast.classmate.pk} WHERE id = {r.sign_off.pk}"],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "a sign-off on another machine": (
        lambda r: [f"UPDATE machines_signoff SET machine_id = {r.second_saw.pk} WHERE id = {r.sign_off.pk}"],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "a point that was not shown": (
        lambda r: [f"""UPDATE machines_signoff SET points = '["Anything"]' WHERE id = {r.sign_off.pk}"""],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "a moment moved": (
        lambda r: [
            f"UPDATE machines_signoff SET at = (SELECT added_at FROM machines_machine WHERE id = {r.saw.pk}) "
            f"WHERE id = {r.sign_off.pk}"
        ],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "a sign-off inserted without entry": (
        lambda r: [
            copied(
                "machines_signoff",
                f"id = {r.sign_off.pk}",
                id="9999",
                student_id=f"{r.cast.classmate.pk}",
                tap=key("00000000-0000-0000-0000-00000000ffff"),
                entry_id="NULL",
            )
        ],
        "sign-off 9999",
        "",
    ),
    "a sign-off inserted under another's entry": (
        lambda r: [
            copied(
                "machines_signoff",
                f"id = {r.sign_off.pk}",
                id="9999",
                student_id=f"{r.cast.classmate.pk}",
                tap=key("00000000-0000-0000-0000-00000000ffff"),
            )
        ],
        "sign-off 9999",
        "",
    ),
    "a sign-off deleted": (
        lambda r: [f"DELETE FROM machines_signoff WHERE id = {r.sign_off.pk}"],
        "sign-off {r.sign_off.pk}",
        "signoff.made",
    ),
    "a miss turned perfect": (
        lambda r: [
            "UPDATE quizzes_attempt SET correct = asked, missed_rules = '[]', missed_questions = '[]' "
            f"WHERE id = {key(r.missed.pk)}"
        ],
        "attempt {h}",
        "attempt.missed",
    ),
    "a pass inserted": (
        lambda r: [
            copied(
                "quizzes_attempt",
                f"id = {key(r.passed.pk)}",
                id=key("00000000-0000-0000-0000-00000000ffff"),
                student_id=f"{r.cast.classmate.pk}",
            )
        ],
        "attempt 0000000000000000000000000000ffff",
        "",
    ),
    "a pass of another student": (
        lambda r: [f"UPDATE quizzes_attempt SET student_id = {r.cast.classmate.pk} WHERE id = {key(r.passed.pk)}"],
        "attempt {p}",
        "attempt.passed",
    ),
    "an attempt no longer voided": (
        lambda r: [
            "UPDATE quizzes_attempt SET voided_at = NULL, voided_by_id = NULL, void_reason = '' "
            f"WHERE id = {key(r.voided.pk)}"
        ],
        "attempt {v}",
        "attempt.voided",
    ),
    "a practice turned quiz, or a quiz turned practice": (
        lambda r: [f"UPDATE quizzes_attempt SET practice = TRUE WHERE id = {key(r.passed.pk)}"],
        "attempt {p}",
        "attempt.passed",
    ),
    "another form": (
        lambda r: [f"""UPDATE quizzes_attempt SET form = '{{"lines": []}}' WHERE id = {key(r.passed.pk)}"""],
        "attempt {p}",
        "attempt.passed",
    ),
    "another answer": (
        lambda r: [
            f"""UPDATE quizzes_answer SET response = '{{"chosen": "x"}}' WHERE attempt_id = {key(r.missed.pk)}"""
        ],
        "attempt {h}",
        "attempt.missed",
    ),
    "an answer deleted": (
        lambda r: [f"DELETE FROM quizzes_answer WHERE attempt_id = {key(r.missed.pk)}"],
        "attempt {h}",
        "attempt.missed",
    ),
    "a card never read": (
        lambda r: [f"DELETE FROM quizzes_ruleread WHERE attempt_id = {key(r.missed.pk)}"],
        "card of attempt {h}",
        "rule.read",
    ),
    "a card read again later": (
        lambda r: [f"UPDATE quizzes_ruleread SET tries = 7 WHERE attempt_id = {key(r.missed.pk)}"],
        "card of attempt {h}",
        "rule.read",
    ),
    "another check question": (
        lambda r: [f"UPDATE quizzes_ruleread SET checked_question = 'r0-q9' WHERE attempt_id = {key(r.missed.pk)}"],
        "card of attempt {h}",
        "rule.checked",
    ),
    "a release inserted": (
        lambda r: [
            "INSERT INTO quizzes_release (school_id, attempt_id, released_by_id, released_at) SELECT school_id, id, "
            f"{r.cast.teacher.pk}, handed_in_at FROM quizzes_attempt WHERE id = {key(r.missed.pk)}"
        ],
        "release after attempt {h}",
        "",
    ),
    "the text of an edition changed": (
        lambda r: [
            f"UPDATE quizzes_edition SET content = replace(content, 'Keep rule', 'Ignore rule') "
            f"WHERE bank_id = {r.bank.pk}"
        ],
        "edition {e}",
        "edition.published",
    ),
    "the digest of an edition changed too": (
        lambda r: [f"UPDATE quizzes_edition SET content = '{{}}', digest = '{'0' * 64}' WHERE bank_id = {r.bank.pk}"],
        "edition {e}",
        "edition.published",
    ),
    "earlier passes no longer count": (
        lambda r: [f"UPDATE quizzes_edition SET earlier_passes_count = FALSE WHERE bank_id = {r.bank.pk}"],
        "edition {e}",
        "edition.published",
    ),
    "an approval inserted": (
        lambda r: [
            "INSERT INTO quizzes_acceptance (school_id, edition_id, by_id, at, taken_back_at, taken_back_by_id, "
            f"taken_back_reason) SELECT school_id, id, {r.cast.colleague.pk}, published_at, published_at, "
            f"{r.cast.colleague.pk}, 'x' FROM quizzes_edition WHERE bank_id = {r.bank.pk}"
        ],
        "approval of edition {e}",
        "",
    ),
    "an approval whose withdrawal was taken out": (
        lambda r: [
            "DELETE FROM quizzes_acceptance WHERE taken_back_at IS NULL",
            "UPDATE quizzes_acceptance SET taken_back_at = NULL, taken_back_by_id = NULL, taken_back_reason = ''",
        ],
        "approval of edition {e}",
        "bank.acceptance_taken_back",
    ),
    "a tag-out removed": (
        lambda r: [
            f"DELETE FROM machines_hazardreport WHERE tag_out_id = {r.tag_out.pk}",
            f"DELETE FROM machines_tagout WHERE id = {r.tag_out.pk}",
        ],
        "tag-out {r.tag_out.pk}",
        "machine.tagged_out",
    ),
    "a tag-out ended": (
        lambda r: [
            "UPDATE machines_tagout SET returned_at = at, returned_by_id = by_id, inspection = 'Fine' "
            f"WHERE id = {r.tag_out.pk}"
        ],
        "tag-out {r.tag_out.pk}",
        "",
    ),
    "another inspection": (
        lambda r: [f"UPDATE machines_tagout SET inspection = 'None' WHERE id = {r.returned.pk}"],
        "tag-out {r.returned.pk}",
        "machine.returned",
    ),
    "requirements that ask for less": (
        lambda r: [f"DELETE FROM machines_asked WHERE requirements_id = {r.requirements.pk}"],
        "requirements of machine type {r.kind.pk}",
        "requirements.set",
    ),
    "requirements without an agreement": (
        lambda r: [f"UPDATE machines_requirements SET agreement = FALSE WHERE id = {r.requirements.pk}"],
        "requirements of machine type {r.kind.pk}",
        "requirements.set",
    ),
    "the first requirements changed": (
        lambda r: [f"UPDATE machines_requirements SET ends_with = 'never' WHERE id < {r.requirements.pk}"],
        "requirements of machine type {r.kind.pk}",
        "kind.added",
    ),
    "an agreement inserted": (
        lambda r: [copied("school_safetyagreement", f"student_id = {r.cast.student.pk}", year="2025")],
        "document of student {r.cast.student.pk}",
        "",
    ),
    "an agreement withdrawn": (
        lambda r: [
            "UPDATE school_safetyagreement SET taken_back_at = recorded_at, taken_back_by_id = recorded_by_id, "
            f"taken_back_reason = 'x' WHERE student_id = {r.cast.student.pk}"
        ],
        "document of student {r.cast.student.pk}",
        "",
    ),
    "an agreement deleted": (
        lambda r: [f"DELETE FROM school_safetyagreement WHERE student_id = {r.cast.student.pk}"],
        "document of student {r.cast.student.pk}",
        "agreement.recorded",
    ),
}


@pytest.mark.parametrize("forgery", CHANGED)
def test_verify_names_the_record_and_its_entry_after(forgery: str, records: Recorded) -> None:
    statements, record, kind = CHANGED[forgery]
    verdict = forged(*statements(records))
    ids = {"h": records.missed.pk, "p": records.passed.pk, "v": records.voided.pk}
    named = record.format(
        r=records, e=records.bank.editions.get().pk, **{name: hexadecimal(pk) for name, pk in ids.items()}
    )
    about = [fault for fault in verdict.records if named in fault.sentence]
    assert about, verdict.says_wrong
    assert verdict.fault is None
    if kind:
        seqs = {fault.seq for fault in about}
        assert seqs & set(Listing.objects.filter(kind=kind).values_list("entry", flat=True))
        assert any(f"ntry {fault.seq}" in fault.sentence for fault in about)


def test_verify_names_an_entry_that_has_no_record(records: Recorded) -> None:
    """Someone restores yesterday's tables of records beside today's logbook."""
    made = records.sign_off
    payload = {
        "student": records.cast.student.as_record(),
        "machine": records.saw.as_record(),
        "machine_kind": {"id": records.kind.pk, "name": "Band saw"},
        "by": records.cast.teacher.as_record(),
        "sign_off": 4711,
        "points": list(made.points),
    }
    with transaction.atomic():
        said = append(kind="signoff.made", school=made.school_id, at=made.at, payload=payload)
    verdict = verify()
    assert [(fault.seq, fault.code) for fault in verdict.records] == [(said.seq, "entry without record")]
    assert verdict.says_wrong == f"Entry {said.seq} says that the sign-off 4711 was made, and the record does not."


def test_verify_names_every_one_of_many_changed_records(records: Recorded) -> None:
    verdict = forged(f"UPDATE machines_signoff SET by_id = {records.cast.colleague.pk}")
    named = {fault.seq for fault in verdict.records}
    assert named == set(Listing.objects.filter(kind="signoff.made").values_list("entry", flat=True))


def test_verify_says_what_differs(records: Recorded) -> None:
    verdict = forged(
        f"UPDATE machines_signoff SET by_id = {records.cast.colleague.pk} WHERE id = {records.sign_off.pk}"
    )
    seq = records.sign_off.entry_id
    assert verdict.says_wrong == (
        f"The sign-off {records.sign_off.pk} was changed: it does not say what entry {seq} says (made). "
        f"Differences: by is {records.cast.colleague.pk} in the record and {records.cast.teacher.pk} in the entry."
    )
