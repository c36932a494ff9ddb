"""Pocket cards, the substitute sheet, the safety agreement and rule posters, finished."""

import base64
from dataclasses import replace
from datetime import date

import pytest

from shopsafe.paper import fonts
from shopsafe.paper.rules.handout_sheets import (
    AgreementSheet,
    PocketCard,
    PocketCards,
    RulePoster,
    RulePosters,
    SubstituteClass,
    SubstituteMachine,
    SubstituteRow,
    SubstituteSheet,
)
from shopsafe.paper.rules.sheets import A3, A4, LETTER, TABLOID, Paper
from shopsafe.paper.substitute_plan import planned
from tests.paper import looking, once
from tests.paper.people import people
from tests.paper.sheets.test_wall_card import HOSTILE, clashes, reads_from
from tests.paper.sheets.test_wall_chart import MACHINES

DAY = date(2026, 11, 26)
BOTH = pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)


def inside(pdf: bytes, page: int, edge: float = 9.5) -> None:
    """Nothing off the page, nothing over anything else; the line in the lower margin stands by itself."""
    wide, high = looking.page_sizes(pdf)[page]
    words = [word for word in looking.words(pdf, page) if word.bottom < high - 8]
    assert min(word.x0 for word in words) >= edge
    assert max(word.x1 for word in words) <= wide - edge
    assert clashes(words) == []


# Pocket cards


def pockets(*counts: int, backs: bool = True) -> PocketCards:
    cards = [
        PocketCard(name.full, tuple(MACHINES[:count]), date(2026, 12, 18), f"7K3D-{n:02}", f"HTTP://X.EXAMPLE/C/{n:02}")
        for n, (name, count) in enumerate(zip(people(len(counts)), counts, strict=True))
    ]
    return PocketCards("Period 3, Grade 7 Wood", "Alderbeck School", tuple(cards), DAY, backs=backs)


SOME = pockets(2, 1, 5, 8, 16)


@BOTH
def test_pocket_cards_name_what_each_student_may_use(paper: Paper) -> None:
    printed = once.pocket_cards(SOME, paper)
    text = looking.text(printed.pdf)
    assert printed.sheets == 2 == len(looking.page_sizes(printed.pdf))
    assert text.count(MACHINES[0]) == 5
    assert text.count(MACHINES[15]) == 1
    sizes = {round(word.size, 3) for word in looking.words(printed.pdf) if word.text in ("Band", "Miter")}
    assert len(sizes) == 1, "one size for all cards"
    for card in SOME.cards:
        assert card.name in text
        assert text.count(card.code) == 2, "on the front and on the back"
    inside(printed.pdf, 0)
    inside(printed.pdf, 1)


@pytest.mark.parametrize(("paper", "sheets"), [(LETTER, 2), (A4, 1)], ids=["letter", "a4"])
def test_eight_pocket_cards_stand_on_letter_and_ten_on_a4(paper: Paper, sheets: int) -> None:
    assert once.pocket_cards(pockets(*[2] * 10, backs=False), paper).sheets == sheets


@BOTH
def test_a_back_meets_its_front_when_the_sheet_is_turned(paper: Paper) -> None:
    """Turned on the long edge, left and right change places."""
    pdf = once.pocket_cards(SOME, paper).pdf
    wide = looking.page_sizes(pdf)[0][0]
    words = looking.words(pdf, 0)
    cards = {word.text: word for word in words if word.text in ("7K3D-00", "7K3D-01", "7K3D-03")}
    for code, front in cards.items():
        back = next(word for word in looking.words(pdf, 1) if word.text == code)
        assert (front.x0 < wide / 2) != (back.x0 < wide / 2)
        assert back.top == pytest.approx(front.top, abs=1)


@BOTH
def test_the_codes_of_the_backs_scan(paper: Paper) -> None:
    assert set(looking.codes(once.pocket_cards(SOME, paper).pdf, 1)) == {card.url for card in SOME.cards}


def test_pocket_card_says_the_last_day_of_a_machine_that_ends_earlier() -> None:
    cards = [replace(card, dated=("Edger 9, to 4 Dec",)) for card in SOME.cards[:2]]
    sheet = replace(SOME, cards=tuple(cards), without=("Ennis Ash", "Oda Birk"))
    text = looking.text(once.pocket_cards(sheet).pdf)
    assert text.count("Edger 9, to 4 Dec") == 2
    assert "No card yet: 2" in text
    assert "Ennis Ash" not in text


