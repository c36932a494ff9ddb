"""What helps one student to read and answer. It changes how a quiz is shown, never what passes."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from shopsafe.school import look

# Languages a bank may hold beside its own, by their code (BCP 47), as English names them.
LANGUAGES = {
    "ar": "Arabic",
    "de": "German",
    "en": "English",
    "es": "Spanish",
    "fa": "Persian",
    "fr": "French",
    "ht": "Haitian Creole",
    "ja": "Japanese",
    "ko": "Korean",
    "nl": "Dutch",
    "pl": "Polish",
    "pt": "Portuguese",
    "ru": "Russian",
    "so": "Somali",
    "tl": "Tagalog",
    "tr": "Turkish",
    "uk": "Ukrainian",
    "ur": "Urdu",
    "vi": "Vietnamese",
    "zh": "Chinese",
}


DESCRIBED = "Pictures told in words"


@dataclass(frozen=True, kw_only=True)
class Accommodations:
    aloud: bool = False  # a button on every question and rule that reads it aloud
    size: str = "usual"
    roomy: bool = False
    described: bool = False  # a picture told in words, in place of the picture
    language: str = ""  # empty: the bank's own

    @property
    def in_words(self) -> list[str]:
        settings_in_words = {
            "Read aloud": self.aloud,
            f"{self.size.capitalize()} type": self.size != "usual",
            "More space": self.roomy,
            DESCRIBED: self.described,
            f"In {language_name(self.language)}, where the bank has it": bool(self.language),
        }
        return [words for words, is_given in settings_in_words.items() if is_given]

    @property
    def look(self) -> dict[str, str]:
        return {"size": self.size, "space": "roomy" if self.roomy else "close"}

    @property
    def data(self) -> dict[str, Any]:
        """What is not as usual, to be kept and read back."""
        return {name: value for name, value in asdict(self).items() if value not in (False, "", "usual")}


def read(data: Mapping[str, Any]) -> Accommodations:
    """From kept data. What it does not know is as usual. Never raises."""
    size, language = data.get("size"), data.get("language")
    return Accommodations(
        aloud=data.get("aloud") is True,
        size=size if isinstance(size, str) and size in look.CHOICES["size"] else "usual",
        roomy=data.get("roomy") is True,
        described=data.get("described") is True,
        language=language if isinstance(language, str) and language in LANGUAGES else "",
    )


def language_name(code: str) -> str:
    return LANGUAGES.get(code, code)


def look_for(chosen: Mapping[str, str], accommodations: Accommodations) -> dict[str, str]:
    """How pages look: what the reader chose here, and where that is the usual, what the teacher gave."""
    usual = {sort: options[0] for sort, options in look.CHOICES.items()}
    return {sort: accommodations.look.get(sort, word) if word == usual[sort] else word for sort, word in chosen.items()}
