"""What the safety agreement and the substitute sheet say until a shop says it in its own words. Pure.

The words of the agreement are ours and common practice in school shops; they are no legal advice. A school reads them,
changes them, and lets its administration agree before they are handed out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from shopsafe.language.messages import _, marked


@dataclass(frozen=True)
class AgreementWords:
    """The parts of the safety agreement that a shop may word itself."""

    intro: str = marked(
        "The machines in this shop can hurt a hand or an eye faster than anyone can let go. Please read "
        "this sheet together. Ask the teacher about anything that is not clear, and sign it when you "
        "both agree."
    )
    rules: tuple[str, ...] = (
        marked(
            "I use a machine only after my teacher has signed me off on it, and only while a teacher is in the room."
        ),
        marked("I ask before I switch a machine on. I ask each time."),
        marked("I cover my eyes. I tie back long hair, push up my sleeves, and take off jewelry and gloves."),
        marked("I look before I start: guard in place, blade or belt whole, floor clear."),
        marked("One person at a machine. I do not talk to, touch or crowd anyone who works at one."),
        marked("I keep my hands out of the line of the cut, and I never reach over or behind a moving blade."),
        marked("I never take a guard off or work around it."),
        marked("I switch off and wait until it stops before I clear scraps, measure or change anything."),
        marked("I know how to stop the machine before I start it, and where the shop's emergency stop is."),
        marked("I walk, I throw nothing, and I play no jokes in the shop."),
        marked(
            "I tell my teacher right away when something is broken, when someone is hurt even a little, or nearly was."
        ),
        marked("When I am not sure, tired or unwell, I do not start. I tell my teacher."),
    )
    promise: str = marked(
        "I have read these rules and asked about what I did not understand. I will keep them. I know "
        "that my teacher may stop me from using a machine at any time."
    )
    guardian: str = marked(
        "I have read these rules with my child. I know that machines can cause serious injury even to "
        "careful people. I will tell the school about anything that makes work at machines less safe for "
        "my child."
    )


@dataclass(frozen=True)
class SubstituteWords:
    """What a shop adds to its substitute sheet. `runs`: the school lets substitutes run machines there."""

    runs: bool = False
    call: tuple[str, ...] = (marked("The office of the school"),)
    notes: tuple[str, ...] = ()
    work: tuple[str, ...] = ()  # today's work; a line may begin with its class: "9 Teak: box lids"

    @property
    def has_number(self) -> bool:
        """Return True if someone can be called: a line has a number."""
        return any(letter.isdigit() for line in self.call for letter in line)

    def work_of(self, section: str) -> tuple[str, ...]:
        """The lines that begin with the name of a class, without it."""
        begins = f"{section}:".casefold()
        return tuple(line[len(begins) :].strip() for line in self.work if line.casefold().startswith(begins))

    def work_of_none(self, sections: Iterable[str]) -> tuple[str, ...]:
        """The lines that begin with the name of none of these classes."""
        begins = tuple(f"{section}:".casefold() for section in sections)
        return tuple(line for line in self.work if not line.casefold().startswith(begins))


def agreement_words(stored_words: Mapping[str, Any] | None) -> AgreementWords:
    """From what a shop has stored, or our own."""
    if stored_words:
        return AgreementWords(**{**stored_words, "rules": tuple(stored_words["rules"])})
    own = AgreementWords()
    return AgreementWords(_(own.intro), tuple(map(_, own.rules)), _(own.promise), _(own.guardian))


def substitute_words(stored_words: Mapping[str, Any] | None) -> SubstituteWords:
    """From what a shop has stored, or our own."""
    if not stored_words:
        return SubstituteWords(call=tuple(map(_, SubstituteWords.call)))
    return SubstituteWords(
        bool(stored_words["runs"]),
        tuple(stored_words["call"]),
        tuple(stored_words["notes"]),
        tuple(stored_words.get("work", ())),
    )
