"""How many, as people write it: "All seven", "Both", "It"."""

from shopsafe.language.messages import _, marked

NUMBERS = (
    marked("none"), marked("one"), marked("two"), marked("three"), marked("four"), marked("five"), marked("six"),
    marked("seven"), marked("eight"), marked("nine"), marked("ten"), marked("eleven"), marked("twelve"),
)  # fmt: skip


def in_words(number: int) -> str:
    """ "seven", but "13"."""
    return _(NUMBERS[number]) if number < len(NUMBERS) else str(number)
