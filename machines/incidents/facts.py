"""What a report of an incident says, as frozen values without a database. Stored codes are plain words: they are read
in the evidence file and in the logbook as they stand."""

from dataclasses import asdict, dataclass
from typing import Any, NamedTuple

from machines.clearance.facts import Standing
from shopsafe.language.messages import marked

SOMETHING_ELSE = marked("something else")
DOING = (
    marked("working on it"),
    marked("setting up"),
    marked("clearing chips"),
    marked("changing a blade or bit"),
    marked("passing by"),
    SOMETHING_ELSE,
)
AID = (
    marked("pressed and bandaged"),
    marked("rinsed"),
    marked("cooled"),
    marked("none needed"),
    SOMETHING_ELSE,
)
INFORMED = (marked("office"), marked("nurse"), marked("parent or guardian"))
INJURIES = frozenset({marked("a little"), marked("to the nurse"), marked("ambulance")})


class Informed(NamedTuple):
    """Someone who was informed. `at`: the hour at the school, "10:46", or "" if it was not written down."""

    whom: str
    at: str = ""


@dataclass(frozen=True, slots=True)
class ReportText:
    """What a report says about all who are concerned.

    no_machine    it happened at no machine
    other_person  who was concerned besides students: "a visitor"
    """

    doing: str = ""
    doing_words: str = ""
    words: str = ""
    informed: tuple[Informed, ...] = ()
    nobody_informed: bool = False
    witness_words: str = ""
    no_machine: bool = False
    other_person: str = ""

    def as_content(self) -> dict[str, Any]:
        people = [{"whom": whom, "at": at} for whom, at in self.informed]
        return asdict(self) | {"informed": people}


@dataclass(frozen=True, slots=True)
class OwnPart:
    """What a report says about one person's body, and about no one else's."""

    hurt: str = ""
    body: str = ""
    aid: tuple[str, ...] = ()
    aid_words: str = ""

    def as_content(self) -> dict[str, Any]:
        return {"hurt": self.hurt, "body": self.body, "aid": list(self.aid), "aid_words": self.aid_words}


def text_of(content: dict[str, Any]) -> ReportText:
    """The report's text as it was stored."""
    known = {name: content[name] for name in ReportText.__dataclass_fields__ if name in content}
    informed = tuple(Informed(item["whom"], item.get("at", "")) for item in known.get("informed", ()))
    return ReportText(**known | {"informed": informed})


def own_of(content: dict[str, Any]) -> OwnPart:
    known = {name: content[name] for name in OwnPart.__dataclass_fields__ if name in content}
    return OwnPart(**known | {"aid": tuple(known.get("aid", ()))})


class FactLine(NamedTuple):
    """One thing that the records said at the moment of the incident, as words that never change."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class TagOutFact:
    """A tag-out of the machine: `returned` and `repaired` are empty while it stands."""

    since: str
    by: str
    reason: str
    returned: str = ""
    repaired: str = ""


@dataclass(frozen=True, slots=True)
class MachineThen:
    """The machine at the moment of the incident. Days and moments are in words already.

    stands     the tag-out that stood then
    before     the tag-outs of before, the latest first
    more       what other rooms say about the machine or the shop then, in their words
    """

    name: str
    stands: TagOutFact | None = None
    before: tuple[TagOutFact, ...] = ()
    more: tuple[FactLine, ...] = ()


@dataclass(frozen=True, slots=True)
class StudentThen:
    """A student at the moment of the incident, by the rules and records of that moment.

    status     the clearance for the machine; None without a machine
    reasons    what stood between the student and the machine
    grounds    what a clearance rested on
    signed     who signed the student off there, and when, in words
    holds      the holds in force
    classes    "9 Teak, taught by Odile Ferrant"
    more       what other rooms say: the run, the check before use
    """

    machine: str = ""
    status: Standing | None = None
    reasons: tuple[str, ...] = ()
    grounds: tuple[str, ...] = ()
    signed: str = ""
    holds: tuple[str, ...] = ()
    classes: tuple[str, ...] = ()
    more: tuple[FactLine, ...] = ()
