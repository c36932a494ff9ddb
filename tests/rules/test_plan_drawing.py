"""The drawing of what comes first: every box once, right of all it asks for, no two on one place, every arrow drawn."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.setting_up.rules.plan_drawing import HEIGHT, WIDTH, drawing

NAMES = "abcdefgh"


@st.composite
def graphs(draw: st.DrawFn) -> dict[str, list[str]]:
    """Each name asks only for earlier ones, so that there is no circle."""
    pairs = [(late, early) for n, late in enumerate(NAMES) for early in NAMES[:n]]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True))
    return {name: [early for late, early in chosen if late == name] for name in NAMES}


@given(graphs())
def test_each_box_stands_right_of_what_it_asks_for_and_none_on_another(asks):
    made = drawing(asks)
    boxes = {box.name: box for box in made.boxes}
    assert len(boxes) == len(made.boxes) == len({(box.x, box.y) for box in made.boxes})
    assert {(arrow.first, arrow.then) for arrow in made.arrows} == {(f, t) for t, fs in asks.items() for f in fs}
    for arrow in made.arrows:
        assert boxes[arrow.first].x + WIDTH < boxes[arrow.then].x
    for box in made.boxes:
        assert 0 < box.x < made.width - WIDTH
        assert 0 < box.y < made.height - HEIGHT


def test_what_neither_asks_nor_is_asked_for_is_left_out_unless_it_is_the_page_of_it():
    asks = {"table saw": ["band saw"], "drill press": []}
    assert {box.name for box in drawing(asks).boxes} == {"table saw", "band saw"}
    here = [box.name for box in drawing(asks, here="drill press").boxes if box.here]
    assert here == ["drill press"]


def test_an_arrow_that_was_not_there_before_is_new():
    made = drawing({"b": ["a"], "c": ["a", "b"]}, before={"b": ["a"], "c": ["a"]})
    assert [(arrow.first, arrow.then) for arrow in made.arrows if arrow.new] == [("b", "c")]


def test_nothing_to_draw_is_an_empty_sheet_and_a_circle_is_an_error():
    assert drawing({}).boxes == drawing({"a": []}).boxes == ()
    with pytest.raises(ValueError, match="b → a → b"):
        drawing({"a": ["b"], "b": ["a"]})


def test_two_arrows_into_one_box_do_not_lie_on_each_other():
    paths = [arrow.path for arrow in drawing({"c": ["a", "b"]}).arrows]
    assert len({path.rsplit("V", 1)[1] for path in paths}) == 2
