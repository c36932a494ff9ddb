"""Several teachers, or one impatient one, at one moment: one effect, nothing lost, the others read of it."""

from collections.abc import Iterator
from functools import partial
from io import BytesIO
from itertools import count

import pytest
from PIL import Image

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.drafts.acts import add_bank, add_picture, change_draft
from quizzes.banks.files.acts import send_bank_file, take_over_file
from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.rules.editing import put_rule
from quizzes.models import Bank, DraftChange
from tests.cast import Cast, make_cast
from tests.factories.at_once import four_times_at_once
from tests.factories.bank_texts import a_rule
from tests.factories.banks import AT, bank_text, make_bank


@pytest.fixture
def cast(transactional_db: None) -> Cast:
    return make_cast()


def test_one_of_four_simultaneous_changes_is_saved(cast: Cast) -> None:
    bank, numbers = make_bank(cast.school), count()

    def save() -> None:
        change = partial(put_rule, rule=a_rule(f"new-{next(numbers)}"))
        change_draft(by=cast.teacher, bank=bank.pk, revision=1, change=change, says="added a rule", at=AT)

    assert four_times_at_once(save) == ["done"] + ["draft.changed"] * 3
    bank.refresh_from_db()
    assert (len(draft_of(bank).bank.rules), bank.draft_revision, DraftChange.objects.count()) == (4, 2, 1)


def test_pictures_sent_at_once_are_all_kept(cast: Cast) -> None:
    bank, pictures = make_bank(cast.school), photos()
    assert (
        four_times_at_once(lambda: add_picture(by=cast.teacher, bank=bank.pk, content=next(pictures), at=AT))
        == ["done"] * 4
    )
    bank.refresh_from_db()
    assert len(bank.draft_pictures) == 4


def photos() -> Iterator[bytes]:
    contents = []
    for shade in (0, 80, 160, 240):
        file = BytesIO()
        Image.new("L", (20, 20), shade).save(file, "PNG")
        contents.append(file.getvalue())
    return iter(contents)


def test_a_new_bank_sent_four_times_is_one(cast: Cast) -> None:
    outcomes = four_times_at_once(lambda: add_bank(by=cast.teacher, subject="Bench vice", about="", at=AT))
    assert outcomes == ["bank.same-subject"] * 3 + ["done"]
    assert Bank.objects.count() == 1


def test_a_file_taken_over_four_times_at_once_is_one_bank(cast: Cast) -> None:
    content = write_bank(bank_text()).encode()
    upload = send_bank_file(by=cast.teacher, name="bank.toml", content=content, at=AT).pk
    assert four_times_at_once(lambda: take_over_file(by=cast.teacher, upload=upload, revision=0, at=AT)) == ["done"] * 4
    assert (Bank.objects.count(), Bank.objects.get().draft_revision) == (1, 1)