def test_pocket_cards_have_the_size_of_a_bank_card() -> None:
    """85.6 by 53.98 mm [ISO/IEC 7810, ID-1]: the names of two columns and two rows stand that far apart."""
    words = looking.words(once.pocket_cards(SOME, LETTER).pdf)
    codes = [word for word in words if word.text.startswith("7K3D-")]
    assert codes[1].x1 - codes[0].x1 == pytest.approx(85.6, abs=0.5)
    assert codes[2].top - codes[0].top == pytest.approx(53.98, abs=0.1)


@pytest.mark.parametrize(
    ("school", "shown"), [("Cedar Fork Consolidated High School", True), ("Cedar Fork " * 9, False)]
)
def test_class_and_school_stay_on_the_card(school: str, shown: bool) -> None:
    """The line ends before the card in the next column begins."""
    cards = replace(pockets(1, 1, backs=False), scope="Period 3, Grade 9 Wood", school=school)
    words = looking.words(once.pocket_cards(cards).pdf)
    assert any(word.text == "Cedar" for word in words) is shown
    [name] = [word for word in words if word.text == cards.cards[1].name.split()[0]]
    first = [word for word in words if word.x0 < name.x0 - 2 and name.top <= word.top < name.top + 45]
    assert max(word.x1 for word in first) <= name.x0 - 8


# Substitute sheet

FULL = tuple(name.full for name in people(36))
CLASS = SubstituteClass(
    name="Period 3, Grade 7 Wood",
    students=14,
    rows=(SubstituteRow("Band saw 2", FULL[:9]), SubstituteRow("Drill press 1 and 2", FULL[:14])),
    when="10:05 to 10:50",
    granted=("Signe Dahl",),
    work=("Box lids: drill the hinge holes.",),
)
SUBSTITUTE = SubstituteSheet(
    scope="Period 3, Grade 7 Wood",
    shop="Room W2",
    day=DAY,
    machines=(
        SubstituteMachine("Band saw 2", FULL[:9]),
        SubstituteMachine("Drill press 1", FULL[:14]),
        SubstituteMachine("Drill press 2", FULL[:14]),
        SubstituteMachine("Scroll saw 4", (), "Tagged out: blade guard cracked."),
        SubstituteMachine("Jointer 9", (), "No one is cleared."),
    ),
    call=("Office: 204", "Nurse: 118"),
    notes=("Jo L. works at the bench this week.",),
    runs=True,
    printed=DAY,
    teachers=("Odile Ferrant",),
    classes=(CLASS,),
    holds=("Abel Moor, Period 3, Grade 7 Wood: every machine",),
    verdict="Band saw 2, Drill press 1 and 2",
)


def in_columns(pdf: bytes) -> str:
    """The words of the first sheet, one column after the other."""
    return " ".join(word.text for word in looking.words(pdf))


LONG = "Tagged out: the guard of the blade is cracked at its hinge and the new one has not come from the maker yet."
CROWDED = (
    [SubstituteRow(f"Drill press {n}", FULL[:9]) for n in range(6)],
    [SubstituteRow(f"Drill press {n}", FULL[:20]) for n in range(3)],
    [SubstituteRow("Oscillating spindle sander 4 by the window", FULL[:2]) for _ in range(8)],
)


def with_rows(rows: list[SubstituteRow], off: int = 0, **more: object) -> SubstituteSheet:
    stays_off = tuple(SubstituteMachine(f"Jointer {n}", (), LONG) for n in range(off))
    of = replace(CLASS, rows=tuple(rows))
    return replace(SUBSTITUTE, machines=(*SUBSTITUTE.machines[:1], *stays_off), classes=(of,), **more)


@BOTH
@pytest.mark.parametrize("rows", CROWDED, ids=["machines", "names", "long machines"])
def test_as_large_as_one_page_lets_it(rows: list[SubstituteRow], paper: Paper) -> None:
    notes = ("Jo L. works at the bench this week, and no one else there.",) * 2
    sheet = with_rows(rows, off=1, notes=notes)
    printed = once.substitute_sheet(sheet, paper)
    assert printed.sheets == 1
    inside(printed.pdf, 0)
    fuller = with_rows([*rows, *rows[:2]], off=1, notes=notes)
    assert planned(fuller, paper).flows or planned(fuller, paper).size < planned(sheet, paper).size


