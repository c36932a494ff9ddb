"""An installation speaks English, or a language whose catalog is compiled."""

from pathlib import Path

import pytest

from shopsafe.language.languages import chosen, offered


@pytest.fixture
def with_spanish(tmp_path: Path) -> dict[str, str]:
    for language in ("es", "fr"):
        (tmp_path / language / "LC_MESSAGES").mkdir(parents=True)
    (tmp_path / "es" / "LC_MESSAGES" / "django.mo").touch()
    return offered(tmp_path)


def test_a_language_is_offered_once_its_catalog_is_compiled(with_spanish: dict[str, str]) -> None:
    assert with_spanish["es"] == "Spanish"
    assert "fr" not in with_spanish


@pytest.mark.parametrize(
    ("setting", "expected"),
    [("", "en"), ("es", "es"), ("ES", "es"), ("fr", "en"), ("es_MX:es", "en"), ("en-XA", "en-xa")],
)
def test_the_language_that_is_asked_for_if_it_is_there(
    with_spanish: dict[str, str], setting: str, expected: str
) -> None:
    assert chosen(setting, with_spanish) == expected
