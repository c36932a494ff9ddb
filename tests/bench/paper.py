"""Speed of prints beside their floor: another library drawing the same words, lines and squares from the same fonts.

    python -m tests.bench.paper [--rounds 5] [--evidence 150]

Prints one JSON object: for each print the median of the ratios of rounds in which floor and real thing take turns
(A B B A), in seconds of the processor, so that a busy neighbor counts for neither; and for a set of evidence files
what the server and the press held at most. Figures of one run can be compared with each other alone.
"""

import argparse
import json
import os
import resource
import statistics
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

AT = datetime(2026, 10, 14, 15, 0, tzinfo=UTC)
MM_PER_PT = 25.4 / 72
MACHINES = tuple(f"{name} {number}" for number, name in enumerate(("Drill press", "Band saw", "Scroll saw") * 6, 1))[
    :16
]


# --- what is printed -------------------------------------------------------------------------------------------------


def card(number: int = 2) -> Any:
    from tests.paper.people import people
    from tests.paper.sheets.test_wall_card import CARD

    return replace(CARD, machine=f"Band saw {number}", names=people(14))


def chart() -> Any:
    from shopsafe.paper.rules.sheets import ChartRow, WallChart
    from tests.paper.people import people

    rows = tuple(
        ChartRow(name, frozenset(place for place in range(16) if (place * 7 + index) % 3))
        for index, name in enumerate(people(36))
    )
    return WallChart(
        scope="Period 3, Grade 7 Wood", machines=MACHINES, rows=rows, printed=date(2026, 10, 14),
        valid_until=date(2026, 12, 18), code="7K3D-QV", url="HTTP://127.0.0.1:8000/C/7K3D-QV",
    )  # fmt: skip


def record(entries: int = 40) -> dict[str, Any]:
    """An evidence file as the logbook gives it: a term of attempts and sign-offs of one student."""
    questions = [
        {"number": n, "asks": f"What do you look at before step {n}?", "shown": ["The guard", "The blade", "The floor"],
         "answered": ["The guard"], "right": True}
        for n in range(1, 9)
    ]  # fmt: skip
    records = []
    for seq in range(1, entries + 1):
        payload = {"student": {"id": 1, "name": "Amira Kowal"}, "by": {"id": 2, "name": "Ms Falkenrath"}}
        if seq % 4:
            payload |= {"machine": {"id": 3, "name": "Band saw 2"}, "points": ["Sets the guard", "Hands in sight"] * 2}
        else:
            payload |= {"bank": {"id": 4, "name": "Band saw"}, "questions": questions}
        kind = "signoff.made" if seq % 4 else "attempt.handed_in"
        at = f"2026-10-{seq % 28 + 1:02}T15:00:00Z"
        records.append({"seq": seq, "kind": kind, "at": at, "hash": "ab" * 32, "payload": json.dumps(payload)})
    return {"entries": records, "checkpoint": {"size": 9999, "root": "cd" * 32, "at": "2026-11-25T15:00:00Z"}}


# --- the floor: fpdf2 ------------------------------------------------------------------------------------------------


class Bare:
    """A page of fpdf2 with our fonts, on which text is put at a place in millimeters."""

    def __init__(self, width: float, height: float) -> None:
        from fpdf import FPDF

        from shopsafe.paper.fonts import FONTS

        self.pdf = FPDF(unit="mm", format=(width, height))
        self.pdf.set_auto_page_break(False)
        for name, file in {"names": "BarlowSemiCondensed-SemiBold", "heading": "BarlowSemiCondensed-Bold",
                           "reading": "AtkinsonHyperlegible-Regular"}.items():  # fmt: skip
            self.pdf.add_font(name, "", FONTS / f"{file}.ttf")

    def text(self, x: float, y: float, text: str, size: float, font: str = "names") -> None:
        self.pdf.set_font(font, size=size / MM_PER_PT)
        self.pdf.text(x, y, text)

    def square(self, x: float, y: float, url: str) -> None:
        import segno

        for row, line in enumerate(segno.make(url, error="q", micro=False, boost_error=False).matrix):
            for column, dark in enumerate(line):
                if dark:
                    self.pdf.rect(x + column, y + row, 1, 1, style="F")

    def lines(self, high: float, text: str) -> None:
        self.pdf.multi_cell(0, high, text, new_x="LMARGIN", new_y="NEXT")

    def done(self) -> bytes:
        return bytes(self.pdf.output())


def bare_card(on: Bare, plan: Any) -> None:
    card, measures = plan.measures.card, plan.measures
    for sheet in plan.sheets:
        on.pdf.add_page()
        on.text(10, 30, card.machine.upper(), measures.title, "heading")
        on.pdf.line(10, 34, 205, 34)
        on.text(21, 42, "Only these people may use it", 6.8, "heading")
        for column, names in enumerate(sheet.columns):
            for row, name in enumerate(names):
                on.text(10 + column * 90, 56 + row * plan.name_size, name, plan.name_size)
        for number, line in enumerate((card.stop, *card.pre_use, *card.rules, *card.stop_and_ask, *card.protect)):
            on.text(10, 170 + number * 4, line, measures.size, "reading")
        for number, line in enumerate(
            (card.scope, card.code, "October 14, 2026", "December 18, 2026", "Reads from 3 m")
        ):
            on.text(10 + number * 30, 266, line, 4.2)
            on.pdf.rect(10 + number * 30, 258, 30, 10)
        on.square(172, 236, card.url)