@BOTH
def test_the_substitute_reads_who_may_run_what_and_what_stays_off(paper: Paper) -> None:
    printed = once.substitute_sheet(SUBSTITUTE, paper)
    text = in_columns(printed.pdf)
    assert printed.sheets == 1
    assert "Thursday, 26 November 2026" in text
    assert "May run: Band saw 2, Drill press 1 and 2. All other machines stay off" in text
    for name in FULL[:14]:
        assert name in text
    for part in (
        "for Odile Ferrant", "10:05 to 10:50, 14 students, supervised by Signe Dahl", "Work Box lids: drill",
        "Abel Moor, Period 3, Grade 7 Wood: every machine", "Scroll saw 4: Tagged out: blade guard cracked.",
        "Nurse: 118", "26 November 2026 only", "Follow the shop rules",
    ):  # fmt: skip
        assert part in text
    assert text.index("May run") < text.index(FULL[0]) < text.index("Keep off") < text.index("Nurse: 118")
    assert reads_from(printed.pdf) == printed.reads >= 1
    inside(printed.pdf, 0)


@pytest.mark.parametrize(("count", "names"), [(1, 30), (2, 14), (4, 6)])
def test_a_full_shop_still_stands_on_one_page(count: int, names: int) -> None:
    rows = (SubstituteRow("Band saw 2", FULL[:names]), SubstituteRow("Drill press 1 and 2", FULL[1 : names + 1]))
    classes = tuple(replace(CLASS, name=f"Period {n}", rows=rows, work=()) for n in range(count))
    printed = once.substitute_sheet(replace(SUBSTITUTE, classes=classes), LETTER)
    assert printed.sheets == 1
    inside(printed.pdf, 0)


def test_four_full_classes_follow_what_a_substitute_needs_first() -> None:
    """Each name reads as far on the later sheets, no class is parted, and each sheet says what it is of."""
    rows = tuple(SubstituteRow(f"Band saw {n}", FULL[:14]) for n in range(5))
    classes = tuple(replace(CLASS, name=f"Period {n}", rows=rows, work=()) for n in range(4))
    printed = once.substitute_sheet(replace(SUBSTITUTE, classes=classes), LETTER)
    sheets = [" ".join(word.text for word in looking.words(printed.pdf, number)) for number in range(printed.sheets)]
    assert len(sheets) == 3
    for part in ("May run", "Scroll saw 4: Tagged out", "Nurse: 118", "Only a name on this sheet", "Period 0"):
        assert part in sheets[0]
    for number, text in enumerate(sheets, 1):
        assert f"26 November 2026 only Printed 26 November 2026 Distance Reads from {printed.reads:g} m" in text
        assert f"Page {number} of 3" in text
        assert all(text.count(f"Period {n} ") <= 1 for n in range(4))
    for n in range(4):
        [whole] = [text for text in sheets if f"Period {n} 10:05" in text]
        assert all(f"Band saw {row}" in whole for row in range(5))


def test_where_no_machine_runs_none_is_named() -> None:
    quiet = replace(CLASS, rows=(), runs=False, granted=())
    text = in_columns(once.substitute_sheet(replace(SUBSTITUTE, runs=False, classes=(quiet,)), LETTER).pdf)
    assert "No machine runs today." in text
    assert "No machine runs. Work Box lids" in text
    assert "No one turns on a machine" in text
    assert "Only a name on this sheet" not in text
    assert "Band saw" not in text
    assert "Amira" not in text


def test_sheet_without_a_number_has_a_line_to_write_it_on() -> None:
    text = in_columns(once.substitute_sheet(replace(SUBSTITUTE, call=("The office",), has_number=False)).pdf)
    assert "The office Number:" in text


def test_more_than_a_page_says_which_sheet() -> None:
    printed = once.substitute_sheet(with_rows([SubstituteRow(machine, FULL) for machine in MACHINES]), LETTER)
    assert printed.sheets >= 2
    assert f"{printed.sheets} of {printed.sheets}" in looking.text(printed.pdf)
    for page in range(printed.sheets):
        inside(printed.pdf, page)


# Safety agreement

RULES = tuple(f"Rule number {n}, which says what to do and what not to do in the shop." for n in range(1, 15))
AGREEMENT = AgreementSheet(
    school="Alderbeck School",
    shop="Room W2",
    year="2026–27",
    intro="Please read this together.",
    rules=RULES,
    promise="I will keep the rules.",
    guardian="I have read the rules with my child.",
    students=(),
    printed=DAY,
)


@BOTH
def test_the_agreement_has_every_rule_and_lines_for_two_signatures(paper: Paper) -> None:
    printed = once.agreement(AGREEMENT, paper)
    text = looking.text(printed.pdf)
    assert printed.sheets == 1
    for rule in RULES:
        assert rule in text
    assert text.count("Signature") == text.count("Date") == 2
    inside(printed.pdf, 0)


