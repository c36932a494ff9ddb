"""Which languages an installation offers, and in which of them its pages are. Asked by the settings."""

from collections.abc import Container
from pathlib import Path

from django.conf.locale import LANG_INFO

ENGLISH = "en"  # what sentences are written in
PSEUDO = {"en-xa": "English with accents, for tests", "ar-xb": "English from right to left, for tests"}


def offered(folder: Path) -> dict[str, str]:
    """Code and English name of each language: those with a compiled catalog in `folder`, and the pseudo-languages."""
    catalogs = folder.glob("*/LC_MESSAGES/django.mo")
    codes = (path.parent.parent.name.lower().replace("_", "-") for path in catalogs)
    return {ENGLISH: "English"} | {code: LANG_INFO.get(code, {}).get("name", code) for code in codes} | PSEUDO


def asked_for(setting: str) -> str:
    """The language that the setting LANGUAGE names, as "es"; nothing for a desktop's list of locales ("en_US:en"),
    which gettext knows by the same name."""
    return "" if ":" in setting or "_" in setting else setting.strip().lower()


def chosen(setting: str, languages: Container[str]) -> str:
    """The language that pages are shown in: the one that is asked for, and English if it is not offered."""
    language = asked_for(setting)
    return language if language in languages else ENGLISH