def bare_chart(chart: Any, plan: Any) -> bytes:
    on = Bare(plan.paper.width, plan.paper.height)
    cell = (plan.wide - plan.name_column) / len(chart.machines)
    named = plan.heads.size if plan.heads.names else plan.heads.key_size  # machines, in their heads or in a key below
    for sheet in plan.sheets:
        on.pdf.add_page()
        on.text(14, 24, chart.scope, plan.title, "heading")
        for number in range(len(chart.machines)):
            on.text(14 + plan.name_column + number * cell, 44, str(number + 1), plan.size, "heading")
        for row, (name, cells) in enumerate(sheet.rows, 1):
            y = 44 + row * plan.row
            on.text(14, y, name, plan.size)
            on.pdf.line(14, y + 2, 14 + plan.wide, y + 2)
            for number, cleared in enumerate(cells):
                if cleared:
                    on.pdf.circle(14 + plan.name_column + (number + 0.5) * cell, y - 4, plan.wheel / 2, style="F")
        for number, machine in enumerate(chart.machines):
            on.text(14 + number % 4 * 60, plan.high - 20 + number // 4 * 6, machine, named)
        on.square(plan.wide - 20, plan.high - 20, chart.url)
    return on.done()


def bare_evidence(whole: dict[str, Any]) -> bytes:
    on = Bare(215.9, 279.4)
    on.pdf.set_auto_page_break(True, 20)
    on.pdf.add_page()
    for entry in whole["entries"]:
        payload = json.loads(entry["payload"])
        on.pdf.set_font("names", size=11)
        on.lines(5, f"{entry['kind']} Amira Kowal on band saw 2 by Ms Falkenrath {entry['hash']}")
        on.pdf.set_font("reading", size=10)
        for question in payload.get("questions", ()):
            text = f"{question['number']}. {question['asks']}\nShown: {'; '.join(question['shown'])}\nAnswered: right"
            on.lines(4.6, text)
        for point in payload.get("points", ()):
            on.lines(4.6, point)
    return on.done()


# --- side by side ----------------------------------------------------------------------------------------------------


def pairs() -> Iterator[tuple[str, float, Callable[[], Any], Callable[[], Any]]]:
    """Name, the ratio that is aimed at, the floor, and the real thing."""
    from shopsafe.paper import prints
    from shopsafe.paper.codes import qr_side_mm
    from shopsafe.paper.rules.card_plan import plan_card
    from shopsafe.paper.rules.chart_plan import plan_chart
    from shopsafe.paper.rules.sheets import LETTER, TABLOID
    from shopsafe.paper.setting import faces

    single_card, many, matrix = card(), [card(number) for number in range(1, 15)], chart()
    side = qr_side_mm(single_card.url)
    planned = plan_card(single_card, [LETTER], faces(), qr_side=side)
    charted = plan_chart(matrix, TABLOID, faces(), qr_side=side)

    def cards(count: int) -> bytes:
        on = Bare(215.9, 279.4)
        for _ in range(count):
            bare_card(on, planned)
        return on.done()

    yield "wall card", 2, lambda: cards(1), lambda: prints.wall_card(single_card, LETTER)
    yield "14 cards in one file", 7, lambda: cards(14), lambda: prints.wall_cards(many, LETTER)
    yield "wall chart", 6, lambda: bare_chart(matrix, charted), lambda: prints.wall_chart(matrix, TABLOID)


def evidence_pdf(whole: dict[str, Any], number: int = 1) -> bytes:
    from machines.evidence.file import as_pdf
    from shopsafe.school.models import Person, School

    school = School(pk=1, name="Alderbeck School", time_zone="America/Chicago")
    student = Person(pk=number, name=f"Amira Kowal {number}", local_id=f"{number:06}", school=school)
    return as_pdf(whole, student, AT)


def seconds(deed: Callable[[], Any]) -> float:
    start = time.process_time()
    deed()
    return time.process_time() - start


def ratio(floor: Callable[[], Any], real: Callable[[], Any], rounds: int) -> dict[str, float]:
    turns = [(seconds(floor), seconds(real), seconds(real), seconds(floor)) for _ in range(rounds)]
    return {
        "ratio": round(statistics.median((b + c) / (a + d) for a, b, c, d in turns), 2),
        "floor_ms": round(statistics.median((a + d) * 500 for a, _, _, d in turns), 1),
        "real_ms": round(statistics.median((b + c) * 500 for _, b, c, _ in turns), 1),
    }


def zipped(make: Callable[[int], bytes], count: int, file: Path) -> None:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        for number in range(count):
            archive.writestr(f"{number:03}.pdf", make(number))


def held_mb() -> dict[str, int]:
    """What this process and the largest of those it started have held at most."""
    own, started = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return {"server_mb": own.ru_maxrss // 1024, "press_mb": started.ru_maxrss // 1024}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--evidence", type=int, default=150)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"SHOPSAFE_VAR": folder, "DJANGO_SETTINGS_MODULE": "shopsafe.settings"}
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from django.conf import settings

        from shopsafe.paper.press.render import press

        settings.PRINT_APART = False  # one process, whose time is counted
        figures: dict[str, Any] = {}
        for name, most, floor, real in pairs():
            floor(), real()  # both have read their fonts
            figures[name] = ratio(floor, real, options.rounds) | {"at_most": most}
        whole, file = record(), Path(folder) / "set.zip"
        few = 10
        figures["evidence files"] = ratio(
            lambda: zipped(lambda _: bare_evidence(whole), few, file),
            lambda: zipped(lambda number: evidence_pdf(whole, number), few, file),
            max(options.rounds // 2, 1),
        ) | {"files": few, "at_most": 11}
        settings.PRINT_APART = True
        zipped(lambda number: evidence_pdf(whole, number), options.evidence, file)
        press().stop()
        figures[f"{options.evidence} evidence files"] = held_mb() | {
            "zip_mb": file.stat().st_size >> 20,
            "at_most": 200,
        }
    json.dump(figures, sys.stdout, indent=2)


if __name__ == "__main__":
    main()
