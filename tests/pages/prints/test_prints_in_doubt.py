"""A quiz has a new edition that no teacher has accepted: every sheet that names anyone says so."""

from dataclasses import replace
from datetime import timedelta

import pytest

from machines.prints.queries import hanging_in
from machines.prints.sheets.handouts import pocket_card, pocket_cards
from machines.prints.sheets.substitute import substitute_sheet
from machines.prints.sheets.wall import ShopSnapshot, shop_snapshot
from quizzes.models import Acceptance, Edition
from shopsafe.paper import handouts, prints
from shopsafe.paper.rules.sheets import A4, LETTER, TABLOID
from tests.factories.machines import NOON, EditionFactory, Floor, passed, signed
from tests.factories.prints import chart_hung, hung
from tests.factories.substitutes import granted, with_number
from tests.paper import looking
from tests.paper.people import people

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(hours=1)
RULES = "he quiz “Band saw” has rules no teacher has accepted yet (edition 2)."
URL = "HTTP://127.0.0.1:8000/C/7K3D-QV"


@pytest.fixture
def cleared(floor: Floor) -> Floor:
    """The student may use band saw 2 and drill press 1."""
    student = floor.cast.student
    floor.make_cleared(student)
    passed(student, floor.drill.bank)
    signed(student, floor.drill_1, floor.cast.teacher)
    return floor


def out(floor: Floor, *, count: bool = True) -> ShopSnapshot:
    """The shop after edition 2 of the band saw's quiz came out; `count` is whether a pass on the first still counts."""
    at = NOON + timedelta(minutes=1)
    EditionFactory(bank=floor.saw_bank, number=2, published_at=at, earlier_passes_count=count, accepted=False)
    return shop_snapshot(floor.cast.shop, LATER)


def said(pdf: bytes) -> str:
    return " ".join(looking.text(pdf).split())


def card_of(floor: Floor, snapshot: ShopSnapshot) -> str:
    return said(prints.wall_card(replace(snapshot.card(floor.saw_2, [floor.cast.section])[0], url=URL)).pdf)


def test_the_wall_card_keeps_its_names_and_says_why_they_stand(cleared: Floor) -> None:
    text = card_of(cleared, out(cleared))
    assert f"T{RULES} The names here passed edition 1, which still counts." in text
    assert cleared.cast.student.name in text


def test_the_wall_card_names_no_one_where_no_pass_counts(cleared: Floor) -> None:
    text = card_of(cleared, out(cleared, count=False))
    assert "No one may use it: rules not accepted yet" in text
    assert cleared.cast.student.name not in text
    assert "Added by hand" not in text


def test_a_card_without_names_says_who_may_be_added(cleared: Floor) -> None:
    card = out(cleared).card(cleared.saw_3, [cleared.cast.section])[0]
    assert card.note == f"T{RULES} No one may be added who has not passed edition 1, which still counts."


def test_unaffected_or_newly_approved_cards_have_no_note(cleared: Floor) -> None:
    snapshot = out(cleared)
    assert snapshot.card(cleared.drill_1)[0].note == ""
    edition = Edition.objects.get(bank=cleared.saw_bank, number=2)
    Acceptance.objects.create(school=cleared.cast.school, edition=edition, by=cleared.cast.teacher, at=LATER)
    assert shop_snapshot(cleared.cast.shop, LATER).card(cleared.saw_2)[0].note == ""


def test_the_chart_has_a_footnote_for_the_columns_with_wheels(cleared: Floor) -> None:
    snapshot = out(cleared)
    chart = replace(snapshot.chart(cleared.cast.section)[0], url=URL)
    at = [*map(str, snapshot.matrix.machines)].index("Band saw 2") + 1
    footnote = f"{at}: t{RULES} Wheels there stand for a pass on edition 1, which still counts."
    assert chart.notes == (footnote,)
    assert footnote in said(prints.wall_chart(chart, TABLOID).pdf)


def test_the_substitute_sheet_says_it_below_the_names(cleared: Floor) -> None:
    with_number(cleared.cast)
    granted(cleared.cast)
    sheet = substitute_sheet(out(cleared), cleared.cast.section)
    text = said(handouts.substitute_sheet(sheet).pdf)
    assert f"Band saw 2: t{RULES} These people passed edition 1, which still counts." in text
    assert text.index("May run") < text.index(RULES)


def test_the_substitute_sheet_names_no_one_where_no_pass_counts(cleared: Floor) -> None:
    sheet = substitute_sheet(out(cleared, count=False), cleared.cast.section)
    assert {machine.machine: machine.stays_off for machine in sheet.machines}["Band saw 2"] == "No one is cleared."
    assert sheet.about == ()


def test_a_pocket_card_marks_the_machine(cleared: Floor) -> None:
    snapshot = out(cleared)
    cards = [
        replace(pocket_card(snapshot, student)[0], url=URL)
        for student in (cleared.cast.student, cleared.cast.classmate)
    ]
    pdf = handouts.pocket_cards(pocket_cards(snapshot, cleared.cast.section, cards, backs=False)).pdf
    text = said(pdf)
    assert "Band saw 2 *" in text
    assert "Drill press 1 *" not in text
    assert text.count("* Newest rules not accepted yet; a pass on earlier ones counts.") == 1
    (last,) = (word for word in looking.words(pdf) if word.text == "counts.")
    assert last.x1 < LETTER.width / 2 - 3, "it ends on its card"


def test_posted_sheets_need_reprinting_until_the_rules_are_approved(cleared: Floor) -> None:
    hung(cleared)
    hung(cleared, cleared.drill_1)
    chart_hung(cleared)
    changed = {str(posted_print.of): posted_print.changes for posted_print in hanging_in(out(cleared))}
    assert changed == {"Band saw 2": ("Its words have changed",), "": ("Its words have changed",), "Drill press 1": ()}
    edition = Edition.objects.get(bank=cleared.saw_bank, number=2)
    Acceptance.objects.create(school=cleared.cast.school, edition=edition, by=cleared.cast.teacher, at=LATER)
    assert not any(posted_print.changes for posted_print in hanging_in(shop_snapshot(cleared.cast.shop, LATER)))


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.code)
def test_full_card_has_the_notice_above_the_names_without_overflow(cleared: Floor, paper: object) -> None:
    card = out(cleared).card(cleared.saw_2, [cleared.cast.section])[0]
    printed = prints.wall_card(replace(card, url=URL, names=people(30, long=True)), paper)  # type: ignore[arg-type]
    words = looking.words(printed.pdf)
    line = [word for word in words if word.text in ("accepted", "counts.")]
    names = [word for word in words if word.text.startswith(("Amira", "Zoë"))]
    assert line
    assert max(word.bottom for word in line) <= min(word.top for word in names)
    assert len(looking.page_sizes(printed.pdf)) == printed.sheets
