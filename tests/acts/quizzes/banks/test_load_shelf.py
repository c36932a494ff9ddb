"""The shelf comes into a school once, its first editions out for practice only."""

from pathlib import Path

import pytest
from django.conf import settings

from quizzes.banks.draft_rows import draft_of
from quizzes.banks.editions.acts import accept_bank
from quizzes.banks.editions.approved import practice_only
from quizzes.banks.editions.starter_banks import load_shelf
from quizzes.banks.editions.texts import text_of
from quizzes.banks.files.rules.toml_file import read_bank
from quizzes.banks.pictures.files import NoPicture
from quizzes.models import Bank, Picture
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.banks import AT, DAY

SHELF = Path(settings.SHELF)


def test_starter_rule_sets_load_with_a_practice_only_first_edition(cast: Cast) -> None:
    banks = load_shelf(school=cast.school, shelf=SHELF, at=AT, by=cast.teacher)
    assert sorted(bank.code for bank in banks) == sorted(
        path.stem for path in SHELF.glob("*.toml") if path.stem != "starter-shops"
    )
    for bank in banks:
        assert draft_of(bank).bank == read_bank((SHELF / f"{bank.code}.toml").read_text(encoding="utf-8"))
        edition = bank.editions.get()
        assert (edition.number, edition.published_at) == (1, AT)
        assert text_of(edition) == draft_of(bank)
        assert bank.pk in practice_only(cast.school.pk, AT)
        assert accept_bank(by=cast.teacher, bank=bank.pk, edition=1, at=AT + DAY).edition == edition
    assert not practice_only(cast.school.pk, AT + DAY)


def test_pictures_are_kept_under_their_digest(cast: Cast) -> None:
    for bank in load_shelf(school=cast.school, shelf=SHELF, at=AT):
        for name, picture in draft_of(bank).pictures.items():
            kept = Picture.objects.get(school=cast.school, digest=picture.digest)
            assert bytes(kept.content) == (SHELF / "pictures" / name).read_bytes()


def test_existing_rule_set_is_unchanged_when_starters_load_again(cast: Cast) -> None:
    load_shelf(school=cast.school, shelf=SHELF, at=AT)
    changed = Bank.objects.filter(school=cast.school).first()
    assert changed
    Bank.objects.filter(pk=changed.pk).update(subject="Our own words")
    assert load_shelf(school=cast.school, shelf=SHELF, at=AT) == []
    assert Bank.objects.get(pk=changed.pk).subject == "Our own words"


def test_another_school_gets_its_own(cast: Cast) -> None:
    load_shelf(school=cast.school, shelf=SHELF, at=AT)
    assert load_shelf(school=cast.stranger_school, shelf=SHELF, at=AT)


def test_refuses_everyone_but_teachers(cast: Cast) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        with pytest.raises(Refused):
            load_shelf(school=cast.school, shelf=SHELF, at=AT, by=person)
    assert not Bank.objects.exists()


def test_picture_that_is_not_svg_is_refused(cast: Cast, tmp_path: Path) -> None:
    (tmp_path / "pictures").mkdir()
    path = next(path for path in SHELF.glob("*.toml") if "picture" in path.read_text(encoding="utf-8"))
    (tmp_path / path.name).write_bytes(path.read_bytes())
    for picture in (SHELF / "pictures").iterdir():
        (tmp_path / "pictures" / picture.name).write_bytes(b"<html>")
    with pytest.raises(NoPicture, match="can't be used"):
        load_shelf(school=cast.school, shelf=tmp_path, at=AT)
