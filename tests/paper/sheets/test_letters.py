"""A text that no font here can draw is reported before it is printed, with the name and the letters."""

from dataclasses import replace
from typing import Any

import pytest

from shopsafe.paper import fonts, handouts, prints
from shopsafe.paper.letters import drawable
from shopsafe.paper.press.worker import PrintFailed
from shopsafe.paper.rules.handout_sheets import RulePoster
from shopsafe.paper.rules.names import Name
from shopsafe.paper.rules.sheets import Slip, Slips
from tests.paper import looking
from tests.paper.sheets.test_handouts import AGREEMENT, DAY, POSTERS, SUBSTITUTE, pockets
from tests.paper.sheets.test_wall_card import CARD
from tests.paper.sheets.test_wall_chart import chart

STONE = "Ana 𒀀𒁀"  # cuneiform, which no font of ours draws
SLIP = Slip(STONE, STONE, "7K3D-Q2XM", "HTTP://X.EXAMPLE/")


@pytest.mark.parametrize(
    "make",
    [
        lambda: prints.wall_card(replace(CARD, names=(Name("Zoë"), Name(STONE)))),
        lambda: prints.wall_card(replace(CARD, rules=(STONE,))),
        lambda: prints.wall_chart(replace(chart(3, 2), scope=STONE)),
        lambda: prints.slips_pdf(Slips("7 Alder", "x.example", (SLIP,), DAY)),
        lambda: handouts.pocket_cards(replace(pockets(1), scope=STONE)),
        lambda: handouts.substitute_sheet(replace(SUBSTITUTE, notes=(STONE,))),
        lambda: handouts.agreement(replace(AGREEMENT, students=(STONE,))),
        lambda: handouts.rule_posters(replace(POSTERS, posters=(RulePoster("x", STONE, "x"),))),
    ],
    ids=["name", "rule", "chart", "slip", "pocket", "substitute", "agreement", "poster"],
)
def test_nothing_is_printed_and_the_text_is_named(make: Any) -> None:
    with pytest.raises(
        PrintFailed, match="No font here can draw “𒀀”, “𒁀” in “Ana 𒀀𒁀”, so nothing was printed"
    ) as failure:
        make()
    assert (failure.value.code, failure.value.status) == ("print.no-letters", 422)


def test_name_in_another_script_is_refused_without_a_fallback_font(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fonts, "fallbacks", tuple)
    assert fonts.undrawable("Ελένη") == ("Ε", "λ", "έ", "ν", "η")
    assert fonts.undrawable("Hồng Nguyễn, Łukasz Wiśnik") == ()
    with pytest.raises(PrintFailed, match="fonts-noto-core"):
        prints.wall_card(replace(CARD, names=(Name("Ελένη"),)))


def test_a_long_text_is_named_by_its_beginning() -> None:
    with pytest.raises(PrintFailed, match="…”, so nothing"):
        prints.wall_card(replace(CARD, stop=STONE + " and so on" * 20))


def test_control_character_in_a_stored_name_is_left_out_of_every_sheet() -> None:
    """Names are refused with one today, but an older database may hold some."""
    bad = "Wren \x07Hol\x1blis"
    card = drawable(replace(CARD, machine="Band saw\x07 2", names=(Name(bad), Name("Zoë")), rules=("One\ttwo\nthree",)))
    assert (card.machine, [name.full for name in card.names]) == ("Band saw 2", ["Wren Hollis", "Zoë"])
    assert card.rules == ("One two three",)
    assert drawable(CARD) is CARD
    for sheet in (
        prints.wall_card(replace(CARD, names=(Name(bad),))).pdf,
        prints.slips_pdf(Slips("7 Alder", "x.example", (replace(SLIP, name=bad, sign_in_name=bad),), DAY)),
        handouts.agreement(replace(AGREEMENT, students=(bad,))).pdf,
    ):
        assert "Wren Hollis" in looking.text(sheet)
