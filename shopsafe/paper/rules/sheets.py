"""What each sheet says, as plain dataclasses: the code that prints fills them in, and no model comes in here.

Names are in the order given only where the sheet says so; wall cards and charts put them in reading order themselves.
Texts are plain text; templates escape them.
"""

from dataclasses import dataclass, field
from datetime import date

from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules.names import Name

FOLLOW = marked("Follow the shop rules and the maker's manual. They come first.")
ONLY_WITH_TEACHER = marked("Only with a teacher in the room.")

# What a piece of protective equipment is called beside its pictogram (static/pictograms/<code>.svg).
# ISO 7010 has signs for eye (M004), ear (M003) and face (M013); ours are our own drawings and look different.
PROTECT = {
    "eye": marked("Goggles on"),
    "ear": marked("Ears covered"),
    "dust": marked("Dust mask on"),
    "face": marked("Face shield on"),
    "hair": marked("Hair tied back"),
    "sleeves": marked("Sleeves up"),
    "jewellery": marked("Jewelry off"),
    "gloves-off": marked("Gloves off"),
    "apron": marked("Apron on"),
    "shoes": marked("Closed shoes"),
    "helmet": marked("Welding helmet on"),
    "gloves-on": marked("Gloves on"),
    "cotton": marked("Cotton or leather on"),
}


@dataclass(frozen=True)
class Paper:
    """A paper size in millimeters, upright."""

    code: str
    name: str
    width: float
    height: float

    @property
    def scale(self) -> float:
        """1 for letter and A4; what is printed on twice the area is set √2 larger."""
        return 1.0 if self.height < 350 else 2**0.5

    @property
    def turned(self) -> "Paper":
        """The same paper on its side."""
        return Paper(f"{self.code}-turned", self.name, self.height, self.width)


LETTER = Paper("letter", marked("Letter"), 215.9, 279.4)
TABLOID = Paper("tabloid", marked("Tabloid"), 279.4, 431.8)
A4 = Paper("a4", "A4", 210.0, 297.0)
A3 = Paper("a3", "A3", 297.0, 420.0)
PAPERS = {paper.code: paper for paper in (LETTER, TABLOID, A4, A3)}


TAGGED_OUT = marked("Tagged out")


@dataclass(frozen=True)
class TagOutNote:
    """Why no one may use a machine, and since when."""

    reason: str
    since: date
    by: str = ""
    word: str = TAGGED_OUT


@dataclass(frozen=True)
class WallCard:
    """One machine's poster. `scope` says whose names these are ("Period 3, Grade 7 Wood", "All classes of Room W2")."""

    machine: str
    scope: str
    names: tuple[Name, ...]
    stop: str  # one sentence: how this machine is stopped
    printed: date
    valid_until: date | None
    code: str  # card code, see codes.py
    url: str  # what the QR code says; in capitals it takes a smaller code
    protect: tuple[str, ...] = ()  # keys of PROTECT
    pre_use: tuple[str, ...] = ()  # looked at before each use
    rules: tuple[str, ...] = ()  # three or four, the gravest first; the rest belong on rule posters
    stop_and_ask: tuple[str, ...] = ()  # "the guard is loose", ...: they follow "Stop and ask if"
    accepted: bool = True  # a teacher has accepted the rules of this kind of machine
    note: str = ""  # what must be known of the names, in plain words above them
    tagged_out: TagOutNote | None = None
    demo: bool = False


@dataclass(frozen=True)
class ChartRow:
    """One student of a wall chart and the machines (places in `WallChart.machines`) that student is cleared for.

    `last_days`: of these, the machines whose clearance ends before the chart does, each with its last day.
    """

    name: Name
    cleared: frozenset[int]
    last_days: tuple[tuple[int, date], ...] = ()


@dataclass(frozen=True)
class WallChart:
    """One class's matrix as a poster. Only the full wheel prints; any other standing is blank: blank means no."""

    scope: str
    machines: tuple[str, ...]
    rows: tuple[ChartRow, ...]
    printed: date
    valid_until: date | None
    code: str
    url: str
    notes: tuple[str, ...] = ()  # what must be known of some columns, below the key
    demo: bool = False
    numbers: tuple[int, ...] = ()  # painted on the machines, where they are not 1, 2, 3 ...
    tagged_out: tuple[tuple[int, TagOutNote], ...] = ()  # places in `machines`: their columns are barred and blank

    @property
    def ends_early(self) -> bool:
        """Whether a wheel carries a day of its own."""
        return any(row.last_days for row in self.rows)

    @property
    def out_notes(self) -> tuple[str, ...]:
        """One sentence a machine that is out of use, below the matrix."""
        named, lines = self.numbered, []
        for place, note in self.tagged_out:
            number, name = named[place]
            since = _("{word} since {day}", word=_(note.word).lower(), day=written_day(note.since))
            lines.append(
                _(
                    "{number} {machine}: {state}. {reason}. No one may use it. Its column stays blank until a new "
                    "chart is printed.",
                    number=number,
                    machine=name,
                    state=since,
                    reason=note.reason.rstrip("."),
                )
            )
        return tuple(lines)

    @property
    def footnotes(self) -> tuple[str, ...]:
        dated = (_("A date under a wheel is its last day. After that day: no."),) if self.ends_early else ()
        return (*dated, *self.out_notes, *self.notes)

    @property
    def numbered(self) -> list[tuple[int, str]]:
        """The number over each column, and what the key says of it: the machine without its number."""
        numbers = self.numbers or range(1, len(self.machines) + 1)
        return [(number, name.removesuffix(f" {number}")) for number, name in zip(numbers, self.machines, strict=True)]


@dataclass(frozen=True)
class Slip:
    """How one student gets in the first time."""

    name: str
    sign_in_name: str
    slip_code: str
    url: str  # the QR code's address


@dataclass(frozen=True)
class Slips:
    """A class's sign-in slips, in the given order. `address` is typed where no camera is at hand."""

    scope: str
    address: str
    slips: tuple[Slip, ...]
    printed: date
    demo: bool = False
    school: str = field(default="")
