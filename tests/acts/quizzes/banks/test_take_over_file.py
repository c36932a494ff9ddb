"""A bank file is taken over in one step, or not at all; what the file lacks is retired, not deleted."""

from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest
from django.http import Http404

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.files.acts import send_bank_file, take_over_file
from quizzes.banks.files.queries import file_of
from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.files.rules.zip_file import MOST_SENT, pack
from quizzes.facts import BankText
from quizzes.models import Bank, BankUpload, DraftChange, Picture
from tests.acts.reading import code_of, last_entry
from tests.cast import Cast
from tests.factories.bank_texts import a_bank, a_one, a_rule, plain_bank
from tests.factories.banks import AT, DAY, make_bank
from tests.rules.quizzes.banks.files.test_bankzip import DRAWING


def sent(by: Any, text: BankText | None = None, content: bytes | None = None) -> UUID:
    content = pack("band-saw", write_bank(text or a_bank()), {"saw.svg": DRAWING}) if content is None else content
    return send_bank_file(by=by, name="bank.zip", content=content, at=AT).pk


def take(by: Any, upload: UUID, revision: int = 0) -> Bank:
    return take_over_file(by=by, upload=upload, revision=revision, at=AT)


def test_a_new_bank_is_there_with_its_pictures(cast: Cast) -> None:
    bank = take(cast.teacher, sent(cast.teacher))
    draft = draft_of(bank)
    assert (draft.bank, bank.draft_revision, bank.editions.count()) == (a_bank(), 1, 0)
    assert bytes(Picture.objects.get(digest=draft.pictures["saw.svg"].digest).content) == DRAWING
    kind, payload = last_entry()
    assert (kind, payload["from"], payload["rules"]) == ("bank.added", "file", 1)


def test_exported_file_is_unchanged_after_import_and_export(cast: Cast) -> None:
    exported = file_of(take(cast.teacher, sent(cast.teacher)))
    imported = take(cast.stranger_teacher, sent(cast.stranger_teacher, content=exported[1]))
    assert file_of(imported) == exported
    assert exported[0] == "band-saw.zip"


def test_a_bank_without_pictures_is_one_text_file(cast: Cast) -> None:
    text = a_bank(questions=(a_one(),))
    assert file_of(make_bank(cast.school, text)) == ("band-saw.toml", write_bank(text).encode())


def test_second_import_of_a_file_changes_nothing(cast: Cast) -> None:
    upload = sent(cast.teacher)
    assert take(cast.teacher, upload) == take(cast.teacher, upload)
    assert (Bank.objects.count(), bytes(BankUpload.objects.get().content)) == (1, b"")


def test_a_bank_that_is_here_gets_the_text_and_keeps_the_rest_retired(cast: Cast) -> None:
    bank = make_bank(cast.school, plain_bank(2, 2, ask=2))
    text = a_bank(rules=(a_rule("r1", says="Changed."), a_rule("new")), questions=(a_one("r1-q0", "r1"),), ask=1)
    take(cast.teacher, sent(cast.teacher, text), revision=1)
    bank.refresh_from_db()
    draft = draft_of(bank).bank
    assert [(rule.code, rule.retired) for rule in draft.rules] == [("r1", False), ("new", False), ("r0", True)]
    assert {question.code for question in draft.questions if question.retired} == {"r0-q0", "r0-q1", "r1-q1"}
    assert (bank.draft_revision, DraftChange.objects.get().says) == (2, "imported a bank file")


def test_a_file_without_its_pictures_uses_those_that_are_here(cast: Cast) -> None:
    bank = take(cast.teacher, sent(cast.teacher))
    text = a_bank(about="Changed.")
    take(cast.teacher, sent(cast.teacher, content=write_bank(text).encode()), revision=1)
    bank.refresh_from_db()
    assert (draft_of(bank).bank, list(draft_of(bank).pictures)) == (text, ["saw.svg"])


def test_draft_changed_by_a_colleague_is_not_overwritten(cast: Cast) -> None:
    make_bank(cast.school, plain_bank(2, 2, ask=2))
    upload = sent(cast.teacher)
    for seen in (0, 2):
        assert code_of(take, cast.teacher, upload, seen) == "draft.changed"
    assert draft_of(Bank.objects.get()).bank == plain_bank(2, 2, ask=2)


def test_a_file_with_a_problem_leaves_nothing_behind(cast: Cast) -> None:
    two = a_bank(questions=(a_one(), replace(a_one("more"), rule="guard-low")))
    broken = pack("a", write_bank(two).replace('kind = "one"', 'kind = "essay"', 1), {"saw.svg": DRAWING})
    assert code_of(take, cast.teacher, sent(cast.teacher, content=broken)) == "file.problems"
    assert code_of(take, cast.teacher, sent(cast.teacher, content=write_bank(a_bank()).encode())) == "file.problems"
    assert not Bank.objects.exists()
    assert not Picture.objects.exists()


def test_an_empty_or_heavy_file_is_not_kept(cast: Cast) -> None:
    for content in (b"", b"x" * (MOST_SENT + 1)):
        assert code_of(sent, cast.teacher, content=content) == "file.size"


def test_only_the_last_file_is_kept_until_it_is_taken_over(cast: Cast) -> None:
    first, other = sent(cast.teacher), sent(cast.colleague)
    last = sent(cast.teacher)
    assert {upload.pk for upload in BankUpload.objects.all()} == {other, last}
    sent(cast.stranger_teacher)
    later = send_bank_file(by=cast.teacher, name="bank.toml", content=b"x", at=AT + 3 * DAY).pk
    assert {upload.pk for upload in BankUpload.objects.filter(school=cast.school)} == {later}, (
        "nor an old one of a colleague"
    )
    assert BankUpload.objects.filter(school=cast.stranger_school).count() == 1
    with pytest.raises(Http404):
        take(cast.teacher, first)


def test_refuses_everyone_but_the_teacher_who_sent_it(cast: Cast) -> None:
    upload = sent(cast.teacher)
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(sent, person) == "access.not-yours"
        assert code_of(take, person, upload) == "access.not-yours"
    for person in (cast.colleague, cast.stranger_teacher):
        with pytest.raises(Http404):
            take(person, upload)
    assert not Bank.objects.exists()
