"""What helps one student to read and answer. It changes how a quiz is shown, never what passes."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

from shopsafe.language.messages import _, marked
from shopsafe.school.reading import look

# Languages a bank may hold beside its own, by their code (BCP 47), as English names them.
LANGUAGES = {
    "ar": marked("Arabic"),
    "de": marked("German"),
    "en": marked("English"),
    "es": marked("Spanish"),
    "fa": marked("Persian"),
    "fr": marked("French"),
    "ht": marked("Haitian Creole"),
    "ja": marked("Japanese"),
    "ko": marked("Korean"),
    "nl": marked("Dutch"),
    "pl": marked("Polish"),
    "pt": marked("Portuguese"),
    "ru": marked("Russian"),
    "so": marked("Somali"),
    "tl": marked("Tagalog"),
    "tr": marked("Turkish"),
    "uk": marked("Ukrainian"),
    "ur": marked("Urdu"),
    "vi": marked("Vietnamese"),
    "zh": marked("Chinese"),
}

type TypeSize = Literal["usual", "larger", "largest"]

DESCRIBED = marked("Pictures described in words")
SIZES = {"larger": marked("Larger type"), "largest": marked("Largest type")}
_SIZES: dict[str, TypeSize] = {"usual": "usual", "larger": "larger", "largest": "largest"}


@dataclass(frozen=True, kw_only=True)
class Accommodations:
    aloud: bool = False  # a button on every question and rule that reads it aloud
    size: TypeSize = "usual"
    roomy: bool = False
    described: bool = False  # a picture described in words, in place of the picture
    language: str = ""  # empty: the bank's own

    @property
    def in_words(self) -> list[str]:
        """What the student has, for a reader."""
        return [_(words, language=language_name(self.language)) for words in self._not_usual()]

    @property
    def written(self) -> list[str]:
        """The same as the logbook keeps it, whatever language the reader has."""
        language = LANGUAGES.get(self.language, self.language)
        return [words.format(language=language) for words in self._not_usual()]

    def _not_usual(self) -> list[str]:
        settings_in_words = {
            marked("Read aloud"): self.aloud,
            SIZES.get(self.size, ""): self.size != "usual",
            marked("More space"): self.roomy,
            DESCRIBED: self.described,
            marked("In {language}, where the bank has it"): bool(self.language),
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
        size=_SIZES.get(size, "usual") if isinstance(size, str) else "usual",
        roomy=data.get("roomy") is True,
        described=data.get("described") is True,
        language=language if isinstance(language, str) and language in LANGUAGES else "",
    )


def language_name(code: str) -> str:
    return _(LANGUAGES[code]) if code in LANGUAGES else code


def look_for(chosen: Mapping[str, str], accommodations: Accommodations) -> dict[str, str]:
    """How pages look: what the reader chose here, and where that is the usual, what the teacher gave."""
    usual = {sort: options[0] for sort, options in look.CHOICES.items()}
    return {sort: accommodations.look.get(sort, word) if word == usual[sort] else word for sort, word in chosen.items()}
