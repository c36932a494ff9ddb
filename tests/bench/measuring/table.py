"""Prints the table of README.md out of what the other benches measured.

    python -m tests.bench.measuring.table [FOLDER]        FOLDER is var/bench if not given; `make bench` fills it

A line over its aim says in one sentence what the time is. A bench that has not run yet is left out, and named.
"""

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

GROWTH_AIM = 1.3  # of a page in the largest district, beside the smallest


@dataclass(frozen=True)
class Line:
    """One figure: the bench that gives it, its place in the bench's JSON, its floor, and the aim of the ratio.

    spent  what the time is, given where the aim is missed
    """

    what: str
    bench: str
    place: tuple[str, ...]
    floor: str
    aim: float | None = None
    spent: str = ""

    def ratio(self, figures: Any) -> float:
        for key in self.place:
            figures = figures[key]
        return float(figures["ratio"])


LINES = (
    Line("saving one answer", "saving", ("save one answer",), "a bare Django view that does as little", 1.2),
    Line(
        "handing in a quiz",
        "bare.pressing",
        ("handing in",),
        "a bare Django view that reads as much, and writes a result and a record",
        1.2,
        "A quarter finds the attempt among the student's own, a sixth locks student and attempt and reads them "
        "again, a fifth grades, writes the entry of the logbook and counts for the figures; the rest is what the "
        "floor does too.",
    ),
    Line(
        "signing off a student",
        "bare.pressing",
        ("signing off",),
        "a bare Django view that reads machine and student, and writes two rows",
        1.2,
        "A third finds machine, student and namesakes among what the teacher may reach; a third asks again under "
        "the lock who may sign off, the term, tag-outs and whether the student is ready, which the floor does not; "
        "the rest are tap, sign-off, entry and the commit.",
    ),
    Line("signing in", "bare.pressing", ("signing in",), "a bare Django view with the same hash of the code", 1.2),
    Line(
        "signing in, without the hash",
        "bare.pressing",
        ("signing in, without the hash",),
        "the same",
        1.2,
        "Three commits where the floor has two: wrong codes are counted under a lock before the session begins. Ended "
        "sessions and old counts are looked for, too.",
    ),
    Line(
        "who may use what: a class of 32 at 40 machines",
        "clearance",
        ("class 32 x 40",),
        "four SQL queries and sets",
        6,
        "A quarter is people and machines, which the floor is handed; a third reads passes, sign-offs, documents and "
        "holds; a third is the rule.",
    ),
    Line(
        "the same for a school of 800",
        "clearance",
        ("school 800 x 40",),
        "the same",
        2,
        "Half reads the rows, of which the floor makes sets without looking at one; a quarter is the rule; the rest "
        "are 800 people by name, and the counts.",
    ),
    Line(
        "`logbook verify`",
        "logbook",
        ("verify",),
        "reading the same rows",
        2.5,
        "A third reads the rows, a fifth compares what the logbook is searched by, a fifth reduces entries and records "
        "to facts that are compared, a sixth is the chain and its tree, a tenth reads JSON.",
    ),
    Line(
        "an entry of the logbook",
        "logbook",
        ("append_50",),
        "writing and syncing as many bytes",
        1.5,
        "It reads the entry before, and writes the entry, its body, its place in the list and its subjects.",
    ),
    Line("a wall card", "paper", ("wall card",), "fpdf2 drawing the same, without tags", 2),
    Line(
        "14 wall cards in one file",
        "paper",
        ("14 cards in one file",),
        "the same",
        7,
        "Two fifths lay out text and boxes, a quarter draws (half of that codes and pictograms, which are vectors), a "
        "fifth works out styles; the rest plans sizes and writes. The floor puts words at places handed to it.",
    ),
    Line(
        "a wall chart of 36 students",
        "paper",
        ("wall chart",),
        "the same",
        6,
        "Two fifths lay out a table of 600 cells, a tenth each reads its HTML, works out styles, draws, and writes and "
        "tags; the floor draws lines and circles at places that are given.",
    ),
    Line("ten evidence files", "paper", ("evidence files",), "the same", 11),
    Line(
        "a form of 20 from 400",
        "forms",
        ("first form, 20 of 400",),
        "`random.sample` by stratum",
        20,
        "Questions are drawn by what the student saw and missed, and their answers shuffled; the floor draws names.",
    ),
    Line(
        "saving while seven screens watch a floor: 95th percentile of 36 students, no error",
        "watching",
        ("saves beside a watched floor",),
        "the same without the screens",
        2,
        "Two workers answer both: a save waits for the floor page that is being made.",
    ),
    Line(
        "a backup of 200 MB while another process writes",
        "backup",
        ("backup of 200 MB beside a writer",),
        "copying the file",
    ),
)


def rows(folder: Path) -> Iterator[str]:
    yield "| what | command | floor | ratio | aim |"
    yield "|---|---|---|---|---|"
    for line in LINES:
        file = folder / f"{line.bench}.json"
        if file.exists():
            yield row(line, json.loads(file.read_text()))


def row(line: Line, figures: Any) -> str:
    ratio = line.ratio(figures)
    entries = f" of {figures['entries']:,} entries" if line.place == ("verify",) else ""
    shown = f"{ratio:.2f}" if ratio < 10 else f"{ratio:.0f}"
    if line.aim is not None and ratio > line.aim:
        shown = f"{shown}, over the aim. {line.spent}".rstrip()
    aim = "none yet" if line.aim is None else f"{line.aim:g}"
    return f"| {line.what}{entries} | `python -m tests.bench.{line.bench}` | {line.floor} | {shown} | {aim} |"


def growth(folder: Path) -> str:
    """The pages in one sentence: how the slowest growth compares, and which pages grow more than is aimed at."""
    file = folder / "district.json"
    if not file.exists():
        return ""
    by_size = {int(size): pages for size, pages in json.loads(file.read_text()).items()}
    small, large = min(by_size), max(by_size)
    ratios = {
        page: by_size[large][page]["ms"] / by_size[small][page]["ms"] for page in by_size[small] if page != "seeded"
    }
    most = max(ratios, key=ratios.__getitem__)
    over = ", ".join(f"{page} {ratio:.2f}" for page, ratio in ratios.items() if ratio > GROWTH_AIM)
    sentence = (
        f"{len(ratios)} pages and acts in {large} % of a district beside {small} %: at most {ratios[most]:.2f} times"
    )
    missed = f", missed by {over}" if over else ""
    return f"{sentence} ({most}); aim {GROWTH_AIM}{missed}. `python -m tests.bench.district`"


def main() -> None:
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "var/bench")
    print("\n".join(rows(folder)))
    if sentence := growth(folder):
        print(f"\n{sentence}")
    if missing := sorted({line.bench for line in LINES if not (folder / f"{line.bench}.json").exists()}):
        print(f"\nNot measured yet: {', '.join(missing)}.", file=sys.stderr)


if __name__ == "__main__":
    main()