def test_each_student_gets_a_sheet_of_their_own() -> None:
    names = tuple(person.full for person in people(3))
    pdf = once.agreement(replace(AGREEMENT, students=names), LETTER).pdf
    assert [name in " ".join(word.text for word in looking.words(pdf, page)) for page, name in enumerate(names)] == [
        True
    ] * 3


@pytest.mark.parametrize(("name", "printed"), [("Period 3, Grade 7 Wood", True), ("W" * 80, False)])
def test_the_class_stands_on_its_line_unless_it_is_too_long_for_it(name: str, printed: bool) -> None:
    pdf = once.agreement(replace(AGREEMENT, students=("Ennis Ash",), class_name=name)).pdf
    assert (name in looking.text(pdf)) is printed
    inside(pdf, 0)


# Rule posters

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 360" width="480" height="360">'
    '<path d="M0 0h480v360z"/></svg>'
)
PICTURE = "data:image/svg+xml;base64," + base64.b64encode(SVG.encode()).decode()
FINGERS = RulePoster(
    subject="Band saw",
    rule="Keep fingers to the sides of the cut, well back from the blade.",
    why="It does not stop for a finger.",
    picture=PICTURE,
    picture_alt="Two hands at the sides of a cut",
)
HAIR = RulePoster("General shop safety", "Tie long hair back.", "One loose strand is enough for a spindle to catch.")
POSTERS = RulePosters((FINGERS, HAIR), DAY, "Rule posters: Band saw")


@pytest.mark.parametrize("paper", [LETTER, A4, TABLOID, A3], ids=lambda paper: paper.code)
def test_a_poster_holds_one_rule_whole_and_large(paper: Paper) -> None:
    printed = once.rule_posters(POSTERS, paper)
    text = looking.text(printed.pdf)
    assert printed.sheets == 2 == len(looking.page_sizes(printed.pdf))
    for poster in POSTERS.posters:
        assert poster.rule in text
        assert poster.why in text
    assert printed.reads >= 3
    inside(printed.pdf, 0)
    inside(printed.pdf, 1)


def test_the_rule_is_inked_as_high_as_its_poster_says() -> None:
    printed = once.rule_posters(POSTERS, LETTER)
    pdf = printed.pdf
    largest = max(looking.words(pdf, 0), key=lambda word: word.size)
    assert largest.text == "Keep"
    letter = fonts.heading_font().advances[ord("K")] / 1000
    ink = looking.ink_height(looking.raster(pdf, 0, 300), 300, largest, letter * largest.size)
    assert printed.reads * 1000 / 300 - 0.1 <= ink < (printed.reads + 0.1) * 1000 / 300 + 0.1


# All of them


@pytest.mark.parametrize(
    ("pdf", "title"),
    [
        (lambda: once.pocket_cards(SOME).pdf, "Pocket cards: Period 3, Grade 7 Wood"),
        (lambda: once.substitute_sheet(SUBSTITUTE).pdf, "Substitute sheet: Period 3, Grade 7 Wood"),
        (lambda: once.agreement(AGREEMENT).pdf, "Safety agreement 2026–27: Room W2"),
        (lambda: once.rule_posters(POSTERS).pdf, "Rule posters: Band saw"),
    ],
    ids=["pocket", "substitute", "agreement", "poster"],
)
def test_is_tagged_with_title_language_and_alternatives(pdf: object, title: str) -> None:
    document = pdf()  # type: ignore[operator]
    structure = looking.structure(document)
    assert (structure["title"], structure["lang"], structure["ua"], structure["silent_figures"]) == (
        title,
        "en",
        "1",
        0,
    )
    assert structure["tags"]["/H1"] >= 1
    assert looking.qpdf_complaints(document) == ""


def test_hostile_texts_stay_text() -> None:
    poster = RulePoster(HOSTILE, HOSTILE, HOSTILE)
    card = PocketCard(HOSTILE, (HOSTILE,), DAY, "C", "U")
    documents = [
        once.rule_posters(RulePosters((poster,), DAY, HOSTILE)).pdf,
        once.agreement(replace(AGREEMENT, intro=HOSTILE, students=(HOSTILE,))).pdf,
        once.substitute_sheet(replace(SUBSTITUTE, call=(HOSTILE,), notes=(HOSTILE,))).pdf,
        once.pocket_cards(PocketCards(HOSTILE, HOSTILE, (card,), DAY)).pdf,
    ]
    for pdf in documents:
        assert "alert(1)" in looking.text(pdf).replace(" ", "")
        assert b"/EmbeddedFile" not in pdf
