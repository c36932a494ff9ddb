"""Changing a draft: on the revision that was seen, shown to the others, refused for everyone but teachers."""

from functools import partial
from io import BytesIO
from typing import Any

import pytest
from django.http import Http404
from PIL import Image

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts.acts import add_picture, change_draft
from quizzes.banks.drafts.queries import changes_since
from quizzes.banks.rules import editing
from quizzes.models import Bank, DraftChange, Picture
from shopsafe.logbook.models import Listing
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.bank_texts import a_one, a_rule
from tests.factories.banks import AT, DAY, make_bank


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return make_bank(cast.school)


def save(bank: Bank, by: Any, **more: Any) -> Bank:
    fields: dict[str, Any] = {
        "revision": 1,
        "change": partial(editing.put_rule, rule=a_rule("new")),
        "says": "added the rule",
        "at": AT,
    }
    return change_draft(by=by, bank=bank.pk, **(fields | more))


def test_the_draft_goes_on_and_says_who_when_what(cast: Cast, bank: Bank) -> None:
    save(bank, cast.teacher)
    bank.refresh_from_db()
    assert (bank.draft_revision, bank.draft_changed_at, bank.draft_changed_by) == (2, AT, cast.teacher)
    assert draft_of(bank).bank.rules[-1].code == "new"
    (draft_change,) = changes_since(bank, 1)
    assert (draft_change.revision, draft_change.by, draft_change.at, draft_change.says) == (
        2,
        cast.teacher,
        AT,
        "added the rule",
    )
    assert not Listing.objects.exists(), "a draft is no safety record"


def test_stale_save_is_refused_and_keeps_the_first_change(cast: Cast, bank: Bank) -> None:
    save(bank, cast.teacher)
    with pytest.raises(Refused) as caught:
        save(bank, cast.colleague, change=partial(editing.put_rule, rule=a_rule("r0", says="Mine.")), at=AT + DAY)
    assert (caught.value.code, caught.value.status) == ("draft.changed", 409)
    bank.refresh_from_db()
    assert bank.draft_revision == 2
    assert draft_of(bank).bank.rules[0].says == "Keep rule number 0."
    save(bank, cast.colleague, revision=2, change=partial(editing.put_rule, rule=a_rule("r0", says="Mine.")))
    assert [change.by for change in changes_since(bank, 1)] == [cast.teacher, cast.colleague]


def test_save_without_a_change_writes_nothing(cast: Cast, bank: Bank) -> None:
    save(bank, cast.teacher, change=lambda text: text)
    bank.refresh_from_db()
    assert (bank.draft_revision, DraftChange.objects.count()) == (1, 0)


def test_the_name_of_the_bank_follows_its_draft(cast: Cast, bank: Bank) -> None:
    save(bank, cast.teacher, change=partial(editing.put_head, subject="Saw", about="", after=""))
    bank.refresh_from_db()
    assert bank.subject == "Saw"


def test_invalid_draft_is_refused(cast: Cast, bank: Bank) -> None:
    with pytest.raises(Refused) as caught:
        save(bank, cast.teacher, change=partial(editing.put_question, question=a_one("q", "no-such-rule")))
    assert (caught.value.code, caught.value.status) == ("draft.not-a-bank", 422)
    assert "There is no rule “no-such-rule”" in caught.value.sentence


def test_refuses_everyone_but_teachers_of_the_school(cast: Cast, bank: Bank) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        for deed in (save, picture):
            with pytest.raises(Refused, match="not yours"):
                deed(bank, person)
    for deed in (save, picture):
        with pytest.raises(Http404):
            deed(bank, cast.stranger_teacher)
    assert not DraftChange.objects.exists()
    assert not Picture.objects.exists()


# ---- pictures -------------------------------------------------------------------------------------------------------


def photo() -> bytes:
    file = BytesIO()
    Image.new("RGB", (60, 40), "white").save(file, "PNG")
    return file.getvalue()


def picture(bank: Bank, by: Any, content: bytes | None = None) -> str:
    return add_picture(by=by, bank=bank.pk, content=photo() if content is None else content, at=AT)


def test_a_picture_is_kept_once_under_its_digest_and_disturbs_no_one(cast: Cast, bank: Bank) -> None:
    name = picture(bank, cast.teacher)
    assert picture(bank, cast.colleague) == name
    bank.refresh_from_db()
    kept = Picture.objects.get()
    assert draft_of(bank).pictures[name].digest == kept.digest
    assert (name, kept.kind, bank.draft_revision) == (f"p-{kept.digest[:12]}.webp", "webp", 1)


def test_unreadable_picture_is_refused(cast: Cast, bank: Bank) -> None:
    with pytest.raises(Refused) as caught:
        picture(bank, cast.teacher, b"<svg onload=alert(1)>")
    assert (caught.value.code, caught.value.status) == ("picture.unreadable", 422)
    assert not Picture.objects.exists()
